"""Flutes with slips of the drill in them, to be rescued: what was meant, what was made, what a tuner showed.

The flute that was meant plays its rows in tune by definition: their notes are what it sounds, whatever its
mouth turned out to be. The maker's design has the numbers that were meant; the wood has a slip or two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

import scaledesign
from scaledesign.model.document import Design
from scaledesign.physics.arrays import Floats, Mask
from scaledesign.solver.problem import CENT, fingerings_of, flutes_of, voicing_of
from scaledesign.solver.resonance import resonances
from scaledesign.workshop.rescue import Change
from tests.solver.remake_examples import EXAMPLES

MOUTH, TUNER = 0.003, 2.0
"""One standard deviation of a mouth that is not as estimated (m), and of a tuner (cents)."""


@dataclass(frozen=True)
class Slip:
    """What went wrong: a hole (0-based; None: the foot), in which dimension, by how many m."""

    hole: int | None
    what: str
    by: float


@dataclass(frozen=True)
class Case:
    """``design`` is the maker's, with readings; ``wood`` is the flute that was made."""

    design: Design
    wood: Design
    meant: Floats
    """(R,) Hz."""
    heard: Mask
    """(R,) rows that were read: those of the scale, and their overblown octaves."""


def sounds(design: Design) -> Floats:
    """(R,) Hz of every row; NaN where there is none."""
    found = resonances(flutes_of(design), fingerings_of(design, design.rows), missing=True)
    return np.asarray(found.frequency[0])


def slipped(name: str, slips: Sequence[Slip], seed: int) -> Case:
    """One of the examples with slips in it."""
    rng = np.random.default_rng(seed)
    design = scaledesign.load(EXAMPLES / f"{name}.toml")
    added = voicing_of(design).added_length + MOUTH * rng.standard_normal()
    true = replace(design, voicing=replace(design.voicing, added_length=added))
    meant = sounds(true)
    scale = {row.holes for row in design.rows if row.counts}
    heard = np.array([row.holes in scale for row in design.rows]) & np.isfinite(meant)
    wood = true
    for slip in slips:
        wood = worked(wood, slip.hole, slip.what, slip.by)
    read = sounds(wood) * 2 ** (TUNER * rng.standard_normal(len(meant)) / 1200)
    rows = tuple(
        replace(row, note=f"{hertz:.4f} Hz", measured=f"{said:.4f} Hz" if here else "")
        for row, hertz, said, here in zip(design.rows, meant, read, heard, strict=True)
        if np.isfinite(hertz)
    )
    kept = np.isfinite(meant)
    wood = replace(wood, rows=tuple(row for row, here in zip(wood.rows, kept, strict=True) if here))
    return Case(replace(design, rows=rows), wood, meant[kept], heard[kept])


def worked(design: Design, hole: int | None, what: str, by: float) -> Design:
    """A flute with one dimension changed."""
    if hole is None:
        return replace(design, tube=replace(design.tube, length=design.tube.length + by))
    own = design.holes[hole]
    made = replace(own, **{what: getattr(own, what) + by})
    return replace(design, holes=(*design.holes[:hole], made, *design.holes[hole + 1 :]))


WHAT = {"open": "diameter", "fill": "diameter", "undercut": "undercut", "move": "at", "cut": "length"}


def off(case: Case, changes: Sequence[Change] = ()) -> Floats:
    """Cents by which the rows that were read are off, after some changes to the wood."""
    wood = case.wood
    for change in changes:
        wood = worked(wood, change.hole, WHAT[change.kind], change.by)
    return np.asarray(CENT * np.log(sounds(wood) / case.meant))[case.heard]
