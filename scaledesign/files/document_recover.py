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

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from statistics import median
from typing import get_args

from scaledesign.errors import DesignError, Fault
from scaledesign.files.document_keys import LISTS, TABLES
from scaledesign.files.document_kinds import write_length
from scaledesign.files.document_read import path_of, read, syntax_fault
from scaledesign.files.document_values import Style, toml_string
from scaledesign.files.toml_outline import Entry, Outline, Path, Section, outline
from scaledesign.files.toml_text import parsed
from scaledesign.model.document import Design, Finger
from scaledesign.values import dataclass

LARGEST = 100_000
"""Signs of a text that is mended: a flute of a thousand rows."""
MOST_TOLD = 100
"""Sentences of one report."""
MOST_LINES = 100
"""Lines of one value."""
ROUNDS, WORK = 12, 400_000
"""Rounds at most, and how many signs may be read in all of them together."""
OUT = "# left out: "
_WORDS: Mapping[Path, str] = {
    ("format",): "so what is newer in it is left out",
    ("units",): "so numbers without a unit were taken for mm",
}
STANDS_IN = "  # stands in for what could not be read"
_TUBE = {"length": 0.4, "bore": 0.016, "wall": 0.003}
"""Metres that stand in where nothing better is known."""
_HEADER = re.compile(r"\s*(\[{1,2})\s*([\w.\-\" ]+?)\s*(\]{0,2})\s*(#.*)?$")
_BROKEN_HEADER = re.compile(r"\s*\[{1,2}[^=]*$")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
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


@dataclass(slots=True)
class _Line:
    """A line of the text, and its number in the file; None for one that was put in."""

    text: str
    number: int | None


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
    text, faults = _decoded(data, file)
    mender = _Mender(text, file, faults)
    design = mender.run()
    told = sorted(mender.faults, key=lambda fault: fault.line or 0)
    if len(told) > MOST_TOLD:
        more = f"{len(told) - MOST_TOLD} more things are left out"
        told = [*told[:MOST_TOLD], Fault(more, "they stand in the text that is saved", file=file)]
    return Recovered(design, tuple(told))


