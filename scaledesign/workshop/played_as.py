"""One flute in many versions, played at once: holes moved, turned, widened, the foot elsewhere.

Apart because whoever weighs remedies or roundings asks for dozens of them. Versions whose holes stand and
lean alike around the tube are one batch for the engine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scaledesign.model.document import Design, Row
from scaledesign.physics.arrays import Floats
from scaledesign.physics.flute import Flutes
from scaledesign.solver.problem import CENT, fingerings_of, flutes_of, hole_radius
from scaledesign.solver.resonance import Resonances, resonances


def played(
    versions: Sequence[Design], rows: tuple[Row, ...] | None = None, near: Resonances | None = None
) -> Floats:
    """Frequencies (N, R) in Hz of rows under every version; NaN where a row has no pitch.

    Parameters
    ----------
    versions : designs of one flute: tube, mouth, air and the number of its holes are the first one's
    rows : what is fingered; None: the rows of the first
    near : what a version that differs little from these plays, (1, R): a start that saves most of the work
    """
    asked = fingerings_of(versions[0], versions[0].rows if rows is None else rows)
    frequency = np.full((len(versions), asked.count), np.nan)
    start = near if near is not None and np.isfinite(near.frequency).all() else None
    for group in _alike(versions):
        flutes = together([versions[i] for i in group])
        frequency[group] = resonances(flutes, asked, near=start, missing=True).frequency
    return frequency


def sounding(design: Design, rows: tuple[Row, ...]) -> Resonances:
    """What one flute plays under rows, (1, R), to start from; NaN where a row has no pitch."""
    return resonances(flutes_of(design), fingerings_of(design, rows), missing=True)


def together(versions: Sequence[Design]) -> Flutes:
    """Versions as one batch: they differ in the places and widths of their holes and in length alone."""
    many = flutes_of(versions[0]).take(np.zeros(len(versions), np.intp))
    shape = (len(versions), len(versions[0].holes))
    return replace(
        many,
        at=np.array([[hole.at for hole in one.holes] for one in versions]).reshape(shape),
        radius=np.array([[hole_radius(hole) for hole in one.holes] for one in versions]).reshape(shape),
        length=np.array([one.tube.length for one in versions]),
    )


def cents_off(frequency: Floats, target: Floats | tuple[float, ...]) -> Floats:
    """Cents (N, R) that frequencies lie above what is wanted."""
    return np.asarray(CENT * np.log(frequency / np.asarray(target, float)))


def _alike(versions: Sequence[Design]) -> list[list[int]]:
    """Which versions have their holes turned, slanted, undercut and shaped alike."""
    groups: dict[object, list[int]] = {}
    for i, one in enumerate(versions):
        shape = tuple(
            (
                hole.side,
                hole.slant,
                hole.undercut,
                hole.wall,
                round(hole.diameter / (hole.across or hole.diameter), 9),
            )
            for hole in one.holes
        )
        groups.setdefault(shape, []).append(i)
    return list(groups.values())
