"""A fingering, or the bare tube, blown again and again: how often, and whether what it showed is in doubt.

A reading that the others contradict is left out by what is learnt (``calibration.py``). As long as the newest
of the note in hand is, nobody knows how it stands, and nothing is taken off: it is blown again, until it is
one of the others or has been heard so often that it must be so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import takewhile

from scaledesign.model.document import Design, HoleState, LogEntry
from scaledesign.model.pitch import cents_between, reading_frequency
from scaledesign.model.widths import SAME_LENGTH, WORK, drilled_now, length_now
from scaledesign.values import dataclass
from scaledesign.workshop.readings import named, readings_of

READINGS = 4
"""How often one fingering is blown, the flute being the same."""
ALIKE = 15.0
"""Cents within which tries of one note go together: as ``outlook.MISREAD_CENTS``."""
BARE = "the bare tube"
LOOK_HOLE = "look for chips in the hole, measure its place and width again, and see that no finger leaks"
LOOK_BARE = "measure the tube's length again, and look at the octave, the window and your breath"


@dataclass(frozen=True)
class Doubt:
    """The newest reading of a note is left out."""

    tries: tuple[LogEntry, ...]
    """Readings of it, newest first, up to the first that teaches: left out, or another took its place."""
    believed: bool
    """Blown so often, and so much alike, that it is taken as it is."""

    @property
    def why(self) -> str:
        """What to do about it, and why."""
        said, count = self.tries[0].measured, len(self.tries)
        if count == 1:
            told = f"{said} is left out: blow it once more before anything is cut."
            return f"{told} The other readings contradict it."
        return f"Blown {count} times, and {said} is left out still: {self._look}. Then blow it once more."

    def taken(self, what: str) -> str:
        """That it is believed now, and what to look at all the same; ``what`` was blown."""
        return (
            f"{what} sounded alike {len(self.tries)} times, whatever the other readings say: it is taken as "
            f"it is. Before you take anything off, {self._look}."
        )

    @property
    def _look(self) -> str:
        return LOOK_HOLE if self.tries[0].holes else LOOK_BARE


def tries_of(design: Design, holes: tuple[HoleState, ...], register: int = 1) -> tuple[LogEntry, ...]:
    """Readings of a fingering since anything that it opens was worked on, newest first.

    ``holes`` () for the bare tube, as long as it is now and as long as there is no hole in it.
    """
    if not holes:
        long = length_now(design)
        if long is None or drilled_now(design):
            return ()
        since = takewhile(lambda entry: entry.event != "cut", reversed(design.log))
        return tuple(
            entry for entry in since
            if _blown(entry, (), register) and abs((entry.length or long) - long) < SAME_LENGTH
        )  # fmt: skip
    states = dict(zip(design.fingered(), holes, strict=True))
    since = takewhile(lambda entry: not touches(entry, states), reversed(design.log))
    return tuple(entry for entry in since if _blown(entry, holes, register))


def doubt_of(design: Design, holes: tuple[HoleState, ...], register: int = 1) -> Doubt | None:
    """Whether the newest reading of a note is left out; None where it is not."""
    out = _left_out(design)
    every = tries_of(design, holes, register) if out else ()
    if not every or not _is_one_of(design, every[0], out):
        return None
    taught = {named(each) for each in readings_of(design)}.difference(out)
    tries = tuple(takewhile(lambda entry: not _is_one_of(design, entry, taught), every))
    newest = [reading_frequency(e.measured, design.tuning.reference) for e in tries[:READINGS]]
    alike = abs(cents_between(min(newest), max(newest))) <= ALIKE
    return Doubt(tries, len(newest) == READINGS and alike)


def doubted(design: Design) -> frozenset[str]:
    """Readings, by name (``readings.named``), that are left out and not to be believed yet."""
    return _judged(design, believed=False)


def believed(design: Design) -> frozenset[str]:
    """Those that are left out of what is learnt, and yet to be believed of their own note."""
    return _judged(design, believed=True)


def _judged(design: Design, *, believed: bool) -> frozenset[str]:
    out = _left_out(design)
    if not out:
        return frozenset()
    told = {(e.holes, e.register or 1) for e in design.log if e.event == "measured" and e.measured}
    doubts = [doubt_of(design, *each) for each in told]
    entries = (entry for doubt in doubts if doubt and doubt.believed is believed for entry in doubt.tries)
    return frozenset(name for entry in entries for name in out if _names(design, entry, name))


def touches(entry: LogEntry, states: Mapping[int, HoleState]) -> bool:
    """Whether something was done to a hole that a fingering opens."""
    return entry.event in WORK and entry.hole is not None and states.get(entry.hole, "O") != "X"


def _left_out(design: Design) -> tuple[str, ...]:
    return tuple(design.learned.left_out.split("; ")) if design.learned.left_out else ()


def _is_one_of(design: Design, entry: LogEntry, names: Iterable[str]) -> bool:
    return any(_names(design, entry, name) for name in names)


def _names(design: Design, entry: LogEntry, name: str) -> bool:
    """Whether a name is that of an entry of the log; the bare tube's may tell its register too."""
    if not entry.holes:
        return name.startswith(BARE) and name.endswith(f"({entry.measured})")
    register = entry.register or 1
    rows = (i for i, r in enumerate(design.rows) if (r.holes, r.register) == (entry.holes, register))
    row = next(rows, None)
    label = f"row {row + 1}" if row is not None else "".join(entry.holes)
    if row is None and entry.hole is not None:
        label = f"hole {entry.hole + 1}"
    return name == f"{label} ({entry.measured})"


def _blown(entry: LogEntry, holes: tuple[HoleState, ...], register: int) -> bool:
    same = entry.event == "measured" and bool(entry.measured) and entry.holes == holes
    return same and (entry.register or 1) == register
