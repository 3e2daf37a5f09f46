"""One entry of the journal: the file with the unsaved text, and the lock that says its window lives.

Apart from ``journal.py``, which knows when to write, take and remove them. An entry is two files of one name
that is never used twice: ``NAME.toml``, a design file with lines of comment above, and ``NAME.lock``, empty.

What every process keeps to: only who holds the lock of an entry writes, moves or removes it; who gets a lock
looks again at what is there; the entry goes before its lock.
"""

from __future__ import annotations

import errno
import os
import re
import time
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from scaledesign.files.own_files import draft_of, get, lock
from scaledesign.files.stamp import Stamp, changed, stamp_of_bytes, stamp_of_text
from scaledesign.values import dataclass

FORMAT = 1
LARGEST = 4_000_000
"""Bytes of an entry: far more than a design file may hold."""
DAMAGED = ".damaged"
"""Ends the name of an entry that could not be read; it stays there for the maker to look at."""

_LAYOUT = (
    b"# Unsaved work on a flute, kept by scaledesign. To have it back by hand, copy this file.\n"
    b"# journal: %d\n# file: %b\n# on disk: %b\n# when: %b\n# text: %b\n\n%b"
)
_VERSION = re.compile(rb"# .*\n# journal: ([0-9]{1,9})\n")
_HEAD = re.compile(_VERSION.pattern + rb"# file: (.+)\n# on disk: (.+)\n# when: (.+)\n# text: (.+)\n\n")
_NOTHING = b"-"
_NAME = re.compile(r"([0-9a-f]{16})\.(?:toml|lock)")
_TRIES = 20
_PAUSE = 0.001
"""Seconds between tries: another window looks at an entry for less than that."""


class UnreadableError(Exception):
    """An entry that is damaged, or ``newer`` than this program."""

    def __init__(self, *, newer: bool = False) -> None:
        super().__init__(newer)
        self.newer = newer


@dataclass(frozen=True, slots=True)
class Entry:
    """What the file of an entry says."""

    path: Path | None
    stamp: Stamp | None
    when: datetime
    text: str | None
    """None: nothing is unsaved."""

    def encode(self) -> bytes:
        """The file that says this."""
        text = None if self.text is None else self.text.encode("utf-8", "surrogatepass")
        return _LAYOUT % (
            FORMAT,
            # a path may hold the end of a line, but never a NUL
            _NOTHING if self.path is None else os.fsencode(self.path).replace(b"\n", b"\0"),
            _NOTHING if self.stamp is None else self.stamp.encode(),
            self.when.isoformat().encode(),
            _NOTHING if text is None else stamp_of_bytes(text).encode(),
            text or b"",
        )

    @classmethod
    def decode(cls, data: bytes) -> Entry:
        """What a file says.

        Raises
        ------
        UnreadableError
        """
        version = _VERSION.match(data)
        if version is not None and int(version[1]) > FORMAT:
            raise UnreadableError(newer=True)
        head = _HEAD.match(data)
        if head is None:
            raise UnreadableError
        _, path, stamp, when, digest = head.groups()
        text = data[head.end() :]
        if digest != _NOTHING and digest != stamp_of_bytes(text).encode():
            raise UnreadableError
        try:
            return cls(
                None if path == _NOTHING else Path(os.fsdecode(path.replace(b"\0", b"\n"))),
                None if stamp == _NOTHING else Stamp(stamp.decode()),
                datetime.fromisoformat(when.decode()).astimezone(UTC),
                None if digest == _NOTHING else text.decode("utf-8", "surrogatepass"),
            )
        except (ValueError, OverflowError):  # the latter: a time at the edge of what a calendar holds
            raise UnreadableError from None

    @property
    def is_needed(self) -> bool:
        """Whether the text is nowhere else: a window may die between saving and saying so."""
        if self.text is None:
            return False
        return self.path is None or changed(stamp_of_text(self.text), self.path)


@dataclass(frozen=True, slots=True)
class Claim:
    """An entry that this process has locked."""

    folder: Path
    name: str
    file: int
    """Descriptor of the lock."""

    @property
    def entry(self) -> Path:
        """Its file."""
        return self.folder / f"{self.name}.toml"

    @property
    def lock(self) -> Path:
        """The file that is locked."""
        return self.folder / f"{self.name}.lock"

    def holds(self) -> bool:
        """Whether the locked file is still the one that others find under its name."""
        try:
            return os.path.samestat(os.fstat(self.file), self.lock.stat())
        except OSError:
            return False

    def release(self) -> None:
        """Unlock the entry and leave it where it is."""
        with suppress(OSError):
            os.close(self.file)

    def remove(self) -> None:
        """Remove the entry, then its lock, closed first: not every system removes a file that is open."""
        if not self.holds():
            self.release()
            return
        for path in (self.entry, draft_of(self.entry)):
            with suppress(OSError):
                path.unlink()
        self.release()
        with suppress(OSError):
            self.lock.unlink()


def names(folder: Path) -> frozenset[str]:
    """Names of the entries there are, living and dead, readable or not."""
    try:
        found = [_NAME.fullmatch(path.name) for path in folder.iterdir()]
        return frozenset(match[1] for match in found if match)
    except OSError:
        return frozenset()


def new_claim(folder: Path) -> Claim:
    """Claim of an entry that is new; the folder is made where it is missing.

    Raises
    ------
    OSError : if there can be none
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    for _ in range(_TRIES):
        claim = claim_of(folder, os.urandom(8).hex())
        if claim is not None:
            return claim
    raise OSError(errno.EAGAIN, "nothing there can be locked")


def claim_of(folder: Path, name: str) -> Claim | None:
    """Claim of an entry, None while another window holds it or is looking at it.

    Raises
    ------
    OSError : if nothing can be locked there
    """
    claim = Claim(folder, name, os.open(folder / f"{name}.lock", os.O_RDWR | os.O_CREAT, 0o600))
    try:
        held = lock(claim.file) and claim.holds()
    except OSError:
        claim.release()
        with suppress(OSError):
            claim.lock.unlink()
        raise
    if held:
        return claim
    claim.release()
    return None


def claim_in_time(folder: Path, name: str) -> Claim | None:
    """Claim of an entry that another window may be looking at just now."""
    with suppress(OSError):
        for _ in range(_TRIES):
            claim = claim_of(folder, name)
            if claim is not None:
                return claim
            time.sleep(_PAUSE)
    return None


def read(file: Path) -> Entry | None:
    """What the file of an entry says, None where there is none.

    Raises
    ------
    UnreadableError
    OSError : if it is there and cannot be read
    """
    try:
        return Entry.decode(get(file, LARGEST))
    except FileNotFoundError:
        return None
