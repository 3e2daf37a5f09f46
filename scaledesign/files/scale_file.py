"""Scale files: one scale as TOML, read with every fault named at once.

::

    [scale]
    name    = "just pentatonic minor"
    words   = "Five notes with pure fourths and fifths."
    source  = "author, year, title, table"
    degrees = ["1", "6/5", "4/3", "3/2", "9/5"]   # ratios or cents ("498 c") above the tonic
    period  = "2"                                 # optional; the degrees repeat from here
    steps   = [0, 3, 5, 7, 10]                    # optional; semitones that each degree is written at
    also    = ["another name"]                    # optional
    kind    = "pure intervals"                    # optional; what it is listed among

Without ``period`` the scale repeats at the octave, or where a list that reaches the octave ends.
Apart from design files: a scale is shared by many designs. No tuning and no frequency belongs here.
"""

from __future__ import annotations

import re
from pathlib import Path

from scaledesign.errors import Fault, QuantityError, ScaleError
from scaledesign.files.document_values import text_of
from scaledesign.files.own_files import get, reason
from scaledesign.files.toml_text import parsed
from scaledesign.model.scale import MOST_DEGREES, Scale, closed, parse_degree

LARGEST, MOST_FAULTS = 200_000, 50
"""Bytes of a file that are read, and faults that are told of it."""
_FAR = 100_000
"""No step is as far up, nor down."""
KEYS = ("name", "words", "source", "degrees", "period", "steps", "also", "kind")


def load(path: Path) -> Scale:
    """Scale of the file at ``path``.

    Raises
    ------
    ScaleError
        with every fault that the file has.
    """
    try:
        text = get(path, LARGEST).decode("utf-8")
    except UnicodeDecodeError:
        fault = Fault("is no UTF-8 text", "save the file as UTF-8", file=path.name)
        raise ScaleError(path, (fault,)) from None
    except (OSError, ValueError) as error:
        fault = Fault(f"cannot be read ({reason(error)})", "check the name and your rights", file=str(path))
        raise ScaleError(path, (fault,)) from None
    return loads(text, path.name)


def loads(text: str, file: str = "<text>") -> Scale:
    """Scale of a file's text; ``file`` is the name that faults are reported under.

    Raises
    ------
    ScaleError
        with every fault that the text has.
    """
    reader = _Reader(text, file)
    scale = reader.scale()
    if scale is None:
        raise ScaleError(file, tuple(reader.faults))
    return scale


def dumps(scale: Scale) -> str:
    """Text of a scale file that reads back as ``scale``: ratios where they say the same, else cents."""
    import tomli_w

    table: dict[str, object] = {"name": scale.name}
    table.update({key: text for key, text in (("words", scale.words), ("source", scale.source)) if text})
    table["degrees"] = [_size(value) for value in scale.cents]
    table["period"] = _size(scale.period)
    if scale.steps is not None:
        table["steps"] = list(scale.steps)
    if scale.also:
        table["also"] = list(scale.also)
    if scale.kind:
        table["kind"] = scale.kind
    return tomli_w.dumps({"scale": table})


def _size(value: float) -> str:
    from scaledesign.model.degrees import cents_text, degree_text

    text = degree_text(value)
    return text if parse_degree(text) == value else cents_text(value)


