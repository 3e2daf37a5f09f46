"""What there is to hear: rows of a flute or degrees of a scale, in one tuning or several.

Apart from ``sounding``, which knows no design, and from the command, which plays or writes it. A voice is the
same notes in one tuning: what the flute plays, what was wanted, what a scale gives.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite, nan
from pathlib import Path

import scaledesign
from scaledesign.errors import EditError, NoPitchError, QuantityError
from scaledesign.extend.registry import catalogue
from scaledesign.files import scale_file
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.pitch import Interval, Note, note_frequency, parse_note, parse_target, raised
from scaledesign.model.scale import Scale, Tuned, row_targets
from scaledesign.model.spelling import names_like, names_of
from scaledesign.paper.report import title
from scaledesign.sounding.score import Pitch, pitched
from scaledesign.values import dataclass

WANTED, PLAYS = "wanted", "plays"
"""Voices of a flute; the others are named by their scale."""
REFERENCE = 440.0
"""Hz of A4 where no flute says otherwise."""


@dataclass(frozen=True)
class Music:
    """The notes to hear: ``numbers`` they go by, and as many pitches in every voice."""

    title: str
    head: str
    """First line of what is printed."""
    names: tuple[str, ...]
    """Of the voices."""
    numbers: tuple[tuple[int, ...], ...]
    """A voice's own; the same for all where the voices are of one length."""
    fingerings: tuple[str, ...]
    voices: tuple[tuple[Pitch, ...], ...]
    tuned: Tuned
    """What a drone's note means."""
    remarks: tuple[str, ...] = ()


def of_flute(design: Design, what: str, scales: Sequence[Scale], key: Note | None, text: str | None) -> Music:
    """Rows of a flute: as it plays them, as wanted, as other scales tune their notes."""
    if not design.rows:
        raise EditError("this flute has no rows to hear", "write some, or name a --scale without the flute")
    scale, reference = catalogue().scale_of(design.tuning), design.tuning.reference
    tuned = Tuned(scale, parse_note(design.tuning.tonic), reference)
    usual = [i for i, row in enumerate(design.rows) if row.role == "scale"] or range(len(design.rows))
    rows = list(_chosen(text, len(design.rows), usual))
    told: list[tuple[str, Sequence[float]]] = []
    remarks = []
    if what != PLAYS:
        told.append((WANTED, row_targets(design, scale)))
    if what != WANTED:
        played, spread, calibrated = _played(design)
        told.append((PLAYS, played))
        silent = sorted({i + 1 for i in rows if not isfinite(played[i])})
        rows = [i for i in rows if isfinite(played[i])]
        if not rows:
            raise EditError("none of these rows sounds on this flute", "choose others with --rows")
        if silent:
            which = f"rows {', '.join(map(str, silent))} do" if len(silent) > 1 else f"row {silent[0]} does"
            remarks.append(f"Left out: {which} not sound on this flute.")
        until = "" if calibrated else " until you blow the bare tube"
        most = max(spread[i] for i in rows)
        remarks.append(f"What it plays is ± {most:.0f} cents{until}: see scaledesign predict.")
    tonic = key or tuned.tonic
    told += [
        (other.name, [Tuned(other, tonic, reference).target(row.note) for row in design.rows])
        for other in scales
    ]
    fingered = [design.holes[i].finger for i in design.fingered()]
    voices = tuple(
        tuple(
            pitched(
                frequency[i], reference, written(design.rows[i].note, tuned),
                name if len(told) > 1 else "",
                tuple(zip(fingered, design.rows[i].holes, strict=True)), names_of(design),
            )
            for i in rows
        )
        for name, frequency in told
    )  # fmt: skip
    return Music(
        design.name or "Flute",
        title(design),
        tuple(name for name, _ in told),
        (tuple(i + 1 for i in rows),) * len(told),
        tuple(format_fingering(design.rows[i].holes, fingered) for i in rows),
        voices,
        tuned,
        tuple(remarks),
    )


def _played(design: Design) -> tuple[list[float], list[float], bool]:
    """Frequency (Hz) and ± (cents) of every row, NaN where it cannot sound; whether readings are in force."""
    rows = list(range(len(design.rows)))
    while True:
        try:
            found = scaledesign.predict(replace(design, rows=tuple(design.rows[i] for i in rows)))
        except NoPitchError as error:
            left = [row for place, row in enumerate(rows) if place not in error.rows]
            if len(left) == len(rows):
                raise
            rows = left
            continue
        frequency, spread = ([nan] * len(design.rows) for _ in range(2))
        for place, row in enumerate(rows):
            frequency[row], spread[row] = float(found.frequency[place]), float(found.uncertainty[place])
        return frequency, spread, found.calibrated


def of_scales(scales: Sequence[Scale], key: Note, text: str | None) -> Music:
    """Scales from the note they begin on up to where they begin again."""
    voices, numbers = [], []
    for scale in scales:
        tuned = Tuned(scale, key, REFERENCE)
        degrees = list(_chosen(text, len(scale.cents) + 1, range(len(scale.cents) + 1)))
        voices.append(tuple(_degree(tuned, i, scale.name if len(scales) > 1 else "") for i in degrees))
        numbers.append(tuple(i + 1 for i in degrees))
    names = tuple(scale.name for scale in scales)
    called = f"{key.name} {', '.join(names)}"
    return Music(
        called, called, names, tuple(numbers), (), tuple(voices), Tuned(scales[0], key, REFERENCE)
    )  # fmt: skip


def _degree(tuned: Tuned, degree: int, words: str) -> Pitch:
    """Pitch of a degree counted from 0, written as the scale writes it where it has few enough degrees."""
    scale = tuned.scale
    periods, index = divmod(degree, len(scale.cents))
    tonic = note_frequency(tuned.tonic, tuned.reference)
    frequency = raised(tonic, scale.cents[index] + periods * scale.period)
    note = tuned.written(scale.place_of(degree)) if scale.places else None
    return pitched(frequency, tuned.reference, note, words, names=names_like([tuned.tonic]))


def written(text: str, tuned: Tuned) -> Note | None:
    """Note that a row's target is written as; None: the one nearest to what sounds."""
    wanted = parse_target(text)
    if isinstance(wanted, Note):
        return wanted
    return tuned.written(float(round(wanted.cents / 100.0))) if isinstance(wanted, Interval) else None


def _chosen(text: str | None, most: int, usual: Sequence[int]) -> Sequence[int]:
    """Indices of ``"1-5,8"`` or ``"all"``, in the order given; ``usual`` where nothing was said."""
    if text is None:
        return usual
    if text.strip().lower() == "all":
        return range(most)
    out: list[int] = []
    for part in text.split(","):
        first, dash, last = (one.strip() for one in part.partition("-"))
        ends = (first, last if dash else first)
        if not all(end.isascii() and end.isdigit() and 1 <= int(end) <= most for end in ends):
            raise QuantityError(text, "is not among them", f"they are 1 to {most}: write 1-3,5 or all")
        low, high = map(int, ends)
        step = 1 if low <= high else -1
        out += range(low - 1, high - 1 + step, step)
    return out


def scale_named(name: str) -> Scale:
    """Scale of a name, or of a file."""
    path = Path(name)
    return scale_file.load(path) if path.suffix.lower() == ".toml" else catalogue().scale(name)
