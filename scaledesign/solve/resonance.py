"""From air columns to playing frequencies: the rising zero of the total reactance, register counted.

One code path for one key press and ten thousand flutes. The phase of ``physics.network`` grows with
frequency, so a Newton step on it, kept inside a bracket that shrinks with every evaluation, finds
the n-th zero from any start, and can find no other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scaledesign.errors import NoPitchError
from scaledesign.physics.flute import Flutes, Layout, lay_out
from scaledesign.physics.network import Field, evaluate, log_frequency_slope

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]

LOWEST, HIGHEST = 10.0, 40000.0
"""Hz: where a pitch is looked for."""
CLOSE = 1e-10
"""Relative step below which a frequency counts as found (2e-7 cent)."""
BLOCK = 1500
"""Flutes x fingerings evaluated at once; keeps the arrays inside the processor's cache."""


@dataclass(frozen=True)
class Fingerings:
    """M fingerings: ``share`` (H, M) open share of each hole, ``register`` (M,) counted from 1."""

    share: Floats
    register: Integers

    @property
    def count(self) -> int:
        return len(self.register)


def first_guess(layout: Layout, fingerings: Fingerings) -> Floats:
    """A rough frequency (N, M): the column to the first open hole, plus what the mouth adds."""
    flutes = layout.flutes
    top = np.where(fingerings.share[None] > 0, flutes.at[:, :, None], np.inf)
    column = np.minimum(top.min(axis=1, initial=np.inf), flutes.length[:, None])
    quarter = 0.5 if flutes.body.foot == "stopped" else 0.0
    column = column + flutes.added_length[:, None] + 2 * flutes.bore_scale[:, None] * flutes.body.slices.radius[0]
    return np.asarray(flutes.air.c[:, None] * (fingerings.register - quarter) / (2 * column))


def resonances(
    flutes: Flutes,
    fingerings: Fingerings,
    *,
    start: Floats | None = None,
    losses: bool = True,
) -> Floats:
    """Playing frequencies of N flutes under M fingerings.

    Parameters
    ----------
    flutes : Flutes
    fingerings : Fingerings
    start : (N, M) array, Hz, optional
        Where to begin; any positive numbers do, near ones are quicker.
    losses : bool

    Returns
    -------
    (N, M) array, Hz: for each fingering the zero of the total reactance with rising slope that is
    ``register``-th from below.

    Raises
    ------
    NoPitchError
        Where no such zero lies between LOWEST and HIGHEST.
    """
    if flutes.count * fingerings.count <= BLOCK:
        return _found(lay_out(flutes), fingerings, start, losses)
    size = max(1, BLOCK // fingerings.count)
    blocks = []
    for first in range(0, flutes.count, size):
        part = slice(first, first + size)
        guess = None if start is None else np.broadcast_to(start, (flutes.count, fingerings.count))[part]
        blocks.append(_found(lay_out(flutes.take(part)), fingerings, guess, losses))
    return np.concatenate(blocks)


def _found(layout: Layout, fingerings: Fingerings, start: Floats | None, losses: bool) -> Floats:
    shape = (layout.flutes.count, fingerings.count)
    if start is None:
        start = first_guess(layout, fingerings)
    log_f = np.log(np.broadcast_to(start, shape))
    low, high = np.full(shape, np.log(LOWEST)), np.full(shape, np.log(HIGHEST))
    target = np.pi * fingerings.register
    for _ in range(60):
        field = evaluate(layout, fingerings.share, np.exp(log_f), losses=losses)
        error = field.phase - target
        slope = log_frequency_slope(field)
        np.copyto(low, log_f, where=error < 0)
        np.copyto(high, log_f, where=error > 0)
        step = -error / slope
        new = log_f + step
        wild = ~((new > low) & (new < high)) & (np.abs(step) > CLOSE)
        if wild.any():
            new = np.where(wild, 0.5 * (low + high), new)
        log_f = new
        if not (np.abs(step) > CLOSE).any() and not wild.any():
            return np.exp(log_f)
        if (high - low < CLOSE).all():
            break
    rows = np.flatnonzero(((high - np.log(HIGHEST) == 0) | (low - np.log(LOWEST) == 0)).any(axis=0))
    if len(rows):
        raise NoPitchError(tuple(int(r) for r in rows), f"nothing between {LOWEST:.0f} and {HIGHEST:.0f} Hz")
    return np.exp(log_f)


def field_at(flutes: Flutes, fingerings: Fingerings, frequency: Floats, *, losses: bool = True) -> Field:
    """The field at given frequencies, for derivatives and outflows (no blocks: few flutes)."""
    return evaluate(lay_out(flutes), fingerings.share, frequency, losses=losses)
