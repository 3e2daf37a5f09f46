"""What a fingering chart says: notes in order, the ways to finger each, holes as they are on this flute.

Apart from how it is shown: page, web page and message are made from the same content. Nothing of acoustics
is in it but the pitch each note is meant to have, and whether a way to play it must be helped with the
breath. A fingering that would not be heard as its note is not promised to anybody (``chart_text.HEARD``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

from scaledesign.model.document import Design, Finger, HoleState, Mouth, Role
from scaledesign.model.pitch import (
    Note,
    cents_between,
    note_frequency,
    parse_note,
    parse_target,
)
from scaledesign.model.spelling import tuner_note
from scaledesign.paper.chart_text import best_first, heard_as_its_note
from scaledesign.paper.choices import PaperChoices
from scaledesign.solver.prediction import Prediction
from scaledesign.values import dataclass

Hand = Literal["L", "R"]
HANDS: Mapping[Hand, str] = {"L": "upper hand", "R": "lower hand"}


SAME_PITCH = 10.0
"""Cents within which a pitch that has no name is a degree of the scale in another octave."""


@dataclass(frozen=True, slots=True)
class ChartHole:
    """A hole that a finger covers, as it is to be drawn."""

    finger: Finger
    at: float
    """m from the sounding edge."""
    diameter: float
    """m along the bore."""
    across: float
    """m across the bore; the same when round."""
    side: float
    """degrees around the tube, clockwise as seen from the mouth: 0 front, 180 back."""

    @property
    def hand(self) -> Hand:
        """The upper (L) or the lower (R) hand."""
        return "L" if self.finger.startswith("L") else "R"

    @property
    def thumb(self) -> bool:
        """Whether a thumb covers it."""
        return self.finger.endswith("T")

    @property
    def behind(self) -> bool:
        """Whether it is on the far side, out of the player's sight."""
        return 90.0 < self.side % 360.0 < 270.0


@dataclass(frozen=True, slots=True)
class Way:
    """One way to finger a note."""

    states: tuple[HoleState, ...]
    """One a hole of the chart, in its order."""
    register: int
    """1; 2 blown harder; 3 harder still."""
    open_share: float
    """Share of the area that is open where a hole is partly open."""
    off: float = 0.0
    """Cents that it is predicted to sound beside the wanted pitch."""


@dataclass(frozen=True, slots=True)
class ChartNote:
    """A note and the ways to play it, the usual one first."""

    note: Note
    """As it is written; the nearest one where the row names a pitch and no note."""
    off: float
    """Cents that the wanted pitch lies from that note in equal temperament at the flute's A4."""
    frequency: float
    """Hz: the wanted pitch."""
    role: Role
    """"scale": a degree of the flute's scale; "chromatic": between two of them."""
    ways: tuple[Way, ...]

    @property
    def register(self) -> int:
        """The register of the usual way."""
        return self.ways[0].register


@dataclass(frozen=True, slots=True)
class ChartTrill:
    """Two notes that are played by turns, and how."""

    low: Note
    high: Note
    low_states: tuple[HoleState, ...]
    high_states: tuple[HoleState, ...]
    register: int
    moving: tuple[Finger, ...]
    """Fingers that move, mouth to foot."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A whole chart."""

    name: str
    """Of the flute; '' where it has none."""
    tonic: Note
    scale: str
    """Name of the scale; '' where degrees are the maker's own."""
    reference: float
    """Hz of A4."""
    length: float
    """m, sounding edge to foot."""
    holes: tuple[ChartHole, ...]
    """Mouth to foot as the design lists them."""
    notes: tuple[ChartNote, ...]
    """From low to high."""
    left_out: tuple[str, ...]
    """Notes, as written, that no row of the design would sound as."""
    trills: tuple[ChartTrill, ...] = ()
    mouth: Mouth = "duct"
    outside: float = 0.0
    """m: width of the tube on its outside, at the mouth; 0 where nobody says."""
    not_so: tuple[str, ...] = ()
    """Notes, as written, that another row plays, but not the scale's own."""

    def of_register(self, register: int) -> tuple[ChartNote, ...]:
        """Notes whose usual way is in a register."""
        return tuple(note for note in self.notes if note.register == register)


