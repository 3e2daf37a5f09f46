"""What can be opened: recent files, the files of a folder, the examples; and what is opened first.

Lists names and paths; reading a design is ``files/document_file.py``'s.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from scaledesign.locations import EXAMPLES
from scaledesign.values import dataclass

FIRST = "marsh-wren"
"""The example that a newcomer sees."""
MOST = 200
"""Files of a folder that are listed."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One design to open."""

    path: Path
    name: str
    words: str
    """Where it is."""
    kind: str
    """recent, here or example."""


def offers(recent: Iterable[Path], folder: Path) -> tuple[Offer, ...]:
    """Recent files that are still there, the other design files of a folder, the examples."""
    found = [Offer(path, path.stem, str(path.parent), "recent") for path in recent if path.is_file()]
    known = {offer.path for offer in found}
    try:
        here = sorted(path for path in folder.glob("*.toml") if path.is_file())[:MOST]
    except OSError:
        here = []
    found += [
        Offer(path, path.stem, str(path.parent), "here") for path in here if path.absolute() not in known
    ]
    found += [Offer(path, path.stem, "one of ours", "example") for path in example_paths()]
    return tuple(found)


def example_paths() -> tuple[Path, ...]:
    """The examples, by name."""
    return tuple(sorted(EXAMPLES.glob("*.toml")))


def first_path(recent: Iterable[Path]) -> Path:
    """What to open when nothing is named: the last flute that is still there, else the first example."""
    return next((path for path in recent if path.is_file()), EXAMPLES / f"{FIRST}.toml")
