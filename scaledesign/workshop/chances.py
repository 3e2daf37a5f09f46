"""Many flutes made from one design: in how many each note, and every note, comes out within the tolerance.

Apart from the prediction, which tells of one note at a time: how often all of them come out together no ±
says, as what is off about a mouth or a bore moves them all. The flutes are drawn from the design's doubts
(``solver/sampling.py``), each played whole.
"""

from __future__ import annotations

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.saying import listed
from scaledesign.physics.arrays import Floats
from scaledesign.solver.hearing import hear_each
from scaledesign.solver.prediction import beside_of
from scaledesign.solver.problem import CENT, problem_of
from scaledesign.solver.resonance import resonances
from scaledesign.solver.sampling import played
from scaledesign.values import dataclass
from scaledesign.workshop import ask
from scaledesign.workshop.readings import readings_in_force

FEW, USUAL, MOST = 100, 1000, 100_000
"""Flutes: fewest, where nobody says, most."""
MIDDLE = (0.25, 0.75)
"""Half of the flutes lie between these quantiles."""


@dataclass(frozen=True)
class Chances:
    """What becomes of ``count`` flutes; arrays are (R,) over ``rows``, the rows that count (0-based)."""

    count: int
    rows: tuple[int, ...]
    tolerance: float
    planned: Floats
    """Cents off its target of each note of the flute exactly as designed."""
    within: Floats
    """Share of flutes with the note within the tolerance."""
    sharp: Floats
    """Share with the note sharper than that; the rest is flatter."""
    low: Floats
    high: Floats
    """Cents: half of the flutes lie between."""
    every: float
    """Share of flutes with every note within the tolerance."""
    together: float
    """The same, each flute moved as a whole so that its notes are right on the average."""
    none_sharp: float
    """Share of flutes without a note that is sharper than the tolerance."""
    blown: bool
    """Whether the design was fitted to readings."""


def chances(design: Design, count: int = USUAL, seed: int = 1) -> Chances:
    """Make many flutes from a design, each a little different, as its doubts have it.

    Parameters
    ----------
    design : Design
    count : how many flutes, ``FEW`` to ``MOST``
    seed : which; the same seed gives the same flutes

    Raises
    ------
    EditError
        when there are no rows that count, too few or too many flutes are asked for, or the seed is negative.
    NoPitchError
        when a row's register cannot be found.
    UnknownNameError
        when nobody offers the scale.
    """
    if not FEW <= count <= MOST:
        raise EditError(f"{count} flutes cannot be made here", f"ask for {FEW} to {MOST}")
    if seed < 0:
        raise EditError(f"{seed} is no seed", "give 0 or more")
    rows = [i for i, row in enumerate(design.rows) if row.counts]
    if not rows:
        raise EditError("the flute has no note that counts", "give a row the role scale, or a weight")
    problem, readings = problem_of(design, ask.targets(design)), readings_in_force(design)
    own = resonances(problem.flutes, problem.fingerings).frequency[0, rows]
    planned = (
        CENT * np.log(own / problem.target[rows]) + beside_of(problem, readings, hear_each(readings))[rows]
    )
    parts = [part[:, rows].astype(np.float32) for part in played(problem, readings, count=count, seed=seed)]
    off = np.concatenate(parts) + planned.astype(np.float32)
    limit = design.tuning.tolerance
    level = off - off.mean(axis=1, keepdims=True)
    low, high = np.quantile(off, MIDDLE, axis=0)
    return Chances(
        count, tuple(rows), limit, planned, (abs(off) <= limit).mean(axis=0), (off > limit).mean(axis=0),
        low, high, float((abs(off) <= limit).all(axis=1).mean()),
        float((abs(level) <= limit).all(axis=1).mean()), float((off <= limit).all(axis=1).mean()),
        bool(readings),
    )  # fmt: skip


def in_words(found: Chances, design: Design) -> str:
    """The answer in a few sentences."""
    limit = f"{found.tolerance:g} cents"
    said = f"Of {found.count:,} flutes made straight from this design {_share(found.every)} would have every "
    said += f"note within {limit}; brought to pitch as a whole, by cutting or by warmth, "
    said += f"{_share(found.together)}. "
    said += f"{_share(1 - found.none_sharp, begins=True)} would have a note that is sharper than that."
    worst = np.argsort(found.within, kind="stable")[:2]
    names = listed([design.rows[found.rows[i]].note for i in sorted(worst)])
    if found.within.min() < found.within.max() - 0.1:
        said += f" Least sure: {names}."
    far = int(np.argmax(abs(found.planned)))
    if abs(found.planned[far]) > max(found.tolerance, 1.0):
        off, note = float(found.planned[far]), design.rows[found.rows[far]].note
        said += f" As it is drawn, {note} is {abs(off):.0f} cents {'sharp' if off > 0 else 'flat'} already:"
        return f"{said} let the holes follow first (scaledesign solve)."
    if not found.blown:
        said += " A note of the bare tube, blown and typed in, makes them surer."
    return f"{said} That is why holes are begun small and opened by ear."


def _share(share: float, *, begins: bool = False) -> str:
    """A share as flutes in a hundred."""
    if 0 < share < 0.01 or 0.99 < share < 1:
        text = "fewer than 1 in 100" if share < 0.5 else "more than 99 in 100"
    else:
        text = "none" if share == 0 else "all" if share == 1 else f"{100 * share:.0f} in 100"
    return text[0].upper() + text[1:] if begins else text
