"""A fingering, or the bare tube, blown again and again: how often, and whether what it showed is in doubt.

A reading that the others contradict is left out by what is learnt (``calibration.py``). As long as the newest
of the note in hand is, nobody knows how it stands, and nothing is taken off: it is blown again, until it is
one of the others or has been heard so often that it must be so.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from itertools import takewhile

from scaledesign.model.document import Design, HoleState, LogEntry
from scaledesign.model.pitch import cents_between, reading_frequency
from scaledesign.model.widths import SAME_LENGTH, WORK, drilled_now, length_now
from scaledesign.values import dataclass
from scaledesign.workshop.readings import REGISTERS, named, readings_of

READINGS = 4
"""How often one fingering is blown, the flute being the same."""
ALIKE = 15.0
"""Cents within which tries of one note go together (no source)."""
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
    return _Judge(design).doubt(holes, register)


def unlike(design: Design) -> str:
    """Why the bare tube is blown again before it is cut: its newest reading is like no other of it.

    '' where it is like one of them, or the only one, or was blown often enough.
    """
    tries = tries_of(design, ())
    if not 2 <= len(tries) < READINGS:
        return ""
    newest, *others = (reading_frequency(entry.measured, design.tuning.reference) for entry in tries)
    apart = [abs(cents_between(other, newest)) for other in others]
    if min(apart) <= ALIKE:
        return ""
    nearest = tries[1 + apart.index(min(apart))].measured
    return (
        f"{tries[0].measured} and {nearest} are {min(apart):.0f} cents apart, and nobody knows yet which is "
        "right: blow it once more before anything is cut."
    )


def doubted(design: Design) -> frozenset[str]:
    """Readings, by name (``readings.named``), that are left out and not to be believed yet."""
    return _Judge(design).names(believed=False)


def believed(design: Design) -> frozenset[str]:
    """Those that are left out of what is learnt, and yet to be believed of their own note."""
    return _Judge(design).names(believed=True)


class _Judge:
    """What is left out of a design, asked of many entries of its log."""

    def __init__(self, design: Design) -> None:
        self._design = design
        self._out = frozenset(design.learned.left_out.split("; ")) - {""}
        self._rows = {(r.holes, r.register): i for i, r in reversed(list(enumerate(design.rows)))}

    @cached_property
    def _taught(self) -> frozenset[str]:
        return frozenset(named(each) for each in readings_of(self._design)) - self._out

    def doubt(self, holes: tuple[HoleState, ...], register: int) -> Doubt | None:
        """As ``doubt_of``."""
        every = tries_of(self._design, holes, register) if self._out else ()
        if not every or not self._names(every[0]) & self._out:
            return None
        tries = tuple(takewhile(lambda entry: not self._names(entry) & self._taught, every))
        newest = [reading_frequency(e.measured, self._design.tuning.reference) for e in tries[:READINGS]]
        alike = abs(cents_between(min(newest), max(newest))) <= ALIKE
        return Doubt(tries, len(newest) == READINGS and alike)

    def names(self, *, believed: bool) -> frozenset[str]:
        """Names of all that are left out, and to be believed, or not yet."""
        log = self._design.log if self._out else ()
        told = {(e.holes, e.register or 1) for e in log if e.event == "measured" and e.measured}
        doubts = [self.doubt(*each) for each in told]
        entries = (entry for doubt in doubts if doubt and doubt.believed is believed for entry in doubt.tries)
        return frozenset(name for entry in entries for name in self._names(entry) & self._out)

    def _names(self, entry: LogEntry) -> frozenset[str]:
        """What an entry may be called; the bare tube's may tell its register too."""
        if not entry.holes:
            registers = range(2, max(REGISTERS, entry.register or 1) + 1)
            which = ("", *(f", register {register}" for register in registers))
            return frozenset(f"{BARE}{each} ({entry.measured})" for each in which)
        row = self._rows.get((entry.holes, entry.register or 1))
        label = f"row {row + 1}" if row is not None else "".join(entry.holes)
        if row is None and entry.hole is not None:
            label = f"hole {entry.hole + 1}"
        return frozenset({f"{label} ({entry.measured})"})


def touches(entry: LogEntry, states: Mapping[int, HoleState]) -> bool:
    """Whether something was done to a hole that a fingering opens."""
    return entry.event in WORK and entry.hole is not None and states.get(entry.hole, "O") != "X"


def _blown(entry: LogEntry, holes: tuple[HoleState, ...], register: int) -> bool:
    same = entry.event == "measured" and bool(entry.measured) and entry.holes == holes
    return same and (entry.register or 1) == register
