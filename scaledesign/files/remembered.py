"""What the program remembers from one time to the next, in ``state.toml`` of the user's state folder.

The files that were open and how the screen was left: of use, and no harm if it is lost. So it is read
tolerantly and no failure is reported. What the maker chose by hand is in ``settings.py``.

Several windows write here. ``remember`` therefore takes a change, not a whole state, and applies it to what
is there by then: the files of all windows stand in one list, and of two windows that set the same thing the
last one wins.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import Literal, TypeVar

from scaledesign import locations
from scaledesign.files.own_files import get, lock, put
from scaledesign.files.toml_text import parsed
from scaledesign.values import dataclass

FORMAT = 1
NAME = "state.toml"
DAMAGED = "state.damaged"
"""Where a file goes that cannot be read, for the maker to look at."""
MOST_RECENT = 12

Value = str | int | bool
V = TypeVar("V", bound=Value)
_TRIES = 250
_PAUSE = 0.001
"""Seconds between tries for the lock."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What the program noted by itself."""

    recent: tuple[Path, ...] = ()
    """Design files, the last one first."""
    folder: Path | None = None
    """Where the last one was opened or saved."""
    layout: tuple[tuple[str, Value], ...] = ()
    """How the screen was left, by name: read it with ``left``."""

    def with_recent(self, path: Path) -> Remembered:
        """The same after this file was opened or saved."""
        path = path.absolute()
        others = (other for other in self.recent if other != path)
        return replace(self, recent=(path, *others)[:MOST_RECENT], folder=path.parent)

    def with_layout(self, **values: Value) -> Remembered:
        """The same after these parts of the screen were set."""
        return replace(self, layout=tuple(sorted((dict(self.layout) | values).items())))

    def left(self, name: str, default: V) -> V:
        """How a part of the screen was left; ``default`` if nothing of its kind is known."""
        value = dict(self.layout).get(name)
        return value if type(value) is type(default) else default


def load_remembered() -> Remembered:
    """What is remembered; nothing where it cannot be read."""
    return _read(_path())[0]


def remember(change: Callable[[Remembered], Remembered]) -> Remembered:
    """Apply a change to what is remembered by now, and keep it if that can be done.

    For example ``remember(lambda known: known.with_recent(path))``.
    """
    path = _path()
    with _turn(path) as ours:
        known, state = _read(path)
        after = change(known)
        if ours and state != "closed" and after != known:
            with suppress(OSError, ValueError):
                if state == "damaged":
                    path.replace(path.with_name(DAMAGED))
                put(path, _encode(after))
    return after


def _path() -> Path:
    return locations.user_state() / NAME


@contextmanager
def _turn(path: Path) -> Iterator[bool]:
    """Whether it is our turn to write, until the end of the block."""
    file, ours = -1, False
    with suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        file = os.open(path.with_suffix(".lock"), os.O_RDWR | os.O_CREAT, 0o600)
        for _ in range(_TRIES):
            ours = lock(file)
            if ours:
                break
            time.sleep(_PAUSE)
    try:
        yield ours
    finally:
        if file >= 0:
            os.close(file)


def _read(path: Path) -> tuple[Remembered, Literal["known", "damaged", "closed"]]:
    """What a file says, and what to think of it: a closed one is not for us to read and replace."""
    try:
        table = parsed(get(path).decode("utf-8"))
    except FileNotFoundError:
        return Remembered(), "known"
    except OSError:
        return Remembered(), "closed"
    except ValueError:
        return Remembered(), "damaged"
    number = table.get("format")
    if isinstance(number, int) and number > FORMAT:
        return Remembered(), "closed"
    recent, folder, layout = table.get("recent"), table.get("folder"), table.get("layout")
    files = recent if isinstance(recent, list) else []
    values = layout if isinstance(layout, dict) else {}
    known = Remembered(
        tuple(Path(file) for file in files if isinstance(file, str) and file)[:MOST_RECENT],
        Path(folder) if isinstance(folder, str) and folder else None,
        tuple(sorted((name, value) for name, value in values.items() if isinstance(value, Value))),
    )
    return known, "known"


def _encode(known: Remembered) -> bytes:
    import tomli_w

    table: dict[str, object] = {"format": FORMAT, "recent": [str(path) for path in known.recent]}
    if known.folder is not None:
        table["folder"] = str(known.folder)
    table["layout"] = dict(known.layout)
    return tomli_w.dumps(table).encode("utf-8")
