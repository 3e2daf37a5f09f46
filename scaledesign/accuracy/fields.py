"""Field solutions of our own, without losses, against the program.

Apart from the published cases because nobody published them: whole tubes with holes in and around which the
wave equation was solved in three dimensions by a general-purpose library. They test whether the formulas are
right, where nobody blows. How they were made stands beside them (``tests/fields``).
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from scaledesign.accuracy.case import Outcome
from scaledesign.accuracy.tubes import MM, air_of_speed, drilled, flutes_in, tube
from scaledesign.locations import FIELDS
from scaledesign.model.document import Design, Station
from scaledesign.model.pitch import cents_between
from scaledesign.solver.resonance import Fingerings, resonances
from scaledesign.values import dataclass

OPEN_SHARE = {"X": 0.0, "O": 1.0, "H": 0.5}
"""Share of a hole's area; a straight edge over its middle leaves half."""


ASKED = {"register 1": (1.0, 1.5), "register 2": (2.0, 4.0), "half-covered": (None, 5.0)}
"""Cents, root of the mean square and furthest, that we ask of ourselves of round, square holes: under what a
drill does. Of other shapes nothing is asked."""


@dataclass(frozen=True)
class Note:
    """One fingering of a tube in one register: the field's frequency and ours, Hz."""

    fingering: str
    register: int
    field: float
    ours: float

    @property
    def off(self) -> float:
        """Cents by which ours is above the field's."""
        return cents_between(self.field, self.ours)


@dataclass(frozen=True)
class FieldTube:
    """One tube and its notes."""

    name: str
    geometry: str
    shaped: bool
    """Whether a hole is oval, undercut or slanted."""
    notes: tuple[Note, ...]


@dataclass(frozen=True)
class Group:
    """Notes that are judged together: a tube's in one register, or its half-covered ones."""

    tube: str
    what: str
    shaped: bool
    notes: tuple[Note, ...]

    @property
    def rms(self) -> float:
        """Root of the mean square of what they are off, cents."""
        return math.sqrt(sum(note.off**2 for note in self.notes) / len(self.notes))

    @property
    def outcome(self) -> Outcome:
        """Whether it is as near as ``ASKED``."""
        if self.shaped:
            return "no limit"
        rms, worst = ASKED[self.what]
        return "met" if abs(self.worst.off) <= worst and (rms is None or self.rms <= rms) else "missed"

    @property
    def worst(self) -> Note:
        """The one that is furthest off."""
        return max(self.notes, key=lambda note: abs(note.off))


def field_tubes() -> tuple[FieldTube, ...]:
    """Every tube whose field was solved."""
    return tuple(
        _tube_of(path.stem, json.loads(path.read_text(encoding="utf-8")))
        for path in sorted(FIELDS.glob("*.json"))
    )


def groups(tubes: Sequence[FieldTube]) -> Iterator[Group]:
    """First register, second register, half-covered, tube by tube."""
    for one in tubes:
        plain = [note for note in one.notes if "H" not in note.fingering]
        for register, words in ((1, "register 1"), (2, "register 2")):
            yield Group(
                one.name, words, one.shaped, tuple(note for note in plain if note.register == register)
            )
        half = tuple(note for note in one.notes if "H" in note.fingering)
        if half:
            yield Group(one.name, "half-covered", one.shaped, half)


def _tube_of(name: str, data: Mapping[str, Any]) -> FieldTube:
    geometry = data["geometry_mm"]
    design = _design_of(geometry)
    air = air_of_speed(data["sound_mm_s"] * MM)
    solved = data["fingerings"]
    share = np.array([[OPEN_SHARE[letter] for letter in fingering] for fingering in solved]).T
    notes = []
    for register in (1, 2):
        registers = np.full(share.shape[1], register)
        found = resonances(flutes_in(design, air), Fingerings(share, registers), losses=False).frequency[0]
        for fingering, ours in zip(solved, found, strict=True):
            field = solved[fingering]["fine"]["frequency_hz"][register - 1]
            notes.append(Note(fingering, register, field, float(ours)))
    shaped = any(hole["across"] or hole["undercut"] or hole["slant"] for hole in geometry["holes"])
    return FieldTube(name, _words(geometry), shaped, tuple(notes))


def _design_of(geometry: Mapping[str, Any]) -> Design:
    """The tube as a design: ideally open mouth, flush fingers."""
    length, bore = geometry["length"] * MM, geometry["bore"] * MM
    holes = geometry["holes"]
    plain = tube(length, bore, geometry["wall"] * MM)
    if geometry["foot_bore"] is not None:
        stations = (Station(0.0, bore), Station(length, geometry["foot_bore"] * MM))
        plain = replace(plain, tube=replace(plain.tube, bore=stations))
    flute = drilled(plain, [hole["at"] * MM for hole in holes], [hole["diameter"] * MM for hole in holes])
    shaped = tuple(
        replace(
            hole,
            across=None if given["across"] is None else given["across"] * MM,
            undercut=given["undercut"] * MM,
            slant=given["slant"],
        )
        for hole, given in zip(flute.holes, holes, strict=True)
    )
    return replace(flute, holes=shaped)


def _words(geometry: Mapping[str, Any]) -> str:
    foot = geometry["foot_bore"]
    bore = f"{geometry['bore']:g}" if foot is None else f"{geometry['bore']:g} to {foot:g}"
    holes = ", ".join(_hole_words(hole) for hole in geometry["holes"])
    tube_words = f"{geometry['length']:g} mm, bore of {bore}, wall of {geometry['wall']:g}"
    return f"{tube_words}; holes at place (width) {holes}"


def _hole_words(hole: Mapping[str, Any]) -> str:
    width = (
        f"{hole['diameter']:g}" if hole["across"] is None else f"{hole['diameter']:g} x {hole['across']:g}"
    )
    undercut = f", undercut {hole['undercut']:g}" if hole["undercut"] else ""
    slant = f", slanted {hole['slant']:g}°" if hole["slant"] else ""
    return f"{hole['at']:g} ({width}{undercut}{slant})"
