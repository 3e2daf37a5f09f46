"""The maker's book: a folder of finished designs read as experience, flute by flute.

What a flute taught is what its readings alone say of its mouth. Its file holds less: the added length it was
left with, which leans towards what was believed before (the estimate, a length the maker stated, this very
book). That belief is taken out again, so that no book learns from itself:

    1/u^2 = 1/after^2 - 1/before^2,   learnt = u^2 (now/after^2 - believed/before^2)

(a normal law is belief times likelihood; A. Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section
2.5, from memory). It is held against the estimate from the mouth's measures (``physics/mouth.py``) as their
ratio; how ratios of like flutes foretell the next is in ``likeness.py``. A flute counts if it was blown,
and once: copies of one flute tell nothing new. What they say of the next one is asked in
``book_advice.py``.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from math import log, pi, sqrt
from pathlib import Path
from statistics import median
from typing import Any

from scaledesign.files.design_folder import Facts, shelf
from scaledesign.model.checks import found_by
from scaledesign.model.document import (
    Design,
    Embouchure,
    Instrument,
    Mouth,
    Station,
    Tube,
    Units,
    Voicing,
    Window,
)
from scaledesign.model.widths import worked
from scaledesign.physics.mouth import MouthEstimate
from scaledesign.solver.problem import CENT, unread, voicing_of
from scaledesign.values import dataclass

VERSION = "1"
"""Of the facts that are kept of a design; another number, and all are read anew."""
TAUGHT = 0.9
"""Share of its ± that readings have to leave, at most, to have taught anything of the mouth."""


@dataclass(frozen=True, eq=False)
class Flute:
    """One design of the folder, and what its readings taught; lengths in m."""

    path: Path
    name: str
    units: Units
    key: str
    mouth: Mouth
    plain: Design
    """Its tube at the mouth and the mouth's measures, nothing stated and nothing learnt."""
    wood: str
    """What tells it from other flutes: its first reading and its tube; '' where it was never blown."""
    readings: int
    rows_read: int
    """Rows of it that were read."""
    last: str
    """Day of the last entry of its log, or ''."""
    now: float
    after: float
    """Added length that its file says, and its ±; 0 where it was not blown."""
    believed: float
    before: float
    """The same before its first reading."""
    drift: float
    bore: float
    wall: float
    warmth: float
    """What else was learnt: m per kHz squared, m, m, K."""
    bits: str
    hand: str
    opened: float | None
    """By how much its holes were opened beyond their first width, the middle one."""

    @cached_property
    def estimate(self) -> MouthEstimate:
        """What the mouth's measures say of it."""
        return voicing_of(self.plain)

    @property
    def blown(self) -> bool:
        """Whether its file holds readings that were learnt from."""
        return self.after > 0

    @cached_property
    def doubt(self) -> float:
        """± (m) of what its readings alone say; 0 where they say nothing."""
        if not self.blown or self.after > TAUGHT * self.before:
            return 0.0
        return 1 / sqrt(1 / self.after**2 - 1 / self.before**2)

    @cached_property
    def learnt(self) -> float:
        """Added length (m) that its readings alone say; 0 where they say nothing."""
        if not self.doubt:
            return 0.0
        found = self.doubt**2 * (self.now / self.after**2 - self.believed / self.before**2)
        return max(0.0, found)

    @property
    def unlearnt(self) -> bool:
        """Whether its file holds readings that nothing was learnt from: they were written in by hand."""
        return not self.blown and bool(self.readings or self.rows_read) and self.mouth != "open"

    @property
    def counts(self) -> bool:
        """Whether the book learns from it."""
        return self.learnt > 0

    @property
    def off(self) -> float:
        """ln(learnt / estimate)."""
        return log(self.learnt / self.estimate.added_length)

    @property
    def cents(self) -> float:
        """About how many cents flatter (less than 0) the bare tube is than with the estimate."""
        return cents_per_metre(self.plain) * (self.learnt - self.estimate.added_length)


@dataclass(frozen=True, eq=False)
class Book:
    """A folder of designs as experience: ``flutes`` by name of their file, each wood once."""

    folder: Path
    flutes: tuple[Flute, ...] = ()
    passed_over: tuple[str, ...] = ()
    """What could not be read, in words."""
    copies: tuple[tuple[Path, Path], ...] = ()
    """Files of a flute that has another file, which counts."""
    more: int = 0
    """Files that were not looked at, since there are too many."""

    @cached_property
    def taught(self) -> tuple[Flute, ...]:
        """Those the book learns from."""
        return tuple(flute for flute in self.flutes if flute.counts)

    def kinds(self) -> tuple[Mouth, ...]:
        """The kinds of mouth it knows, the most frequent first."""
        kinds = [flute.mouth for flute in self.taught]
        return tuple(sorted(set(kinds), key=lambda kind: (-kinds.count(kind), kind)))

    def of(self, kind: Mouth) -> tuple[Flute, ...]:
        """Flutes of a kind of mouth that it learns from."""
        return tuple(flute for flute in self.taught if flute.mouth == kind)

    def without(self, path: Path | None, design: Design | None = None) -> Book:
        """The book as it would be without a flute: that of a file, and whatever is of the same wood."""
        wood = "" if design is None else wood_of(design)
        where = None if path is None else path.absolute()
        kept = (each for each in self.flutes if each.path != where and not (wood and each.wood == wood))
        return replace(self, flutes=tuple(kept))


