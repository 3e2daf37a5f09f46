"""Bytes of a damaged design file made into lines of TOML, the bad ones put behind a sign.

Apart from ``document_recover.py``, which knows flutes: here a heading is known by its name, and otherwise
only what TOML is. A line keeps its number in the file, whatever is put in or taken out around it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import get_close_matches

from scaledesign.errors import Fault
from scaledesign.files.document_keys import LISTS, TABLES
from scaledesign.files.document_read import syntax_fault
from scaledesign.files.toml_text import parsed
from scaledesign.values import dataclass

OUT = "# left out: "
MOST_LINES = 100
"""Lines of one value."""
WORK = 400_000
"""How many signs may be read in all tries together."""
_HEADER = re.compile(r"\s*(\[{1,2})\s*([\w.\-\" ]+?)\s*(\]{0,2})\s*(#.*)?$")
_BROKEN_HEADER = re.compile(r"\s*\[{1,2}[^=]*$")
_KEYED = re.compile(r"\s*[\w.\-\"]+\s*=")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


@dataclass(slots=True)
class Line:
    """A line of the text, and its number in the file; None for one that was put in."""

    text: str
    number: int | None


def decoded(data: bytes, file: str) -> tuple[str, list[Fault]]:
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
            faults.append(Fault(problem, remedy, "", short(plain), number, file))
    return "\n".join(lines), faults[:50]


class Lines:
    """The lines of a text, and what was found wrong with them."""

    def __init__(self, text: str, file: str, faults: list[Fault]) -> None:
        self.file = file
        self.faults = faults
        self.lines = [Line(line, number) for number, line in enumerate(text.split("\n"), 1)]
        self.lines[-1].text = self.lines[-1].text.removesuffix("\r")  # half an ending, where it was cut off
        self.ending = "\r" if text.count("\r\n") * 2 > text.count("\n") else ""
        self.said: dict[int, int] = {}
        """Which fault was told of a line that is no TOML, by the line's number in the file."""

    @property
    def text(self) -> str:
        """The text as it is now."""
        return "\n".join(line.text for line in self.lines)

    def headers(self) -> None:
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
                self.tell(Fault(problem, f"write {right}", "", short(line.text)), line.number)
                line.text = f"{right}  {OUT}{plain(line.text.strip())}{self._ending(line)}"

    def syntax(self) -> None:
        """Lines that are no TOML by themselves are left out; one sentence for those that stand together."""
        place = 0
        bad: list[tuple[int, Fault]] = []
        while place < len(self.lines):
            wrong, last = self._statement(place)
            if wrong is None:
                self._leave_out_together(bad)
                bad = []
            else:
                if not (bad and self._goes_on(bad[0][0], place)):
                    self._leave_out_together(bad)
                    bad = []
                if _BROKEN_HEADER.match(self.lines[place].text):
                    last = self._end_of_block(place)
                bad += [(at, wrong) for at in range(place, last + 1)]
            place = last + 1
        self._leave_out_together(bad)

    def _goes_on(self, first: int, place: int) -> bool:
        """Whether a bad line belongs to what begins in another, and is no thing of its own."""
        before, text = self.lines[first].text, self.lines[place].text
        opens = before.partition("=")[2].lstrip().startswith(("[", "{", '"""', "'''"))
        return not _KEYED.match(text) and (opens or not _KEYED.match(before))

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
        self.tell(replace(fault, problem=problem), self.lines[first].number)
        for place, _ in bad:
            self.out(place)

    def twice(self) -> bool:
        """What stands twice is left out the second time, a table with its lines; whether that was enough."""
        for _ in range(max(3, min(24, WORK // max(len(self.text), 1)))):
            fault = self._fault_of(self.text)
            if fault is None:
                return True
            if fault.line is None or fault.line > len(self.lines):
                return False
            place = fault.line - 1
            last = self._end_of_block(place) if self.lines[place].text.lstrip().startswith("[") else place
            self._leave_out_together([(at, fault) for at in range(place, last + 1)])
        return False

    def out(self, place: int) -> None:
        """Put a line behind the sign."""
        line = self.lines[place]
        if line.text.strip() and not line.text.startswith(OUT):
            line.text = f"{OUT}{plain(line.text.rstrip())}{self._ending(line)}"

    def _ending(self, line: Line) -> str:
        """What stands before the end of a line; the last has none."""
        return "" if line is self.lines[-1] else self.ending

    def tell(self, fault: Fault, number: int | None) -> None:
        """Note what is wrong in a line of the file."""
        self.faults.append(replace(fault, line=number, file=self.file))


def plain(text: str) -> str:
    """A text that may stand in a comment."""
    return _CONTROL.sub("?", text.replace("\t", " ").replace("\r", ""))


def short(text: str) -> str:
    """A text as a message shows it."""
    text = plain(" ".join(text.split()))
    return text if len(text) <= 60 else f"{text[:57]}..."
