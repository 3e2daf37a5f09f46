"""The design files of a folder: which there are, and what was noted of each the last time.

Apart from reading them (``document_file.py``): reading 2,000 takes some ten seconds, so that whoever wants
but a few facts of each may keep those, by the file's size and time. What the facts are is the asker's
business. The notes are the program's own and no harm if they are lost: they are read tolerantly, no failure
is reported.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Generic, TypeVar

from scaledesign import locations
from scaledesign.errors import DesignError, EditError
from scaledesign.files import document_file
from scaledesign.files.own_files import get, put, reason
from scaledesign.model.document import Design
from scaledesign.values import dataclass
from scaledesign.wanted import each

MOST = 2000
"""Designs of a folder that are read."""
MOST_SEEN = 20_000
"""Names in it and right below that are looked at, in all."""
LARGEST_NOTES = 8_000_000
"""Bytes of the notes beyond which they are begun anew."""
NOTES = "book.json"
FORMAT = 1

Facts = dict[str, Any]
"""What is kept of one design; plain JSON."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Shelf(Generic[T]):
    """What a folder holds: what was made of each design, and what could not be read, in words."""

    found: tuple[T, ...]
    passed_over: tuple[str, ...] = ()
    more: int = 0
    """Design files that were not looked at, since there are too many."""


def shelf(
    folder: Path, facts_of: Callable[[Design], Facts], made_of: Callable[[Path, Facts], T], version: str
) -> Shelf[T]:
    """What is made of every design in a folder and in the folders right below it, by name.

    Parameters
    ----------
    folder : Path
    facts_of : what is to be kept of a design
    made_of : the file and its facts; raises KeyError, TypeError or ValueError at facts that are none
    version : of those facts; notes of another version are not used

    Raises
    ------
    EditError
        when the folder cannot be read.
    """
    files, more = _files(folder)
    notes = _load_notes(version)
    fresh: dict[str, tuple[int, int, Facts]] = {}
    found: list[T] = []
    passed: list[str] = []
    for path in each(files):
        try:
            told = path.stat()
        except OSError:
            continue  # it went away meanwhile
        size, when, facts = notes.get(str(path), (0, 0, None))
        if facts is not None and (size, when) == (told.st_size, told.st_mtime_ns):
            with suppress(KeyError, TypeError, ValueError, ArithmeticError, AttributeError):
                found.append(made_of(path, facts))
                continue
        try:
            facts = facts_of(document_file.load(path))
        except DesignError as error:
            also = f" (and {len(error.faults) - 1} more)" if len(error.faults) > 1 else ""
            passed.append(f"{error.faults[0]}{also}")
            continue
        fresh[str(path)] = told.st_size, told.st_mtime_ns, facts
        found.append(made_of(path, facts))
    if fresh:
        _keep_notes(notes | fresh, version)
    return Shelf(tuple(found), tuple(passed), more)


def _files(folder: Path) -> tuple[list[Path], int]:
    """Design files by name, those of the folder first, and how many more there are."""
    if not folder.is_dir():
        raise EditError(f"{folder} is no folder", "name the folder that your finished designs lie in")
    try:
        here, below, left = _listed(folder, MOST_SEEN)
    except (OSError, ValueError) as error:
        raise EditError(f"{folder} cannot be read ({reason(error)})", "check its permissions") from None
    for inner in below:
        if left <= 0:
            break
        with suppress(OSError):
            more, _, left = _listed(inner, left)
            here += more
    return here[:MOST], max(0, len(here) - MOST)


def _listed(folder: Path, most: int) -> tuple[list[Path], list[Path], int]:
    """Design files and folders in a folder, by name, hidden ones left alone; ``most`` less what was seen."""
    files, folders = [], []
    with os.scandir(folder) as entries:
        for entry in entries:
            if most <= 0:
                break
            most -= 1
            if entry.name.startswith("."):
                continue
            with suppress(OSError):  # a link that leads round in a circle is neither
                if entry.name.endswith(".toml") and entry.is_file():
                    files.append(folder.absolute() / entry.name)
                elif entry.is_dir():
                    folders.append(folder / entry.name)
    return sorted(files), sorted(folders), most


def _path() -> Path:
    return locations.user_state() / NOTES


def _load_notes(version: str) -> dict[str, tuple[int, int, Facts | None]]:
    """What was kept, by file; nothing where it is of another version or damaged."""
    try:
        told = json.loads(get(_path(), LARGEST_NOTES))
        if told["format"] != FORMAT or told["version"] != version:
            return {}
        return {
            name: (int(size), int(when), facts)
            for name, (size, when, facts) in told["files"].items()
            if isinstance(facts, dict)
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
        return {}


def _keep_notes(notes: Mapping[str, tuple[int, int, Facts | None]], version: str) -> None:
    """Keep them; what is too much goes from the front, which is the longest known."""
    kept = dict(list(notes.items())[-2 * MOST :])
    with suppress(OSError, ValueError):
        path = _path()
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        put(path, json.dumps({"format": FORMAT, "version": version, "files": kept}).encode("utf-8"))