class _Reader:
    """Collects the faults of one file while taking it apart."""

    def __init__(self, text: str, file: str) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.table: dict[str, object] = {}
        self.text, self.lines = text, text.splitlines()

    def scale(self) -> Scale | None:
        """The scale, or None when there are faults."""
        table = self._table()
        if table is None:
            return None
        self.table = table
        for key in table:
            if key not in KEYS:
                self._fault(key, "is no key of a scale", f"write {_nearest(key)}")
        name = self._text("name", needed=True)
        words, source, kind = self._text("words"), self._text("source"), self._text("kind")
        degrees = self._degrees()
        period = self._degree("period", self.table["period"]) if "period" in self.table else None
        steps, also = self._steps(), self._also()
        if self.faults:
            return None
        try:
            cents, size = closed(degrees) if period is None else (degrees, period)
            return Scale(name, cents, size, steps, source, words, also, kind)
        except QuantityError as error:
            key = "steps" if "step" in error.problem else "degrees"
            self._fault(key, error.problem, error.remedy, value="")
            return None

    def _table(self) -> dict[str, object] | None:
        try:
            document = parsed(self.text)
        except ValueError as error:
            found = re.search(r"line (\d+)", str(error))
            line = int(found[1]) if found else len(self.lines)
            problem = f"is no TOML ({re.sub(r' .at .*', '', str(error))})"
            self.faults.append(
                Fault(problem, 'write key = "text", a list in brackets', line=line, file=self.file)
            )
            return None
        for key in document:
            if key != "scale":
                self._fault(key, "does not belong here", "keep everything under [scale]", dotted=key)
        table = document.get("scale")
        if isinstance(table, dict):
            return table
        self.faults.append(Fault("has no table [scale]", "begin the file with [scale]", file=self.file))
        return None

    def _text(self, key: str, *, needed: bool = False) -> str:
        value = self.table.get(key, "")
        if not isinstance(value, str):
            self._fault(key, "is no text", "put it in quotation marks")
            return ""
        if needed and not value.strip():
            self._fault(key, "is missing", f'write {key} = "..."', value="")
        return value

    def _degrees(self) -> tuple[float, ...]:
        value = self.table.get("degrees")
        if not isinstance(value, list) or not value:
            self._fault("degrees", "is no list of degrees", 'write degrees = ["1", "6/5", "498 c"]')
            return ()
        if len(value) > MOST_DEGREES:
            self._fault("degrees", f"has {len(value)} degrees", f"at most {MOST_DEGREES} are read", value="")
            return ()
        return tuple(
            self._degree(f"degrees[{number}]", degree) for number, degree in enumerate(value, start=1)
        )

    def _degree(self, key: str, value: object) -> float:
        if not isinstance(value, str):
            self._fault(
                key, "is no text", 'write ratios and cents in quotation marks, "6/5" or "498 c"', value
            )
            return 0.0
        try:
            return parse_degree(value)
        except QuantityError as error:
            self._fault(key, error.problem, error.remedy, value)
            return 0.0

    def _steps(self) -> tuple[float, ...] | None:
        value = self.table.get("steps")
        if value is None:
            return None
        if isinstance(value, list) and all(type(step) in (int, float) and abs(step) < _FAR for step in value):
            return tuple(float(step) for step in value)
        self._fault(
            "steps", "is no list of numbers", "write semitones above the tonic, such as [0, 3, 5, 7, 10]"
        )
        return None

    def _also(self) -> tuple[str, ...]:
        value = self.table.get("also", [])
        if isinstance(value, list) and all(isinstance(name, str) and name.strip() for name in value):
            return tuple(value)
        self._fault("also", "is no list of names", 'write also = ["another name"]')
        return ()

    def _fault(
        self, key: str, problem: str, remedy: str, value: object = None, *, dotted: str | None = None
    ) -> None:
        if len(self.faults) >= MOST_FAULTS:
            return
        shown = self.table.get(key, "") if value is None and dotted is None else value
        line = self._line(key.partition("[")[0], shown)
        text = shown if isinstance(shown, str) else "" if shown is None else text_of(shown)
        self.faults.append(Fault(problem, remedy, dotted or f"scale.{key}", text, line, self.file))

    def _line(self, key: str, value: object) -> int | None:
        """Line of a key, or of a value in the list that begins there."""
        lines = self.lines
        begins = re.compile(rf"\s*\[*\s*{re.escape(key)}\s*[\]=.]")
        start = next((n for n, line in enumerate(lines, start=1) if begins.match(line)), None)
        if start is None or not isinstance(value, str) or not value:
            return start
        held = (n for n, line in enumerate(lines[start - 1 :], start=start) if f'"{value}"' in line)
        return next(held, start)


def _nearest(key: str) -> str:
    from difflib import get_close_matches

    close = get_close_matches(key, KEYS, n=1)
    return f"{close[0]!r}" if close else f"one of {', '.join(KEYS)}"