def called(flute: Flute) -> str:
    """A flute's name, or its file's."""
    return " ".join(flute.name.split())[:32] or flute.path.stem


def read_book(folder: Path) -> Book:
    """Read every design in a folder; damaged ones are named and passed over.

    Raises
    ------
    EditError
        when the folder cannot be read.
    """
    found = shelf(folder, _facts, _flute, VERSION)
    kept: dict[str, Flute] = {}
    for flute in found.found:
        wood = flute.wood or str(flute.path)
        if wood not in kept or _tells_more(flute, kept[wood]):
            kept[wood] = flute
    copies = tuple(
        (flute.path, kept[flute.wood].path)
        for flute in found.found
        if flute.wood and kept[flute.wood] is not flute
    )
    return Book(folder, tuple(kept.values()), found.passed_over, copies, found.more)


def _tells_more(flute: Flute, other: Flute) -> bool:
    return (flute.readings, flute.last) > (other.readings, other.last)


def wood_of(design: Design) -> str:
    """What tells one flute from another: its first reading and its tube; '' where it was never blown."""
    first = next((entry for entry in design.log if entry.event == "measured" and entry.measured), None)
    if first is None:
        return ""
    tube = (design.tube.bore[0].value, design.tube.wall[0].value, design.instrument.mouth)
    return f"{first.when.isoformat()} {first.measured} {first.length} {tube}"


def _facts(design: Design) -> Facts:
    """What the book keeps of a design: plain JSON."""
    plain, stated_before, voicing = unread(design), design.learned, design.voicing
    blown = voicing.calibrated and voicing.added_length is not None and voicing.uncertainty is not None
    window, hole = plain.voicing.window, plain.voicing.embouchure
    opened = [
        wide
        for index in range(len(design.holes))
        if (story := worked(design.log, index))
        and any(entry.event == "opened" for entry in story)
        and (first := next((e.diameter if e.event == "drilled" else e.was for e in story), None))
        and (last := story[-1].diameter)
        and (wide := last - first) > 0
    ]
    return {
        "name": design.name,
        "units": design.units,
        "key": design.tuning.tonic,
        "mouth": design.instrument.mouth,
        "tube": [design.tube.length, design.tube.bore[0].value, design.tube.wall[0].value],
        "cavity": voicing.cavity,
        "window": None if window is None else [window.length, window.width, window.wall],
        "embouchure": None if hole is None else [hole.length, hole.width, hole.wall, hole.covered],
        "wood": wood_of(design),
        "readings": sum(entry.event == "measured" and bool(entry.measured) for entry in design.log),
        "rows_read": sum(bool(row.measured) for row in design.rows),
        "last": design.log[-1].when.date().isoformat() if design.log else "",
        "now": [voicing.added_length, voicing.uncertainty] if blown else [0.0, 0.0],
        "stated": [stated_before.stated_length, stated_before.stated_uncertainty],
        "else": [voicing.drift, stated_before.bore, stated_before.wall, stated_before.warmth],
        "bits": design.shop.bits if isinstance(design.shop.bits, str) else "your own",
        "hand": design.shop.hand if isinstance(design.shop.hand, str) else "your own",
        "opened": median(opened) if opened else None,
    }


def _flute(path: Path, facts: Facts) -> Flute:
    """A flute of the book from what was kept of it.

    Raises
    ------
    KeyError, TypeError, ValueError
        where that is not what is kept of a flute.
    """
    length, bore, wall = map(float, facts["tube"])
    window, hole = facts["window"], facts["embouchure"]
    now, after = map(float, facts["now"])
    drift, more_bore, more_wall, warmth = map(float, facts["else"])
    plain = Design(
        Tube(length, (Station(0.0, bore),), (Station(0.0, wall),)),
        Instrument(mouth=facts["mouth"]),
        voicing=Voicing(
            cavity=float(facts["cavity"]),
            window=None if window is None else Window(*window),
            embouchure=None if hole is None else Embouchure(*hole),
        ),
    )
    believed, before = facts["stated"]
    stated_so = replace(plain, voicing=replace(plain.voicing, added_length=believed, uncertainty=before))
    if next(found_by(stated_so), None) is not None:
        raise ValueError("the facts of no flute")
    start = voicing_of(stated_so)
    told: dict[str, Any] = {key: facts[key] for key in ("name", "units", "key", "mouth", "wood")}
    told |= {key: facts[key] for key in ("readings", "rows_read", "last", "bits", "hand", "opened")}
    return Flute(
        path=path,
        plain=plain,
        now=now,
        after=after,
        believed=start.added_length,
        before=start.uncertainty,
        drift=drift,
        bore=more_bore,
        wall=more_wall,
        warmth=warmth,
        **told,
    )


def cents_per_metre(plain: Design) -> float:
    """About how many cents the bare tube's note moves for a metre more of the mouth (less than 0).

    The tube and both ends are half a wavelength; a lump of air counts for atan(k Delta)/k of it (derived,
    ``physics/mouth.py``), the open foot for 0.6 radii.
    """
    added, radius = voicing_of(plain).added_length, plain.tube.bore[0].value / 2
    whole = plain.tube.length + added + 0.6 * radius
    return float(-CENT / whole / (1 + (pi * added / whole) ** 2))
