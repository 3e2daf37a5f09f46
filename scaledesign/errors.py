"""The error tree: facts as attributes, the sentence built from them.

Apart from everything else so that any layer may raise without importing another.

::

    ScaledesignError          anything this program can explain; one clear sentence a fault
    ├── QuantityError         a length, temperature, pressure or pitch that cannot be read
    ├── DesignError           a design file that cannot be opened; carries every fault at once
    ├── ScaleError            a scale file that cannot be opened; carries every fault at once
    ├── UnknownNameError      a scale, system, bit set, hand or example that nobody offers
    ├── EditError             an edit that does not fit the document it is applied to
    ├── PluginError           a plug-in that was named and cannot be used
    ├── NoPitchError          a fingering whose register cannot be found in the audible range
    ├── SilentError           sound that this machine cannot play
    └── RecordingError        a recording that cannot be listened to
"""

from __future__ import annotations

from pathlib import Path

from scaledesign.values import dataclass

LONGEST_SHOWN, LONGEST_SAID = 120, 300
"""Signs of a stranger's text, and of a sentence, that are shown."""


def cut(text: str, most: int = LONGEST_SHOWN) -> str:
    """A text, cut where it is long."""
    return text if len(text) <= most else f"{text[: most - 3]}..."


def shown(text: str, most: int = LONGEST_SHOWN) -> str:
    """A text as a sentence may hold it: cut where it is long, signs that no screen shows spelled out."""
    text = cut(text, most)
    if text.isprintable():
        return text
    return cut("".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text), most)


def quoted(text: str) -> str:
    """A text in quotation marks, as Python writes it; cut where it is long, or becomes so."""
    said = repr(cut(text))
    return said if len(said) <= 2 * LONGEST_SHOWN else f"'{shown(text)}'"


def own_fault(error: Exception) -> str:
    """What is said of an error that nobody foresaw, without its full stop."""
    return f"This is a fault of scaledesign's own ({type(error).__name__}: {error})"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, where it stands, and what would be right.

    ``key`` is the dotted key with indices as a person counts them (``holes[1].diameter`` is the
    first hole), ``value`` the text as written, ``line`` 1-based where it is known.
    """

    problem: str
    remedy: str
    key: str = ""
    value: str = ""
    line: int | None = None
    file: str = ""

    def __str__(self) -> str:
        where = shown(self.file, LONGEST_SAID)
        if self.line is not None:
            where = f"{where}, line {self.line}" if where else f"line {self.line}"
        parts = [part for part in (where, self._subject()) if part]
        head = ": ".join(parts)
        problem, remedy = shown(self.problem, LONGEST_SAID), shown(self.remedy, LONGEST_SAID)
        text = f"{head}: {problem}" if head else problem
        return f"{text}; {remedy}." if remedy else f"{text}."

    def _subject(self) -> str:
        key, value = shown(self.key), shown(self.value)
        return f"{key} = {value}" if key and value else key or value


class ScaledesignError(Exception):
    """Base of every error that has a sentence for the user."""


VERBS = ("is", "has", "lies", "leaves", "cannot")
"""Words that go on with a sentence which begins with what was written."""


class QuantityError(ScaledesignError, ValueError):
    """A quantity that cannot be read: ``text`` as given, ``problem``, ``remedy``."""

    def __init__(self, text: str, problem: str, remedy: str) -> None:
        super().__init__(text, problem, remedy)
        self.text, self.problem, self.remedy = text, problem, remedy

    def __str__(self) -> str:
        problem, remedy = shown(self.problem, LONGEST_SAID), shown(self.remedy, LONGEST_SAID)
        joined = " " if problem.partition(" ")[0] in VERBS else ": "
        return f"{quoted(self.text)}{joined}{problem}; {remedy}."


class _FaultyFileError(ScaledesignError, ValueError):
    """A file with one or more faults, all of them in ``faults``."""

    def __init__(self, path: Path | str, faults: tuple[Fault, ...]) -> None:
        super().__init__(path, faults)
        self.path, self.faults = path, faults

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


class DesignError(_FaultyFileError):
    """A design file that cannot be opened; nothing of it was changed."""


class ScaleError(_FaultyFileError):
    """A scale file that cannot be opened."""


MANY, FIRST = 12, 5
"""How many names are too many for one sentence, and how many are named then."""


class UnknownNameError(ScaledesignError, LookupError):
    """A name nobody offers: ``kind`` ("scale"), ``name``, ``known`` names, ``nearest`` or ''."""

    def __init__(self, kind: str, name: str, known: tuple[str, ...], nearest: str = "") -> None:
        super().__init__(kind, name, known, nearest)
        self.kind, self.name, self.known, self.nearest = kind, name, known, nearest

    def __str__(self) -> str:
        if self.nearest:
            return f"No {self.kind} is named {quoted(self.name)}; did you mean {self.nearest!r}?"
        return f"No {self.kind} is named {quoted(self.name)}; known: {self.some}."

    @property
    def some(self) -> str:
        """The names to choose from; the first few of many, and where the others are."""
        if len(self.known) <= MANY:
            return ", ".join(self.known) or "none"
        where = ": scaledesign scales lists them" if self.kind == "scale" else ""
        return f"{', '.join(self.known[:FIRST])} and {len(self.known) - FIRST} more{where}"


class EditError(ScaledesignError, ValueError):
    """An edit that does not fit the document: ``problem`` and ``remedy``."""

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(problem, remedy)
        self.problem, self.remedy = problem, remedy

    def __str__(self) -> str:
        return f"{shown(self.problem, LONGEST_SAID)}; {shown(self.remedy, LONGEST_SAID)}."


class PluginError(ScaledesignError):
    """A plug-in that was named and cannot be used: ``plugin`` and ``problem``."""

    def __init__(self, plugin: str, problem: str) -> None:
        super().__init__(plugin, problem)
        self.plugin, self.problem = plugin, problem

    def __str__(self) -> str:
        return f"Plug-in {self.plugin!r}: {self.problem}."


class NoPitchError(ScaledesignError, ArithmeticError):
    """Fingerings whose register cannot be found: ``rows`` (0-based) and ``reason``.

    Without rows it is what was read that has none; the reason is then the whole sentence.
    """

    def __init__(self, rows: tuple[int, ...], reason: str) -> None:
        super().__init__(rows, reason)
        self.rows, self.reason = rows, reason

    def __str__(self) -> str:
        if not self.rows:
            return self.reason
        named = ", ".join(str(row + 1) for row in self.rows)
        return f"No pitch found for row {named}: {self.reason}."


class SilentError(ScaledesignError, OSError):
    """Sound that this machine cannot play: ``problem`` and ``remedy``."""

    def __init__(self, problem: str, remedy: str) -> None:
        super().__init__(problem, remedy)
        self.problem, self.remedy = problem, remedy

    def __str__(self) -> str:
        return f"{self.problem}; {self.remedy}."


class RecordingError(ScaledesignError, ValueError):
    """A recording that cannot be listened to: ``path`` or None, ``problem``, ``remedy``."""

    def __init__(self, path: Path | None, problem: str, remedy: str) -> None:
        super().__init__(path, problem, remedy)
        self.path, self.problem, self.remedy = path, problem, remedy

    def __str__(self) -> str:
        head = f"{shown(str(self.path), LONGEST_SAID)} " if self.path else ""
        return f"{head}{self.problem}; {self.remedy}."
