"""Settings: what the maker chose by hand, in ``settings.toml`` of the user's configuration folder.

::

    theme = "day"               # day | night | plain; left out: as you left it
    signs = "drawn"             # drawn | typed; left out: what the terminal can show
    units = "mm"                # mm | in: what a new flute is measured in

    [paper]
    paper   = "letter"          # a4 | letter; left out: by where you are
    names   = "german"          # how notes are called
    style   = "plain"           # look of the fingering chart
    large   = true              # large print
    maker   = "Reed and rush"   # your own name, for chart and sheet
    picture = "mark.svg"        # your own picture; without a folder: beside this file

    [book]
    folder = "~/flutes"         # where your finished designs lie; without a folder: beside this file

    [keys]
    undo = "ctrl+z,ctrl+u"      # the keys of an action, instead of its own

The program reads this file and never writes it; what it notes by itself is in ``remembered.py``. A fault
never stops it: each is a sentence, and what is wrong counts as left out.
"""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from scaledesign import locations
from scaledesign.errors import Fault
from scaledesign.files.own_files import get, reason
from scaledesign.files.toml_text import parsed
from scaledesign.values import dataclass

if TYPE_CHECKING:
    from scaledesign.files.toml_outline import Outline

NAME = "settings.toml"
_LONGEST_SHOWN = 60
_AT_LINE = re.compile(r" \(at line (\d+), column \d+\)$")
CHOICES: dict[str, tuple[str, ...]] = {
    "theme": ("day", "night", "plain"),
    "signs": ("drawn", "typed"),
    "units": ("mm", "in"),
}
KNOWN = (*CHOICES, "paper", "book", "keys")
PAPERS = ("a4", "letter")
LARGEST, MOST_FAULTS = 200_000, 50
"""Bytes of the file that are read, and faults that are told one by one."""
LONGEST_MAKER = 60
"""Characters of the maker's name, so that it stays on one line."""


@dataclass(frozen=True, slots=True)
class PaperSettings:
    """What the maker chose of all that is printed; '' and None where nothing was chosen."""

    paper: Literal["", "a4", "letter"] = ""
    names: str = ""
    style: str = ""
    large: bool | None = None
    maker: str = ""
    picture: str = ""
    """Path of a picture file, whole."""


PAPER_KEYS = tuple(PaperSettings.__dataclass_fields__)


@dataclass(frozen=True, slots=True)
class Settings:
    """What the maker chose; '' and () where nothing was chosen."""

    theme: Literal["", "day", "night", "plain"] = ""
    signs: Literal["", "drawn", "typed"] = ""
    units: Literal["", "mm", "in"] = ""
    keys: tuple[tuple[str, str], ...] = ()
    """Action and its keys, ``("undo", "ctrl+z,ctrl+u")``."""
    paper: PaperSettings = PaperSettings()
    book: str = ""
    """Path of the folder with the maker's finished designs, whole."""


def load_settings(
    actions: Collection[str] = (), paper: Mapping[str, Collection[str]] = {}
) -> tuple[Settings, tuple[str, ...]]:
    """Settings, and a sentence for each thing that is wrong with them.

    Parameters
    ----------
    actions : names that may stand under [keys]; none: any
    paper : what may stand in a key of [paper], "names" and "style"; none: any
    """
    path = locations.user_config() / NAME
    try:
        text = get(path, LARGEST).decode("utf-8-sig")
        table = parsed(text)
    except FileNotFoundError:
        return Settings(), ()
    except UnicodeDecodeError:
        return _unread(path, "the text is not UTF-8", "save it as UTF-8 in your editor")
    except OSError as error:
        return _unread(path, f"it cannot be read ({reason(error)})", "check its permissions")
    except ValueError as error:
        said = _AT_LINE.search(str(error))
        problem = f"that is not TOML ({_AT_LINE.sub('', str(error))})"
        return _unread(path, problem, 'write lines such as theme = "day"', int(said[1]) if said else None)
    reader = _Reader(path, text, actions, paper)
    settings = reader.settings(table)
    faults = [str(fault) for fault in reader.faults[:MOST_FAULTS]]
    if len(reader.faults) > MOST_FAULTS:
        faults.append(f"{path}: {len(reader.faults) - MOST_FAULTS} more faults; mend these first.")
    return settings, tuple(faults)


