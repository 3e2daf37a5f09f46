"""Fingerings that were found, as rows of the design.

Apart from the finder, which leaves the design as it is. The layout hardly follows such a row: its weight is
that of its role.
"""

from __future__ import annotations

from collections.abc import Sequence

from scaledesign.model.document import Design, Role, Row
from scaledesign.model.edits import InsertRow, apply
from scaledesign.model.fingering import parse_fingering
from scaledesign.model.pitch import cents_between
from scaledesign.model.scale import Tuned
from scaledesign.model.system import WEIGHTS
from scaledesign.workshop.finder import FAR, Found
from scaledesign.workshop.wanted_notes import ONE, WantedNote

SMALL = 0.05
"""Cents that are not written."""


def with_rows(
    design: Design, tuned: Tuned, chosen: Sequence[tuple[WantedNote, Found]], open_share: float
) -> Design:
    """The design with a row for each fingering that it does not have for that note yet.

    A row is an alternate one where it is overblown or its note has a row, else a chromatic one. It stands
    before the first row that wants a higher note.

    Parameters
    ----------
    design : Design
    tuned : Tuned, the design's own scale, tonic and reference
    chosen : notes and their fingerings
    open_share : what H stands for in them

    Raises
    ------
    EditError
        when the result could not be a flute.
    """
    for wanted, found in chosen:
        off = [cents_between(wanted.frequency, tuned.target(row.note, row.cents)) for row in design.rows]
        alike = (_alike(row, found, open_share) and abs(far) <= FAR
                 for row, far in zip(design.rows, off, strict=True))  # fmt: skip
        if any(alike):
            continue
        taken = any(abs(far) <= FAR for far in off)
        role: Role = "alternate" if taken or found.register > 1 else "chromatic"
        place = next((i for i, far in enumerate(off) if far > ONE), len(off))
        design = apply(design, InsertRow(_row(tuned, wanted, found, role, open_share), place))
    return design


def _alike(row: Row, found: Found, open_share: float) -> bool:
    """Whether a row has that fingering."""
    same = "".join(row.holes) == found.letters and row.register == found.register
    return same and ("H" not in found.letters or abs(row.open_share - open_share) < 1e-9)


def _row(tuned: Tuned, wanted: WantedNote, found: Found, role: Role, open_share: float) -> Row:
    """A note whose name means another pitch in the design's own tuning is shifted, a far one told in Hz."""
    note, cents = wanted.name, cents_between(tuned.target(wanted.name), wanted.frequency)
    if abs(cents) > FAR:
        note, cents = f"{wanted.frequency:.2f} Hz", 0.0
    return Row(
        note=note,
        holes=parse_fingering(found.letters),
        cents=round(cents, 1) if abs(cents) >= SMALL else 0.0,
        register=found.register,
        weight=WEIGHTS[role],
        role=role,
        open_share=open_share,
    )
