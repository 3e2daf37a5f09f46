"""Earlier versions of a design file: what a save replaced, kept in the user's own folder.

Apart from the journal, which keeps what was never saved. A version is the file as it was, byte for byte,
under the time at which it was replaced; to have one back by hand, copy it. Of each design the last ``NEWEST``
are kept, and of those before them the last of each day, ``MOST`` in all. Where that folder cannot be written
the save goes on and says so: a version is a second chance, not a condition.
"""

from __future__ import annotations

import os
import re
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from scaledesign import locations
from scaledesign.files.own_files import get, put, reason
from scaledesign.files.stamp import stamp_of_bytes
from scaledesign.values import dataclass

FOLDER = "earlier"
"""In the user's state folder."""
NEWEST, MOST = 20, 60
LARGEST = 1_000_000
"""Bytes: what is larger is no design."""
_TIME = "%Y%m%dT%H%M%S%fZ"
_NAME = re.compile(r"\d{8}T\d{12}Z\.toml")


@dataclass(frozen=True, slots=True)
class Version:
    """A design file as it was until ``when`` (UTC)."""

    when: datetime
    path: Path
    """Where it is kept."""

    def read(self) -> bytes:
        """What was in the file.

        Raises
        ------
        OSError
        """
        return get(self.path, LARGEST)


def versions(path: Path) -> tuple[Version, ...]:
    """Earlier versions of the file that is or was at ``path``, newest first."""
    return tuple(Version(_when(name), _folder(path) / name) for name in reversed(_names(_folder(path))))


def keep(path: Path, data: bytes) -> str:
    """Keep what stands at ``path``, before ``data`` takes its place; nothing where that changes nothing.

    Returns
    -------
    str: why it could not be kept, as a sentence; "" where it is, or was no design.
    """
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return ""
        standing = get(path, LARGEST)
        folder = _folder(path)
        names = _names(folder)
        if standing == data or (names and (folder / names[-1]).read_bytes() == standing):
            return ""
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        name = f"{datetime.now(UTC).strftime(_TIME)}.toml"
        put(folder / name, standing)
    except (OSError, ValueError) as error:
        return f"What it replaces could not be kept as an earlier version: {reason(error)}."
    with suppress(OSError):
        for old in _too_many([*names, name]):
            (folder / old).unlink()
    return ""


def _too_many(names: list[str]) -> list[str]:
    """Of versions by name, oldest first, those that go."""
    older = names[:-NEWEST]
    last_of_day = {name[:8]: name for name in older}
    kept = sorted(last_of_day.values())[-(MOST - NEWEST) :]
    return [name for name in older if name not in kept]


def _folder(path: Path) -> Path:
    """Where the versions of a file are: its name to find it by, and a mark where two have one name."""
    real = os.path.realpath(path)
    plain = re.sub(r"[^A-Za-z0-9_-]+", "-", Path(real).stem)[:40]
    mark = stamp_of_bytes(os.fsencode(os.path.normcase(real)))[:12]
    return locations.user_state() / FOLDER / f"{plain}-{mark}"


def _names(folder: Path) -> list[str]:
    """Names of the versions in a folder, oldest first."""
    try:
        return sorted(path.name for path in folder.iterdir() if _NAME.fullmatch(path.name))
    except OSError:
        return []


def _when(name: str) -> datetime:
    with suppress(ValueError):
        return datetime.strptime(name.removesuffix(".toml"), _TIME).replace(tzinfo=UTC)
    return datetime.fromtimestamp(0, UTC)