def _unread(
    path: Path, problem: str, remedy: str, line: int | None = None
) -> tuple[Settings, tuple[str, ...]]:
    return Settings(), (str(Fault(problem, remedy, line=line, file=str(path))),)


class _Reader:
    """Collects the faults of the file while taking it apart."""

    def __init__(
        self, path: Path, text: str, actions: Collection[str], paper: Mapping[str, Collection[str]]
    ) -> None:
        self.path, self.text, self.actions, self.words = path, text, actions, {"paper": PAPERS, **paper}
        self.faults: list[Fault] = []

    def settings(self, table: dict[str, Any]) -> Settings:
        chosen: dict[str, Any] = {}
        for name, value in table.items():
            if name == "keys":
                chosen[name] = self.keys(value)
            elif name == "paper":
                chosen[name] = self.paper(value)
            elif name == "book":
                chosen[name] = self.book(value)
            elif name not in CHOICES:
                self.fault((name,), "there is no such setting", _nearest(name, KNOWN))
            elif self.among((name,), value, CHOICES[name]):
                chosen[name] = value
        return Settings(**chosen)

    def among(self, place: tuple[str, ...], value: object, known: Collection[str]) -> bool:
        """Whether a value is one of those known; if not, it is a fault."""
        if value in tuple(known):
            return True
        *words, last = (f'"{word}"' for word in known)
        write = f"{', '.join(words)} or {last}" if words else last
        self.fault(place, "that is none of the choices", f"write {write}")
        return False

    def paper(self, table: object) -> PaperSettings:
        if not isinstance(table, dict):
            self.fault(("paper",), "that is no table", 'write [paper] and below it paper = "a4"')
            return PaperSettings()
        chosen: dict[str, Any] = {}
        for name, value in table.items():
            place = ("paper", name)
            if name not in PAPER_KEYS:
                self.fault(place, "there is no such setting", _nearest(name, PAPER_KEYS))
            elif name == "large":
                if isinstance(value, bool):
                    chosen[name] = value
                else:
                    self.fault(place, "that is neither", "write true or false")
            elif name in self.words:
                if self.among(place, value, self.words[name]):
                    chosen[name] = value
            elif not isinstance(value, str):
                self.fault(place, "that is no text", f'write it in quotes: {name} = "..."')
            elif name == "maker" and (len(value) > LONGEST_MAKER or not value.isprintable()):
                self.fault(place, "that does not fit a line", f"write at most {LONGEST_MAKER} characters")
            elif name == "picture" and value:
                chosen[name] = self.beside(value)
            else:
                chosen[name] = value
        return PaperSettings(**chosen)

    def book(self, table: object) -> str:
        if not isinstance(table, dict):
            self.fault(("book",), "that is no table", 'write [book] and below it folder = "~/flutes"')
            return ""
        for name in table:
            if name != "folder":
                self.fault(("book", name), "there is no such setting", _nearest(name, ("folder",)))
        folder = table.get("folder", "")
        if not isinstance(folder, str):
            self.fault(("book", "folder"), "that is no text", 'write it in quotes: folder = "~/flutes"')
            return ""
        return self.beside(folder)

    def beside(self, name: str) -> str:
        """A path, whole: without a folder it is beside the settings."""
        # Path.expanduser raises where no home is known
        return name and os.path.join(self.path.parent, os.path.expanduser(name))  # noqa: PTH111, PTH118

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

    @cached_property
    def outline(self) -> Outline:
        """Where everything stands."""
        from scaledesign.files.toml_outline import outline

        return outline(self.text)

    def fault(self, place: tuple[str, ...], problem: str, remedy: str) -> None:
        if len(self.faults) >= MOST_FAULTS:
            self.faults.append(Fault(problem, remedy))
            return
        found = self.outline
        offset = found.offset(place)
        line = None if offset is None else found.line(offset)
        value = (found.written(place) or "").partition("\n")[0][:_LONGEST_SHOWN]
        self.faults.append(Fault(problem, remedy, ".".join(place), value, line, str(self.path)))


def _nearest(name: str, known: Collection[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(name, known, n=1)
    return f"the nearest known one is {close[0]}" if close else f"known: {', '.join(sorted(known))}"
