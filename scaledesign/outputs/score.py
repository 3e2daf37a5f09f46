"""The notes of a flute as a score: every row that sounds, as it will play, with its fingering.

Apart from the formats (``sounding``), which know no design, and from what is played on the screen, which
needs no file.
"""

from __future__ import annotations

from math import isfinite

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.pitch import Note, parse_target
from scaledesign.model.spelling import names_of
from scaledesign.solver.prediction import Prediction
from scaledesign.sounding.score import Pitch, Score, in_turn, pitched


def score_of(design: Design, prediction: Prediction) -> Score:
    """Every row that sounds, in the order of the design.

    Parameters
    ----------
    design : Design
    prediction : Prediction
        of the same design; NaN Hz where a row cannot sound

    Raises
    ------
    EditError
        when none does.
    """
    reference = design.tuning.reference
    fingers = [design.holes[hole].finger for hole in design.fingered()]
    pitches: list[Pitch] = []
    for row, hertz in zip(design.rows, map(float, prediction.frequency), strict=True):
        if isfinite(hertz) and hertz > 0.0:
            wanted = parse_target(row.note)
            note = wanted if isinstance(wanted, Note) else None
            held = tuple(zip(fingers, row.holes, strict=True))
            pitches.append(pitched(hertz, reference, note, "", held, names_of(design)))
    if not pitches:
        raise EditError("no row of this flute sounds", "give it rows and holes first")
    return Score(in_turn([pitches]), design.name or "Flute", reference=reference)