def _decoded(data: bytes, file: str) -> tuple[str, list[Fault]]:
    """The text, whatever it is written in, and what was wrong with that."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        wrong = Fault("the text is UTF-16 and was read as that", "save it as UTF-8", line=1, file=file)
        return data.decode("utf-16", "replace").replace("\r\n", "\n"), [wrong]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    else:
        if "\r" in text and "\n" not in text:
            text = text.replace("\r", "\n")
        return text, []
    lines = data.decode("utf-8", "surrogateescape").split("\n")
    faults = []
    for number, line in enumerate(lines, 1):
        if any("\udc80" <= letter <= "\udcff" for letter in line):
            raw = line.encode("utf-8", "surrogateescape")
            lines[number - 1] = plain = raw.decode("latin-1")
            remedy = "look at its letters, and save the file as UTF-8"
            problem = "the text is not UTF-8, so it was read as Latin letters"
            faults.append(Fault(problem, remedy, "", _short(plain), number, file))
    return "\n".join(lines), faults[:50]


class _Mender:
    """The lines of a text, made better round by round."""

    def __init__(self, text: str, file: str, faults: list[Fault]) -> None:
        self.file = file
        self.faults = faults
        self.lines = [_Line(line, number) for number, line in enumerate(text.split("\n"), 1)]
        self.lines[-1].text = self.lines[-1].text.removesuffix("\r")  # half an ending, where it was cut off
        self.ending = "\r" if text.count("\r\n") * 2 > text.count("\n") else ""
        self.tried: dict[Path, int] = {}
        self.said: dict[int, int] = {}
        """Which fault was told of a line that is no TOML, by the line's number in the file."""

    @property
    def text(self) -> str:
        """The text as it is now."""
        return "\n".join(line.text for line in self.lines)

    def run(self) -> Design:
        """The design, once everything that is wrong is out.

        Raises
        ------
        DesignError : where that leaves no flute
        """
        text = self.text
        try:
            first, wrong = read(text, self.file)
            if not wrong:
                return replace(first, text=text)
            given_up = DesignError(self.file, wrong)
        except DesignError as error:
            given_up = error
        if len(text) > LARGEST:
            raise given_up
        self._headers()
        self._syntax()
        self._twice(given_up)
        for _ in range(max(3, min(ROUNDS, WORK // max(len(text), 1)))):
            text = self.text
            try:
                design, wrong = read(text, self.file)
            except DesignError as error:
                design, wrong = None, error.faults
            if not wrong and design is not None:
                return replace(design, text=text)
            if not self._mended(text, design, wrong):
                break
        raise given_up

    # From text to TOML

    def _headers(self) -> None:
        """Headers that are nearly right become right: a block under a wrong one would be lost whole."""
        for line in self.lines:
            found = _HEADER.match(line.text)
            if found is None:
                continue
            name = found[2].replace('"', "").replace(" ", "")
            top, _, rest = name.partition(".")
            close = get_close_matches(top.casefold(), (*TABLES, *LISTS), 1)
            if not close or (rest and top != close[0]):
                continue
            brackets = 2 if close[0] in LISTS and not rest else 1
            right = "[" * brackets + close[0] + (f".{rest}" if rest else "") + "]" * brackets
            if top != close[0] or found[1] != "[" * brackets or found[3] != "]" * brackets:
                problem = f"that is no heading known here, so it was read as {right}"
                self._tell(Fault(problem, f"write {right}", "", _short(line.text)), line.number)
                line.text = f"{right}  {OUT}{_plain(line.text.strip())}{self._ending(line)}"

    def _syntax(self) -> None:
        """Lines that are no TOML by themselves are left out; one sentence for those that stand together."""
        place = 0
        bad: list[tuple[int, Fault]] = []
        while place < len(self.lines):
            wrong, last = self._statement(place)
            if wrong is None:
                self._leave_out_together(bad)
                bad = []
            else:
                if _BROKEN_HEADER.match(self.lines[place].text):
                    last = self._end_of_block(place)
                bad += [(at, wrong) for at in range(place, last + 1)]
            place = last + 1
        self._leave_out_together(bad)

    def _statement(self, place: int) -> tuple[Fault | None, int]:
        """What is wrong with the value that begins in a line, and in which line it ends."""
        first = self.lines[place].text
        wrong = self._fault_of(first)
        if wrong is None:
            return None, place
        value = first.partition("=")[2].strip()
        closing = next((sign for sign in ('"""', "'''") if value.startswith(sign)), "]")
        ends = self._ends(place, closing) if value.startswith((closing, "[")) else iter(())
        for last in ends:
            if self._fault_of("\n".join(line.text for line in self.lines[place : last + 1])) is None:
                return None, last
        return wrong, place

    def _ends(self, place: int, closing: str) -> Iterator[int]:
        """Lines in which a value that begins at ``place`` may end, by what closes it."""
        tries = 0
        for last in range(place + 1, min(place + MOST_LINES, len(self.lines))):
            text = self.lines[last].text
            if closing in text:
                yield last
                tries += 1
            if tries >= 8 or (_HEADER.match(text) and text.lstrip().startswith("[[")):
                return

    def _fault_of(self, text: str) -> Fault | None:
        try:
            parsed(text.removeprefix("\ufeff").replace("\r", "") + "\n", float)
        except ValueError as error:
            return syntax_fault(str(error), text, self.file)
        return None

    def _end_of_block(self, place: int) -> int:
        """The last line before the next heading."""
        for last in range(place + 1, len(self.lines)):
            if self.lines[last].text.lstrip().startswith("["):
                return last - 1
        return len(self.lines) - 1

    def _leave_out_together(self, bad: Sequence[tuple[int, Fault]]) -> None:
        if not bad:
            return
        (first, fault), last = bad[0], bad[-1][0]
        problem = f"{fault.problem}, so this line is left out"
        if last > first:
            problem = f"{fault.problem}, so this and all to line {self.lines[last].number} is left out"
        if last == first:
            self.said[self.lines[first].number or 0] = len(self.faults)
        self._tell(replace(fault, problem=problem), self.lines[first].number)
        for place, _ in bad:
            self._out(place)

    def _twice(self, given_up: DesignError) -> None:
        """What stands twice stands once: the second is left out, a table with all its lines."""
        for _ in range(max(3, min(2 * ROUNDS, WORK // max(len(self.text), 1)))):
            fault = self._fault_of(self.text)
            if fault is None:
                return
            if fault.line is None or fault.line > len(self.lines):
                raise given_up
            place = fault.line - 1
            last = self._end_of_block(place) if self.lines[place].text.lstrip().startswith("[") else place
            self._leave_out_together([(at, fault) for at in range(place, last + 1)])
        raise given_up

    # From TOML to a flute

    def _mended(self, text: str, design: Design | None, wrong: Sequence[Fault]) -> bool:
        """Take out or replace everything that is wrong; False where nothing can be done."""
        try:
            where = outline(text)
        except RecursionError:
            return False
        paths = [path_of(fault.key) for fault in wrong]
        work = _Work(self, where, design, set(paths))
        first = min(map(_turn, paths))
        for fault, path in zip(wrong, paths, strict=True):
            if _turn(path) == first and not work.mend(fault):
                return False
        work.done()
        return True

    def _out(self, place: int) -> None:
        line = self.lines[place]
        if line.text.strip() and not line.text.startswith(OUT):
            line.text = f"{OUT}{_plain(line.text.rstrip())}{self._ending(line)}"

    def _ending(self, line: _Line) -> str:
        """What stands before the end of a line; the last has none."""
        return "" if line is self.lines[-1] else self.ending

    def _tell(self, fault: Fault, number: int | None) -> None:
        self.faults.append(replace(fault, line=number, file=self.file))


class _Work:
    """One round: what is wrong in the values, each thing once."""

    def __init__(self, mender: _Mender, where: Outline, design: Design | None, wrong: set[Path]) -> None:
        self.mender, self.where, self.design, self.wrong = mender, where, design, wrong
        self.statements = {entry.path: entry for section in where.sections for entry in section.entries}
        self.gone: set[int] = set()
        """Places of lines that this round took out."""
        self.replaced: set[Path] = set()
        self.new: list[tuple[int, str]] = []
        """Lines to be put in, and the place each goes behind."""

    def mend(self, fault: Fault) -> bool:
        """Do something about one fault; False where there is nothing to be done."""
        path = self._culprit(path_of(fault.key))
        tried = self.mender.tried[path] = self.mender.tried.get(path, 0) + 1
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
        if path[:1] == ("tube",) and path[1:2] and path[1] in _TUBE:
            return False
        return self._leave(path, fault, "so it is left out")

    def done(self) -> None:
        """Put the new lines in."""
        lines = self.mender.lines
        for place, text in sorted(self.new, key=lambda each: each[0], reverse=True):
            lines.insert(place + 1, _Line(text + self.mender.ending, None))

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
        design = self.design
        if design is None or len(path) < 2:
            return None
        style = Style(design.units)
        holes = [hole for index, hole in enumerate(design.holes) if ("holes", index, "at") not in self.wrong]
        if (
            path[0] == "tube"
            and path[1] in _TUBE
            and not (path[1] != "length" and len(path) > 2 and self._many(path))
        ):
            metres = _TUBE[str(path[1])]
            far = max((hole.at for hole in holes if math.isfinite(hole.at)), default=0.0)
            if path[1] == "length" and design.tube.blank and math.isfinite(design.tube.blank):
                metres = design.tube.blank
            elif path[1] == "length" and far:
                metres = 1.2 * far
            return write_length(round(metres, 4), style, "")
        if path[0] != "holes" or len(path) < 3:
            return None
        index = int(path[1])
        if path[2] == "at":
            return write_length(round(self._place(index), 4), style, "")
        if path[2] == "diameter":
            sizes = [
                hole.diameter
                for i, hole in enumerate(design.holes)
                if ("holes", i) not in {place[:2] for place in self.wrong} and math.isfinite(hole.diameter)
            ]
            sizes = sizes or [0.4 * _TUBE["bore"]]
            return write_length(round(median(sizes), 4), style, "")
        if path[2] == "finger":
            taken = {hole.finger for i, hole in enumerate(design.holes) if i != index}
            free = next((finger for finger in get_args(Finger) if finger not in taken), "none")
            return toml_string(free)
        return None

    def _many(self, path: Path) -> bool:
        """Whether other stations are left when this one goes."""
        return sum(place[:2] == path[:2] and len(place) == 3 for place in self.where.entries) > 1

    def _place(self, index: int) -> float:
        """Where a hole may be whose place is not known: between those beside it."""
        assert self.design is not None
        length = self.design.tube.length
        length = length if math.isfinite(length) else _TUBE["length"]
        places = [
            (i, hole.at)
            for i, hole in enumerate(self.design.holes)
            if i != index and ("holes", i, "at") not in self.wrong and 0 < hole.at < length
        ]
        before = max((at for i, at in places if i < index), default=None)
        after = min((at for i, at in places if i > index), default=None)
        if before is not None and after is not None and before < after:
            return (before + after) / 2
        if before is not None:
            return before + (length - before) / 3
        return after * 0.8 if after is not None else length / 2

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
        self.mender._tell(replace(fault, problem=problem), self._number(place))

    def _line_of(self, path: Path, place: int) -> int | None:
        """Where the line of a missing key stands that was left out, in the table that begins at ``place``."""
        lines = self.mender.lines
        if len(path) < 2 or path in self.where.entries:
            return None
        line = re.compile(rf"{OUT}\s*{re.escape(str(path[-1]))}\s*=")
        for at in range(place + 1, len(lines)):
            if lines[at].text.lstrip().startswith("["):
                return None
            if lines[at].number in self.mender.said and line.match(lines[at].text):
                return at
        return None

    def _told_already(self, path: Path, words: str, place: int) -> bool:
        """Whether this key is missing because its line was left out; then one sentence says both."""
        at = self._line_of(path, place)
        if at is None:
            return False
        faults = self.mender.faults
        told = self.mender.said[self.mender.lines[at].number or 0]
        before, _, _ = faults[told].problem.partition(", so ")
        faults[told] = replace(faults[told], problem=f"{before}, {words}")
        return True

    def _number(self, place: int) -> int | None:
        """The line of the file at or before a place of the text."""
        numbers = [line.number for line in self.mender.lines[: place + 1] if line.number is not None]
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
            self.mender._out(place)
        self.gone.update(places)

    def _replace(self, path: Path, fault: Fault, value: str) -> bool:
        """Another value in place of the one that is there, or is missing."""
        if path in self.replaced:
            return True
        self.replaced.add(path)
        line = f"{path[-1]} = {value}{STANDS_IN}"
        unit = f" {self.design.units}" if self.design and path[-1] != "finger" else ""
        words = f"so {value.strip(chr(34))}{unit} stands in for it"
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
                for key, m in _TUBE.items()
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


def _plain(text: str) -> str:
    """A text that may stand in a comment."""
    return _CONTROL.sub("?", text.replace("\t", " ").replace("\r", ""))


def _short(text: str) -> str:
    text = _plain(" ".join(text.split()))
    return text if len(text) <= 60 else f"{text[:57]}..."
