"""Settings: what the maker chose by hand, in ``settings.toml`` of the user's configuration folder.

::

    theme = "day"               # day | night | plain; left out: as you left it
    signs = "drawn"             # drawn | typed; left out: what the terminal can show
    units = "mm"                # mm | in: what a new flute is measured in

    [keys]
    undo = "ctrl+z,ctrl+u"      # the keys of an action, instead of its own

The program reads this file and never writes it; what it notes by itself is in ``remembered.py``. A fault
never stops it: each is a sentence, and what is wrong counts as left out.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from scaledesign import locations
from scaledesign.errors import Fault
from scaledesign.files.own_files import reason

NAME = "settings.toml"
_LONGEST_SHOWN = 60
_AT_LINE = re.compile(r" \(at line (\d+), column \d+\)$")
CHOICES: dict[str, tuple[str, ...]] = {
    "theme": ("day", "night", "plain"),
    "signs": ("drawn", "typed"),
    "units": ("mm", "in"),
}


@dataclass(frozen=True, slots=True)
class Settings:
    """What the maker chose; '' and () where nothing was chosen."""

    theme: Literal["", "day", "night", "plain"] = ""
    signs: Literal["", "drawn", "typed"] = ""
    units: Literal["", "mm", "in"] = ""
    keys: tuple[tuple[str, str], ...] = ()
    """Action and its keys, ``("undo", "ctrl+z,ctrl+u")``."""


def load_settings(actions: Collection[str] = ()) -> tuple[Settings, tuple[str, ...]]:
    """Settings, and a sentence for each thing that is wrong with them.

    Parameters
    ----------
    actions : names that may stand under [keys]; none: any
    """
    path = locations.user_config() / NAME
    try:
        text = path.read_bytes().decode("utf-8-sig")
        table = tomllib.loads(text)
    except FileNotFoundError:
        return Settings(), ()
    except UnicodeDecodeError:
        return _unread(path, "the text is not UTF-8", "save it as UTF-8 in your editor")
    except OSError as error:
        return _unread(path, f"it cannot be read ({reason(error)})", "check its permissions")
    except (ValueError, RecursionError) as error:
        said = _AT_LINE.search(str(error))
        problem = f"that is not TOML ({_AT_LINE.sub('', str(error))})"
        return _unread(path, problem, 'write lines such as theme = "day"', int(said[1]) if said else None)
    reader = _Reader(path, text, actions)
    settings = reader.settings(table)
    return settings, tuple(map(str, reader.faults))


def _unread(
    path: Path, problem: str, remedy: str, line: int | None = None
) -> tuple[Settings, tuple[str, ...]]:
    return Settings(), (str(Fault(problem, remedy, line=line, file=str(path))),)


class _Reader:
    """Collects the faults of the file while taking it apart."""

    def __init__(self, path: Path, text: str, actions: Collection[str]) -> None:
        self.path, self.text, self.actions = path, text, actions
        self.faults: list[Fault] = []

    def settings(self, table: dict[str, Any]) -> Settings:
        chosen: dict[str, Any] = {}
        for name, value in table.items():
            if name == "keys":
                chosen[name] = self.keys(value)
            elif name not in CHOICES:
                self.fault((name,), "there is no such setting", _nearest(name, (*CHOICES, "keys")))
            elif value in CHOICES[name]:
                chosen[name] = value
            else:
                *words, last = (f'"{word}"' for word in CHOICES[name])
                self.fault((name,), "that is none of the choices", f"write {', '.join(words)} or {last}")
        return Settings(**chosen)

    def keys(self, table: object) -> tuple[tuple[str, str], ...]:
        if not isinstance(table, dict):
            self.fault(("keys",), "that is no table", 'write [keys] and below it undo = "ctrl+z"')
            return ()
        taken: dict[str, str] = {}
        found = []
        for action, value in table.items():
            place = ("keys", action)
            keys = [key.strip() for key in value.split(",")] if isinstance(value, str) else []
            other = next((taken[key] for key in keys if key in taken), "")
            if self.actions and action not in self.actions:
                self.fault(place, "there is no such action", _nearest(action, self.actions))
            elif not keys or not all(key and len(key.split()) == 1 for key in keys):
                self.fault(place, "that names no keys", 'write them as "ctrl+z" or "ctrl+z,f9"')
            elif other:
                self.fault(place, f"{other} has that key already", "give each action its own")
            else:
                taken.update((key, action) for key in keys)
                found.append((action, ",".join(keys)))
        return tuple(found)

    def fault(self, place: tuple[str, ...], problem: str, remedy: str) -> None:
        from scaledesign.files.toml_outline import outline

        found = outline(self.text)
        offset = found.offset(place)
        line = None if offset is None else found.line(offset)
        value = (found.written(place) or "").partition("\n")[0][:_LONGEST_SHOWN]
        self.faults.append(Fault(problem, remedy, ".".join(place), value, line, str(self.path)))


def _nearest(name: str, known: Collection[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(name, known, n=1)
    return f"the nearest known one is {close[0]}" if close else f"known: {', '.join(sorted(known))}"
