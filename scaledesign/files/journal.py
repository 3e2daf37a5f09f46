"""The journal: what keeps an unsaved design when the program is killed.

Each window has one entry in the journal folder: a lock that ends with the process (so that the living are
told from the dead without trusting process numbers), the path of its design file, what that file held, and
the unsaved text if there is any. The text is replaced in one step after each edit: a kill at any moment
leaves the text before the edit or the one after it. Nothing waits for the disk: when the power fails, the
last seconds may be missing. How an entry is kept is told in ``journal_entry.py``.

Apart from ``document_file.py``, which writes where the maker says. No design is read or checked here.
"""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from scaledesign import locations
from scaledesign.files.journal_entry import (
    DAMAGED,
    Claim,
    Entry,
    UnreadableError,
    claim_in_time,
    claim_of,
    names,
    new_claim,
    read,
)
from scaledesign.files.own_files import put, reason
from scaledesign.files.stamp import Stamp, changed, stamp_of, stamp_of_text
from scaledesign.values import dataclass

FOLDER = "journal"
"""In the user's state folder."""


class Journal:
    """The entry of one living window, from ``Journal.open`` or ``Leftover.take``.

    It never raises and never stops the maker's work: where the entry cannot be written, ``problem`` says so
    in a sentence, until a later write succeeds.

    Attributes
    ----------
    path : file of the design, None while it has none
    stamp : what that file held when the window last read or wrote it; ask ``stamp.changed(stamp, path)``
        whether somebody else has written to it since
    problem : why unsaved work is not kept, '' when it is
    """

    def __init__(self, claim: Claim | None, path: Path | None, stamp: Stamp | None) -> None:
        self._claim = claim
        self._folder = claim.folder if claim is not None else _folder()
        self._closed = False
        self.path = path
        self.stamp = stamp
        self.problem = ""

    @classmethod
    def open(cls, path: Path | None = None, text: str | None = None) -> Journal:
        """Journal of a new window.

        Parameters
        ----------
        path : file of the design, None where it has none yet
        text : what the window read there; None: read it now
        """
        journal = cls(None, None, None)
        if path is None:
            journal.clear()
        else:
            journal.saved(path, text)
        return journal

    def write(self, text: str) -> None:
        """Keep this unsaved text, instead of the one before."""
        self._put(text)

    def clear(self) -> None:
        """Nothing is unsaved any more, and the file was not written: after undoing to what was saved."""
        self._put(None)

    def saved(self, path: Path, text: str | None = None) -> None:
        """Nothing is unsaved: the window stands where this file does, after a save or a save as.

        Parameters
        ----------
        path : the file
        text : what was written there; None: read it now
        """
        with suppress(OSError):
            path = path.absolute()
        self.path = path
        self.stamp = stamp_of(path) if text is None else stamp_of_text(text)
        self._put(None)

    def close(self) -> None:
        """Let go of the entry, unsaved text and all: the maker quits, or gave the changes up."""
        self._closed = True
        if self._claim is not None:
            self._claim.remove()
            self._claim = None

    def others_open(self, path: Path) -> bool:
        """Whether another living window has this file open, by whatever name.

        Open the journal first: of two windows that start at once, one at least then sees the other.
        """
        own = self._claim.name if self._claim is not None else ""
        others = (name for name in names(self._folder) if name != own)
        return any(_is_open(self._folder, name, path) for name in others)

    def _put(self, text: str | None) -> None:
        if self._closed:
            return
        try:
            if self._claim is not None and not self._claim.holds():
                self._claim.release()
                self._claim = None
            if self._claim is None:
                self._claim = new_claim(self._folder)
            put(self._claim.entry, Entry(self.path, self.stamp, datetime.now(UTC), text).encode())
        except (OSError, ValueError) as error:
            self.problem = (
                f"Your unsaved changes are not kept safe: {self._folder} cannot be written "
                f"({reason(error)}); save often."
            )
        else:
            self.problem = ""


@dataclass(frozen=True, slots=True)
class Leftover:
    """Unsaved work of a window that is no longer there."""

    path: Path | None
    """File of the design, None if it never had one."""
    stamp: Stamp | None
    """What that file held when the window last read or wrote it."""
    when: datetime
    """When the text was kept, in UTC."""
    text: str
    _folder: Path
    _name: str

    @property
    def changed(self) -> bool:
        """Whether somebody has written to the file since."""
        return self.path is not None and changed(self.stamp, self.path)

    def take(self) -> Journal | None:
        """Go on with this work: its journal, which has kept the text all the while.

        None where another window was quicker.
        """
        claim = claim_in_time(self._folder, self._name)
        if claim is None:
            return None
        try:
            entry = read(claim.entry)
        except (OSError, UnreadableError):
            entry = None
        if entry == Entry(self.path, self.stamp, self.when, self.text):
            return Journal(claim, self.path, self.stamp)
        claim.release()
        return None

    def discard(self) -> bool:
        """Remove it for good; False where another window was quicker. What is taken goes by its journal."""
        journal = self.take()
        if journal is None:
            return False
        journal.close()
        return True


def leftovers() -> tuple[Leftover, ...]:
    """Unsaved work of windows that are no longer there, newest first.

    What dead windows left without need is removed; an entry that is damaged is renamed, one from a newer
    version of the program left alone. None of it stays locked: see ``Leftover.take``.
    """
    folder = _folder()
    found = []
    for name in names(folder):
        with suppress(OSError):
            leftover = _leftover(folder, name)
            if leftover is not None:
                found.append(leftover)
    return tuple(sorted(found, key=lambda leftover: leftover.when, reverse=True))


def _folder() -> Path:
    return locations.user_state() / FOLDER


def _leftover(folder: Path, name: str) -> Leftover | None:
    """What a window left that is no longer there; what nobody needs is cleared away."""
    claim = claim_of(folder, name)
    if claim is None:
        return None
    needed = True
    try:
        entry = read(claim.entry)
        needed = entry is not None and entry.is_needed
    except UnreadableError as error:
        entry = None
        if not error.newer:
            claim.entry.replace(claim.entry.with_suffix(DAMAGED))
            needed = False
    finally:
        if needed:
            claim.release()
        else:
            claim.remove()
    if entry is None or entry.text is None or not needed:
        return None
    return Leftover(entry.path, entry.stamp, entry.when, entry.text, folder, name)


def _is_open(folder: Path, name: str, path: Path) -> bool:
    """Whether the window of this entry lives and has the file at ``path`` open."""
    try:
        entry = read(folder / f"{name}.toml")
        if entry is None or entry.path is None or not _same(entry.path, path):
            return False
        claim = claim_of(folder, name)
    except (OSError, UnreadableError):
        return False
    if claim is None:
        return True
    claim.release()
    return False


def _same(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, there or not yet."""
    try:
        return one.samefile(other)
    except OSError:
        return os.path.normcase(os.path.realpath(one)) == os.path.normcase(os.path.realpath(other))
