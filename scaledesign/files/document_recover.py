"""What can still be read of a damaged design file, and one sentence for each thing that cannot.

Apart from ``document_read.py``, which takes a file whole or not at all: whoever asks for this knows that
something will be missing. The result is a text of its own that is read without a fault: the maker's, comments
and all, with each line that was no use put behind ``# left out:``, and where a flute cannot be without the
value, another that stands in for it and says so. The file itself is never touched.

First the bytes become text, then the text becomes TOML, line by line, then the values are asked, in rounds,
until nothing is wrong any more; each round takes out what it found wrong, the tube before the holes and the
holes before the rows, for what is wrong in one makes what is right in the next look wrong.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from scaledesign.errors import DesignError, Fault
from scaledesign.files.document_keys import LISTS, MISSING_KEY
from scaledesign.files.document_kinds import write_length
from scaledesign.files.document_lines import OUT, WORK, Line, Lines, decoded
from scaledesign.files.document_read import path_of, read
from scaledesign.files.document_stand_in import TUBE, stand_in
from scaledesign.files.document_values import Style
from scaledesign.files.toml_outline import Entry, Outline, Path, Section, outline
from scaledesign.model.document import Design
from scaledesign.values import dataclass

LARGEST = 100_000
"""Signs of a text that is mended: a flute of a thousand rows."""
MOST_TOLD = 100
"""Sentences of one report."""
ROUNDS = 12
_WORDS: Mapping[Path, str] = {
    ("format",): "so what is newer in it is left out",
    ("units",): "so numbers without a unit were taken for mm",
}
STANDS_IN = "  # stands in for what could not be read"
_LISTS_OF_VALUES = {
    ("tube", "bore"),
    ("tube", "wall"),
    ("tube", "avoid"),
    ("shop", "bits"),
    ("tuning", "degrees"),
}


@dataclass(frozen=True, slots=True)
class Recovered:
    """A design that was opened as far as possible; its ``text`` is one that can be read."""

    design: Design
    faults: tuple[Fault, ...]
    """What could not be read, in the order of the file; empty where nothing is wrong."""


def recover(data: bytes, file: str = "<bytes>") -> Recovered:
    """Open a file as far as possible.

    Parameters
    ----------
    data : the whole file
    file : how messages name it

    Raises
    ------
    DesignError : with what is wrong, where too little is left to be a flute
    """
    text, faults = decoded(data, file)
    page = Lines(text, file, faults)
    design = _mended(page)
    told = sorted(page.faults, key=lambda fault: fault.line or 0)
    if len(told) > MOST_TOLD:
        more = f"{len(told) - MOST_TOLD} more things are left out"
        told = [*told[:MOST_TOLD], Fault(more, "they stand in the text that is saved", file=file)]
    return Recovered(design, tuple(told))


def _mended(page: Lines) -> Design:
    """The design, once everything that is wrong is out.

    Raises
    ------
    DesignError : where that leaves no flute
    """
    text = page.text
    try:
        first, wrong = read(text, page.file)
        if not wrong:
            return replace(first, text=text)
        given_up = DesignError(page.file, wrong)
    except DesignError as error:
        given_up = error
    if len(text) > LARGEST:
        raise given_up
    page.headers()
    page.syntax()
    if not page.twice():
        raise given_up
    tried: dict[Path, int] = {}
    for _ in range(max(3, min(ROUNDS, WORK // max(len(text), 1)))):
        text = page.text
        design: Design | None = None
        try:
            design, wrong = read(text, page.file)
        except DesignError as error:
            wrong = error.faults
        if not wrong and design is not None:
            return replace(design, text=text)
        if not _round(page, text, design, wrong, tried):
            break
    raise given_up


def _round(
    page: Lines, text: str, design: Design | None, wrong: Sequence[Fault], tried: dict[Path, int]
) -> bool:
    """Take out or replace everything that is wrong; False where nothing can be done."""
    try:
        where = outline(text)
    except RecursionError:
        return False
    paths = [path_of(fault.key) for fault in wrong]
    work = _Work(page, where, design, set(paths), tried)
    first = min(map(_turn, paths))
    for fault, path in zip(wrong, paths, strict=True):
        if _turn(path) == first and not work.mend(fault):
            return False
    work.done()
    return True


class _Work:
    """One round: what is wrong in the values, each thing once."""

    def __init__(
        self, page: Lines, where: Outline, design: Design | None, wrong: set[Path], tried: dict[Path, int]
    ) -> None:
        self.page, self.where, self.design, self.wrong, self.tried = page, where, design, wrong, tried
        self.statements = {entry.path: entry for section in where.sections for entry in section.entries}
        self.gone: set[int] = set()
        """Places of lines that this round took out."""
        self.replaced: set[Path] = set()
        self.new: list[tuple[int, str]] = []
        """Lines to be put in, and the place each goes behind."""

    def mend(self, fault: Fault) -> bool:
        """Do something about one fault; False where there is nothing to be done."""
        path = self._culprit(path_of(fault.key))
        tried = self.tried[path] = self.tried.get(path, 0) + 1
        if path in _WORDS:
            return self._leave(path, fault, _WORDS[path])
        if path in (("instrument",), ("tube",)):
            return self._add_table(path, fault)
        if len(path) >= 2 and path[0] in LISTS and (tried > 1 or not self._can_stay(path)):
            words = {"holes": "the hole", "rows": "the row", "log": "the entry"}[str(path[0])]
            return self._leave_block(path[:2], fault, f"so {words} is left out")
        if len(path) == 1 and path[0] in LISTS and path not in self.statements:
            return False  # there are far too many
        value = self._stand_in(path) if tried <= 2 else None
        if value is not None:
            return self._replace(path[: 3 if path[0] in LISTS else 2], fault, value)
        if path[:2] in _LISTS_OF_VALUES and len(path) > 2 and self._drop_item(path[:3], fault):
            return True
        if path[:1] == ("tube",) and path[1:2] and path[1] in TUBE:
            return False
        return self._leave(path, fault, "so it is left out")

    def done(self) -> None:
        """Put the new lines in."""
        lines = self.page.lines
        for place, text in sorted(self.new, key=lambda each: each[0], reverse=True):
            lines.insert(place + 1, Line(text + self.page.ending, None))

    def _culprit(self, path: Path) -> Path:
        """What is rather to go where two values do not go together."""
        tube = self.design.tube if self.design else None
        if path == ("tube", "length") and tube and tube.blank is not None and tube.blank < tube.length:
            return ("tube", "blank")
        return path

    def _can_stay(self, path: Path) -> bool:
        """Whether a hole, a row or an entry is still one without this key, or with another value."""
        if path[0] == "holes":  # not one of which nothing is known
            return any((*path[:2], name) in self.where.entries for name in ("at", "diameter"))
        key = LISTS[str(path[0])].named.get(str(path[2])) if len(path) > 2 else None
        return len(path) > 2 and not (key is not None and LISTS[str(path[0])].required(key))

    def _stand_in(self, path: Path) -> str | None:
        """The text of a value that stands in, None where the key may be left out."""
        of_many = len(path) > 2 and path[0] == "tube" and self._many(path)
        return None if self.design is None or of_many else stand_in(self.design, path, self.wrong)

    def _many(self, path: Path) -> bool:
        """Whether other stations are left when this one goes."""
        return sum(place[:2] == path[:2] and len(place) == 3 for place in self.where.entries) > 1

    # What is done to the lines

    def _statement_at(self, path: Path) -> Entry | None:
        """The value on lines of its own in which a path lies."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.statements:
                return self.statements[path[:length]]
        return None

    def _statement_in(self, line: int | None) -> Entry | None:
        """The value that stands in a line: a name may be too odd to be found by."""
        found = (entry for entry in self.statements.values() if line and line - 1 in self._places(entry))
        return next(found, None)

    def _blocks(self, path: Path) -> list[Section]:
        """The tables at a path and inside it."""
        return [part for part in self.where.sections if part.path and path and part.path[: len(path)] == path]

    def _places(self, entry: Entry) -> range:
        return range(self.where.line(entry.key) - 1, self.where.line(max(entry.start, entry.end - 1)))

    def _tell(self, fault: Fault, words: str, place: int, path: Path = ()) -> None:
        if self._told_already(path or path_of(fault.key), words, place):
            return
        problem = f"{fault.problem}, {words}" if words else fault.problem
        self.page.tell(replace(fault, problem=problem), self._number(place))

    def _line_of(self, path: Path, place: int) -> int | None:
        """Where the line of a missing key stands that was left out, in the table that begins at ``place``."""
        lines = self.page.lines
        if len(path) < 2 or path in self.where.entries:
            return None
        line = re.compile(rf"{OUT}\s*{re.escape(str(path[-1]))}\s*=")
        for at in range(place + 1, len(lines)):
            if lines[at].text.lstrip().startswith("["):
                return None
            if lines[at].number in self.page.said and line.match(lines[at].text):
                return at
        return None

    def _told_already(self, path: Path, words: str, place: int) -> bool:
        """Whether this key is missing because its line was left out; then one sentence says both."""
        at = self._line_of(path, place)
        if at is None:
            return False
        faults = self.page.faults
        told = self.page.said[self.page.lines[at].number or 0]
        before, _, _ = faults[told].problem.partition(", so ")
        faults[told] = replace(faults[told], problem=f"{before}, {words}")
        return True

    def _number(self, place: int) -> int | None:
        """The line of the file at or before a place of the text."""
        numbers = [line.number for line in self.page.lines[: place + 1] if line.number is not None]
        return numbers[-1] if numbers else None

    def _leave(self, path: Path, fault: Fault, words: str) -> bool:
        """Leave out the value at a path, or the table that it names."""
        entry = self._statement_at(path) or (None if self._blocks(path) else self._statement_in(fault.line))
        if entry is None:
            return self._leave_block(path, fault, words)
        places = self._places(entry)
        if self.gone.isdisjoint(places):
            self._tell(fault, words, places[0])
            self._take(places)
        return True

    def _leave_block(self, path: Path, fault: Fault, words: str) -> bool:
        """Leave out a table with its heading and all that is in it."""
        blocks = self._blocks(path)
        if not blocks:
            entry = self._statement_at(path)
            return entry is not None and entry.path == path and self._leave(path, fault, words)
        first = self.where.line(blocks[0].header) - 1
        if first in self.gone:
            return True
        self._tell(fault, words, first if not fault.line else fault.line - 1)
        for block in blocks:
            begin = self.where.line(block.header) - 1
            last = max([begin, *(self._places(entry)[-1] for entry in block.entries)])
            self._take(range(begin, last + 1))
        return True

    def _take(self, places: range) -> None:
        for place in places:
            self.page.out(place)
        self.gone.update(places)

    def _replace(self, path: Path, fault: Fault, value: str) -> bool:
        """Another value in place of the one that is there, or is missing."""
        if path in self.replaced:
            return True
        self.replaced.add(path)
        line = f"{path[-1]} = {value}{STANDS_IN}"
        unit = f" {self.design.units}" if self.design and path[-1] != "finger" else ""
        words = f"so {value.strip(chr(34))}{unit} stands in for it"
        if fault.problem == MISSING_KEY:
            fault = replace(
                fault, remedy=f"add {path[-1]} = {value}{', or what you measure' if unit else ''}"
            )
        entry = self.statements.get(path)
        if entry is not None:
            places = self._places(entry)
            if not self.gone.isdisjoint(places):
                return True
            self._tell(fault, words, places[0])
            self._take(places)
            self.new.append((places[-1], line))
            return True
        if self._statement_at(path) is not None:  # inside a table in a line
            return False
        home = self.where.headers.get(path[:-1])
        if home is None and path[0] == "tube":  # written with dots, if at all
            self._tell(fault, words, max(0, (fault.line or 1) - 1))
            self.new.append((-1, f"tube.{line}"))
            return True
        if home is None:
            return False
        place = self.where.line(home) - 1
        if place not in self.gone:
            self._tell(fault, words, place)
            self.new.append((self._line_of(path, place) or place, line))
        return True

    def _drop_item(self, path: Path, fault: Fault) -> bool:
        """Leave one item of a list out, the others in; False where none would be left."""
        whole = self.statements.get(path[:2])
        items = sorted(
            (
                entry
                for place, entry in self.where.entries.items()
                if place[:2] == path[:2] and len(place) == 3
            ),
            key=lambda entry: entry.start,
        )
        left = [entry for entry in items if entry.path not in {place[:3] for place in self.wrong}]
        if whole is None or not left:
            return False
        places = self._places(whole)
        if not self.gone.isdisjoint(places):
            self._tell(fault, "so it is left out", self.where.line(self.where.entries[path].start) - 1)
            return True
        text = self.where.text
        value = ", ".join(
            text[entry.start : entry.end].replace("\r", "").replace("\n", " ") for entry in left
        )
        self._tell(fault, "so it is left out", places[0])
        self._take(places)
        self.new.append((places[-1], f"{path[1]} = [{value}]"))
        return True

    def _add_table(self, path: Path, fault: Fault) -> bool:
        """A table that must be there."""
        if path == ("tube",) and not (self.design and self.design.holes):
            return False
        if any(section.path[:1] == path for section in self.where.sections) or path in self.statements:
            return False
        style = Style(self.design.units if self.design else "mm")
        lines = [f"[{path[0]}]"]
        if path == ("tube",):
            lines += [
                f"{key} = {self._stand_in((*path, key)) or write_length(m, style, '')}{STANDS_IN}"
                for key, m in TUBE.items()
            ]
        first = next((s.header for s in self.where.sections if s.path), len(self.where.text))
        place = self.where.line(first) - 2
        words = "so one stands in for it" if path == ("tube",) else "so a duct mouth stands in for it"
        self._tell(fault, words, max(place, 0))
        for line in lines:
            self.new.append((place, line))
        return True


def _turn(path: Path) -> int:
    """What is mended first: the tables, then the holes, then what is said of their fingers."""
    return {"holes": 1, "rows": 2, "log": 2}.get(str(path[0]), 0) if path else 0
