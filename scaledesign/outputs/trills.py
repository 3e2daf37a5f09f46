"""Trills between neighbouring notes of the scale, for the chart.

Apart because it joins two layers that do not know each other: the workshop, which finds trills among all
fingerings, and paper, which shows them. Partly open holes are left out: nobody trills with one.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from scaledesign.model.document import Design, HoleState
from scaledesign.paper.chart.content import Chart, ChartTrill
from scaledesign.workshop.finder import choice_of
from scaledesign.workshop.playable import REGISTERS, playable
from scaledesign.workshop.trills import Trill, trills

TRIED = 12
"""Pairs of fingerings that are looked at until one stays in its register."""


def chart_trills(design: Design, chart: Chart) -> tuple[ChartTrill, ...]:
    """The easiest trill between each note of the scale and the next, where there is one in one register.

    Parameters
    ----------
    design : Design
    chart : Chart
        of the same design, with its notes from low to high

    Raises
    ------
    EditError
        when the flute has too many holes to try all fingerings.
    """
    notes = [note for note in chart.notes if note.role == "scale"]
    if len(notes) < 2 or not design.fingered():
        return ()
    choice = choice_of(design, playable(design, halves=False, registers=REGISTERS))
    found = []
    for low, high in pairwise(notes):
        best = _in_one_register(trills(choice, low.frequency, high.frequency, best=TRIED))
        if best:
            found.append(
                ChartTrill(
                    low.note, high.note, _states(best.low.letters), _states(best.high.letters),
                    best.low.register, best.fingers,
                )
            )  # fmt: skip
    return tuple(found)


def _in_one_register(found: Iterable[Trill]) -> Trill | None:
    return next((trill for trill in found if trill.low.register == trill.high.register), None)


def _states(letters: str) -> tuple[HoleState, ...]:
    known: dict[str, HoleState] = {"X": "X", "O": "O", "H": "H"}
    return tuple(known[letter] for letter in letters)