def chart_of(
    design: Design,
    prediction: Prediction,
    trills: Sequence[ChartTrill] = (),
    costs: Sequence[float] = (),
) -> Chart:
    """The chart of a design.

    Rows that share a written note and a wanted pitch are one note with several ways, the best first
    (``chart_text.best_first``). Rows that cannot sound, or would sound as another note, are left out, those
    of the scale too; notes that no row is left for are named, and those that the scale's own row is not.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design
    trills : those to show
    costs : (R,) cents that each row is worth to a player, as ``best_first`` takes them
    """
    reference = design.tuning.reference
    rows = range(len(design.rows))
    far = [i for i in rows if not heard_as_its_note(float(prediction.cents[i]))]
    named = [_written(design, i, float(prediction.target[i])) for i in rows]
    degrees = [named[i] for i in rows if design.rows[i].role == "scale"]

    def key(i: int) -> tuple[Note, int]:
        return named[i][0], round(named[i][1])

    groups: dict[tuple[Note, int], list[int]] = {}
    for i in rows:
        if i not in far:
            groups.setdefault(key(i), []).append(i)
    notes = []
    for group in groups.values():
        group = best_first(design.rows, prediction.cents.tolist(), group, costs)
        note, off = named[group[0]]
        written = isinstance(parse_target(design.rows[group[0]].note), Note)
        role: Role = "scale" if _is_degree(note, None if written else off, degrees) else "chromatic"
        ways = (design.rows[i] for i in group)
        notes.append(
            ChartNote(
                note,
                off,
                float(prediction.target[group[0]]),
                role,
                tuple(
                    Way(row.holes, row.register, row.open_share, float(prediction.cents[i]))
                    for row, i in zip(ways, group, strict=True)
                ),
            )
        )
    return Chart(
        design.name,
        parse_note(design.tuning.tonic),
        "" if design.tuning.degrees else design.tuning.scale,
        reference,
        design.tube.length,
        tuple(
            ChartHole(hole.finger, hole.at, hole.diameter, hole.across or hole.diameter, hole.side)
            for hole in (design.holes[i] for i in design.fingered())
        ),
        tuple(sorted(notes, key=lambda note: note.frequency)),
        tuple(dict.fromkeys(design.rows[i].note for i in far if key(i) not in groups)),
        tuple(trills),
        design.instrument.mouth,
        design.tube.bore[0].value + 2 * design.tube.wall[0].value,
        tuple(
            dict.fromkeys(
                design.rows[i].note for i in far if key(i) in groups and design.rows[i].role == "scale"
            )
        ),
    )


def chosen(chart: Chart, choices: PaperChoices) -> Chart:
    """The chart with what the maker chose to show: overblown notes, other fingerings, trills or not."""
    notes = []
    for note in chart.notes:
        ways = [way for way in note.ways if choices.registers or way.register == 1]
        if ways:
            notes.append(replace(note, ways=tuple(ways if choices.alternates else ways[:1])))
    trills = [trill for trill in chart.trills if choices.registers or trill.register == 1]
    return replace(chart, notes=tuple(notes), trills=tuple(trills if choices.trills else ()))


def _written(design: Design, row: int, target: float) -> tuple[Note, float]:
    """The note of a row and cents that its wanted pitch (Hz) lies from it."""
    wanted = parse_target(design.rows[row].note)
    note = wanted if isinstance(wanted, Note) else tuner_note(design, target)[0]
    return note, cents_between(note_frequency(note, design.tuning.reference), target)


def _is_degree(note: Note, off: float | None, degrees: Sequence[tuple[Note, float]]) -> bool:
    """Whether a note, in whichever octave, is of the scale; ``off``: cents from it, of a mere pitch."""
    return any(
        (note.letter, note.alter) == (degree.letter, degree.alter)
        and (off is None or abs(off - its) <= SAME_PITCH)
        for degree, its in degrees
    )
