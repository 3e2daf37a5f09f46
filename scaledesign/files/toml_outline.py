"""Where things stand in a TOML text: the line and the span of every key, value and table.

The standard library reads TOML but forgets where it read it. Messages want the line, and an edit
that keeps every comment wants the span. Only for text that ``tomllib`` has accepted: nothing is
checked twice here, and nothing is known about flutes.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from dataclasses import field

from scaledesign.values import dataclass

Path = tuple[str | int, ...]
"""Names and 0-based indices: ``("holes", 0, "at")``."""

_SPACE = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"(?:[^"\\]|\\.)*"')
_LITERAL = re.compile(r"'[^']*'")
_MULTI_BASIC = re.compile(r'"""(?:[^\\]|\\.)*?"{3,5}(?!")', re.DOTALL)
_MULTI_LITERAL = re.compile(r"'''.*?'{3,5}(?!')", re.DOTALL)
_SCALAR = re.compile(r"[^,\]}#\r\n]*")


@dataclass(frozen=True, slots=True)
class Entry:
    """One value: offsets of its key (or of itself, in an array), its start and its end."""

    path: Path
    key: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Section:
    """What one header governs. ``header`` is the header line's offset."""

    path: Path
    header: int
    entries: tuple[Entry, ...]
    """Those of its own lines, in order; not what stands inside an inline table."""


@dataclass(slots=True)
class Outline:
    """Everything found in a text; ``sections[0]`` is the part before the first header."""

    text: str
    sections: list[Section] = field(default_factory=list)
    entries: dict[Path, Entry] = field(default_factory=dict)
    headers: dict[Path, int] = field(default_factory=dict)
    newlines: list[int] = field(default_factory=list)

    def line(self, offset: int) -> int:
        """Line of an offset, counted from 1."""
        return bisect_left(self.newlines, offset) + 1

    def offset(self, path: Path) -> int | None:
        """Where ``path`` or the nearest thing around it stands, None for the file as a whole."""
        for length in range(len(path), 0, -1):
            part = path[:length]
            if part in self.entries:
                return self.entries[part].key
            if part in self.headers:
                return self.headers[part]
            inside = [header for place, header in self.headers.items() if place[:length] == part]
            if inside:
                return min(inside)
        return None

    def written(self, path: Path) -> str | None:
        """The value of ``path`` as written, None where it is no single value."""
        entry = self.entries.get(path)
        return self.text[entry.start : entry.end] if entry else None


def outline(text: str) -> Outline:
    """Outline of a TOML text that ``tomllib`` accepts (a leading byte order mark may stand)."""
    return _Scanner(text).run()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.newlines = [match.start() for match in re.finditer("\n", text)]
        self.found = Outline(text, newlines=self.newlines)
        self.counts: dict[Path, int] = {}

    def run(self) -> Outline:
        path: Path = ()
        header = 0
        entries: list[Entry] = []
        position = _end(_GAP, self.text, 1 if self.text.startswith("\ufeff") else 0)
        while position < len(self.text):
            if self.text[position] == "[":
                start = self.line_start(position)
                self.found.sections.append(Section(path, header, tuple(entries)))
                path, position = self.header(position)
                header, entries = start, []
                self.found.headers[path] = start
            else:
                entry = self.pair(position, path)
                entries.append(entry)
                position = entry.end
            position = _end(_GAP, self.text, position)
        self.found.sections.append(Section(path, header, tuple(entries)))
        return self.found

    def line_start(self, position: int) -> int:
        before = bisect_right(self.newlines, position - 1)
        return self.newlines[before - 1] + 1 if before else int(self.text.startswith("\ufeff"))

    def header(self, position: int) -> tuple[Path, int]:
        array = self.text.startswith("[[", position)
        names, position = self.names(position + (2 if array else 1))
        path: Path = ()
        for name in names[:-1]:
            path = self.inside((*path, name))
        path = (*path, names[-1])
        if array:
            self.counts[path] = self.counts.get(path, -1) + 1
        return self.inside(path), position + (2 if array else 1)

    def inside(self, path: Path) -> Path:
        """``path``, with the index of the last table where it is an array of tables."""
        return (*path, self.counts[path]) if path in self.counts else path

    def names(self, position: int) -> tuple[list[str], int]:
        """Dotted key at ``position``: its names, and where it ends."""
        names = []
        while True:
            position = _end(_SPACE, self.text, position)
            quote = self.text[position]
            pattern = _BASIC if quote == '"' else _LITERAL if quote == "'" else _BARE_KEY
            end = _end(pattern, self.text, position)
            names.append(self.text[position:end].strip("\"'"))
            position = _end(_SPACE, self.text, end)
            if self.text[position] != ".":
                return names, position
            position += 1

    def pair(self, position: int, path: Path) -> Entry:
        names, equals = self.names(position)
        return self.value(position, _end(_SPACE, self.text, equals + 1), (*path, *names))

    def value(self, key: int, start: int, path: Path) -> Entry:
        first = self.text[start]
        if first == "[":
            end = self.array(start, path)
        elif first == "{":
            end = self.inline_table(start, path)
        elif first in "\"'":
            multi = self.text.startswith(first * 3, start)
            patterns = (_MULTI_BASIC, _BASIC) if first == '"' else (_MULTI_LITERAL, _LITERAL)
            end = _end(patterns[0] if multi else patterns[1], self.text, start)
        else:
            end = start + len(self.text[start : _end(_SCALAR, self.text, start)].rstrip())
        entry = self.found.entries[path] = Entry(path, key, start, end)
        return entry

    def array(self, position: int, path: Path) -> int:
        position = _end(_GAP, self.text, position + 1)
        index = 0
        while self.text[position] != "]":
            position = _end(_GAP, self.text, self.value(position, position, (*path, index)).end)
            index += 1
            if self.text[position] == ",":
                position = _end(_GAP, self.text, position + 1)
        return position + 1

    def inline_table(self, position: int, path: Path) -> int:
        position = _end(_GAP, self.text, position + 1)
        while self.text[position] != "}":
            position = _end(_GAP, self.text, self.pair(position, path).end)
            if self.text[position] == ",":
                position = _end(_GAP, self.text, position + 1)
        return position + 1


def _end(pattern: re.Pattern[str], text: str, position: int) -> int:
    found = pattern.match(text, position)
    if found is None:
        raise AssertionError(f"not the TOML that tomllib accepts, at offset {position}")
    return found.end()
