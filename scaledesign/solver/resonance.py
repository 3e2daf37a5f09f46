"""From air columns to playing frequencies: the rising zero of the total reactance, register counted.

One code path for one key press and ten thousand flutes. The phase of ``physics.network`` grows with
frequency, so a Newton step on it, kept inside a bracket that shrinks with every evaluation, finds
the n-th zero from any start, and can find no other.
"""

from __future__ import annotations

import numpy as np

from scaledesign.errors import NoPitchError
from scaledesign.physics.arrays import Floats, Indices, Mask
from scaledesign.physics.field import Field
from scaledesign.physics.flute import Flutes, Layout, lay_out
from scaledesign.physics.gradient import log_frequency_slope
from scaledesign.physics.network import evaluate
from scaledesign.values import dataclass
from scaledesign.wanted import go_on

LOWEST, HIGHEST = 10.0, 40000.0
"""Hz: where a pitch is looked for."""
WIDE = 1.5
"""k a beyond which no pitch is looked for: radiation is known no further."""
CLOSE, THERE = 2e-9, 1e-7
"""Error left in ln f at which a frequency counts as found (3e-6 cent), and at which there is one for sure."""
BEND = 20.0
"""How much the slope of the phase may change per unit of ln f: a first step of s leaves BEND s^2."""
LEVELS = 6
"""How many hidden resonances below a register are looked past."""
FEW = 16
"""Flutes x fingerings up to which a search goes on with all until the last has settled."""
JUMP = 0.5
"""Least jump of the phase, within 1e-6 of ln f: no resonance is so sharp."""
NEAR_JUMP, LOOK = (0.93, 1.07), 43
"""Where to look for a zero beside a jump, relative to the jump, and at how many places."""
TOUCH = 0.3
"""How near the phase has to come to its level between two places for a closer look."""
FINER = (33, 33, 33, 33)
"""Places of each finer look between the two that hold it: 8e-4 / 32**4 of the frequency is left."""
BLOCK = 1500
"""Flutes x fingerings evaluated at once; keeps the arrays inside the processor's cache."""


@dataclass(frozen=True)
class Fingerings:
    """M fingerings: ``share`` (H, M) open share of each hole, ``register`` (M,) counted from 1."""

    share: Floats
    register: Indices

    @property
    def count(self) -> int:
        """M."""
        return len(self.register)


def first_guess(layout: Layout, fingerings: Fingerings) -> Floats:
    """A rough frequency (N, M): the column to the first open hole, plus what the mouth adds."""
    flutes = layout.flutes
    top = np.where(fingerings.share[None] > 0, flutes.at[:, :, None], np.inf)
    column = np.minimum(top.min(axis=1, initial=np.inf), flutes.length[:, None])
    quarter = 0.5 if flutes.body.foot == "stopped" else 0.0
    column = (
        column + flutes.added_length[:, None] + 2 * flutes.bore_scale[:, None] * flutes.body.slices.radius[0]
    )
    return np.asarray(flutes.air.c[:, None] * (fingerings.register - quarter) / (2 * column))


@dataclass(frozen=True)
class Resonances:
    """Playing frequencies (N, M) in Hz, and which multiple of pi each one's phase is.

    ``level`` exceeds the register where a stretch of tube below open holes resonates so weakly that
    the losses swallow it: the lossless tube would have one more zero there. Handing ``level`` and
    ``frequency`` back in makes the next call on a like flute quick.
    """

    frequency: Floats
    level: Indices


def resonances(
    flutes: Flutes,
    fingerings: Fingerings,
    *,
    near: Resonances | None = None,
    losses: bool = True,
    missing: bool = False,
) -> Resonances:
    """Playing frequencies of N flutes under M fingerings.

    Parameters
    ----------
    flutes : Flutes
    fingerings : Fingerings
    near : Resonances, optional
        Those of like flutes (frequency and level broadcast to (N, M)), to start from.
    losses : bool
    missing : bool
        Whether a register that is not there is NaN, instead of an error.

    Returns
    -------
    Resonances: for each fingering the zero of the total reactance with rising slope that is
    ``register``-th from below.

    Raises
    ------
    NoPitchError
        Where no such zero lies between LOWEST and HIGHEST, unless ``missing``.
    """
    shape = (flutes.count, fingerings.count)
    size = max(1, BLOCK // max(1, fingerings.count))
    frequency, level = np.empty(shape), np.empty(shape, np.intp)
    for first in range(0, flutes.count, size):
        part = slice(first, first + size)
        block = flutes if size >= flutes.count else flutes.take(part)
        layout = lay_out(block)
        if near is None:
            frequency[part], level[part] = _from_below(layout, fingerings, losses, missing)
            continue
        start = np.broadcast_to(near.frequency, shape)[part]
        level[part] = np.broadcast_to(near.level, shape)[part]
        frequency[part], found = _zero_at_level(
            layout, fingerings.share, level[part], start, losses, cold=False
        )
        if not found.all():
            frequency[part], level[part] = _from_below(layout, fingerings, losses, missing)
    return Resonances(frequency, level)


def _from_below(
    layout: Layout, fingerings: Fingerings, losses: bool, missing: bool
) -> tuple[Floats, Indices]:
    """Count the zeros that exist, from the lowest, up to each fingering's register.

    A level that the phase jumps over is a resonance that the losses have swallowed; it has no zero and
    is not counted. Levels below the register need no look where no hole is open: a plain tube hides
    nothing.
    """
    shape = (layout.flutes.count, fingerings.count)
    register = np.broadcast_to(fingerings.register, shape)
    plain = ~(fingerings.share > 0).any(axis=0)
    counted = np.where(plain, register - 1, 0)
    level = counted.copy()
    frequency = first_guess(layout, fingerings)
    start = frequency * (counted + 1) / register
    for _ in range(int(register.max(initial=1)) + LEVELS):
        left = np.flatnonzero((counted < register).any(axis=0))  # fingerings that are not done yet
        more = (counted < register)[:, left]
        next_level = np.where(more, level[:, left] + 1, level[:, left])
        share = fingerings.share[:, left]
        wanted = counted[:, left] + 1 >= register[:, left]
        value, found = _zero_at_level(layout, share, next_level, start[:, left], losses, wanted=wanted)
        if not found.all():
            value, found = _beside_jump(layout, share, next_level, value, found, losses)
        level[:, left] = next_level
        frequency[:, left] = np.where(found, value, frequency[:, left])
        counted[:, left] += found & more
        if (counted >= register).all():
            return frequency, level
        more = (counted < register)[:, left]
        ahead = value * (next_level + 1) / np.maximum(next_level, 1)
        start[:, left] = np.where(more, ahead, value)
    if missing:
        return np.where(counted < register, np.nan, frequency), level
    rows = np.flatnonzero((counted < register).any(axis=0))
    raise NoPitchError(tuple(int(row) for row in rows), "this tube has no such register that could speak")


def _zero_at_level(
    layout: Layout,
    share: Floats,
    level: Indices,
    start: Floats,
    losses: bool,
    *,
    cold: bool = True,
    wanted: Mask | None = None,
) -> tuple[Floats, Mask]:
    """Where the phase is ``level`` times pi, (N, M), and whether it passes there smoothly.

    ``cold``: the start is a guess, so the first look leaves out what openings do to each other outside.
    ``wanted`` (N, M): where the frequency is asked for; elsewhere it is enough that there is one.
    """
    log_f, low, high = _within(layout, start)
    frequency, met = np.empty(log_f.shape), np.zeros(log_f.shape, bool)
    rows, columns = np.arange(log_f.shape[0]), np.arange(log_f.shape[1])
    target = np.pi * level
    close = np.full(log_f.shape, CLOSE) if wanted is None else np.where(wanted, CLOSE, THERE)
    slope: Floats = np.zeros(log_f.shape)
    under, over, last, last_error = slope, slope, slope, slope
    exact = known = True
    for turn in range(80):
        go_on()
        alone = cold and turn == 0 and layout.openings is not None
        field = evaluate(layout, share, np.exp(log_f), losses=losses, partials=exact, outside=not alone)
        error = field.phase - target
        if exact:
            slope, left = log_frequency_slope(field), np.zeros(error.shape)
        else:  # the chord to the last point is nearly as good and costs nothing
            moved = log_f - last
            chord = (error - last_error) / np.where(moved == 0, 1.0, moved)
            chord = np.where(np.abs(moved) > 1e-7, chord, slope)
            # a long chord may look like the slope by chance: trust it no further than its length
            left = np.maximum(np.abs(chord - slope) / np.maximum(chord, 1e-3), BEND * np.abs(moved))
            if known:  # the slope at the last point was exact: this is good to second order
                slope, left = 2 * chord - slope, left**2 / 6
            else:
                slope = chord
        step = -error / np.maximum(slope, 1e-3)
        left = left + BEND * np.abs(step)
        if not alone:
            below, above = error < 0, error > 0
            low, high = np.where(below, log_f, low), np.where(above, log_f, high)
            under, over = np.where(below, error, under), np.where(above, error, over)
        settled = (np.abs(step) * left < close) & (slope > 0) & (not alone)
        gap = high - low
        lost = ((gap < 1e-9) | ((gap < 1e-6) & (over - under > JUMP))) & ~settled
        new = log_f + step
        inside = (new > low) & (new < high)
        last, last_error, known = log_f, error, exact
        log_f = np.where(lost, log_f, np.where(settled | inside, new, 0.5 * (low + high)))
        cut = np.ix_(rows, columns)
        frequency[cut], met[cut] = log_f, settled
        done = settled | lost
        if done.all():
            break
        exact = (cold and turn == 0) or bool((~inside & ~settled).any())
        late = [np.flatnonzero(~done.all(axis=axis)) for axis in (1, 0)]
        if done.size > FEW and len(late[0]) * len(late[1]) < 0.5 * done.size:  # with the stragglers alone
            if len(late[0]) < len(rows):
                layout = lay_out(layout.flutes.take(late[0]))
            some = np.ix_(*late)
            rows, columns, share = rows[late[0]], columns[late[1]], share[:, late[1]]
            log_f, low, high, under, over, target, close, slope, last, last_error = (
                part[some] for part in (log_f, low, high, under, over, target, close, slope, last, last_error)
            )
    return np.exp(frequency), met


def _within(layout: Layout, start: Floats) -> tuple[Floats, Floats, Floats]:
    """ln of where to start, and of the lowest and highest frequency that is looked at."""
    flutes = layout.flutes
    widest = max(float(flutes.body.slices.radius.max()), float(flutes.body.slices.end_radius.max()))
    top = np.minimum(HIGHEST, WIDE * flutes.air.c / (2 * np.pi * widest * flutes.bore_scale))[:, None]
    log_f = np.log(np.clip(start, LOWEST * 1.01, top / 1.01))
    return log_f, np.full(log_f.shape, np.log(LOWEST)), np.broadcast_to(np.log(top), log_f.shape)


def _beside_jump(
    layout: Layout, share: Floats, level: Indices, jump: Floats, found: Mask, losses: bool
) -> tuple[Floats, Mask]:
    """Zeros that lie beside a jump of the phase over their level.

    The phase rises, falls back and jumps, or jumps, falls back and rises, where a resonance is nearly
    swallowed; ``jump`` is where the search above gave up. A grid over the width such a resonance has, then
    ever finer ones; only flutes and fingerings that need it are looked at.
    """
    flutes = np.flatnonzero(~found.all(axis=1))
    columns = np.flatnonzero(~found[flutes].all(axis=0))
    part = layout if len(flutes) == layout.flutes.count else lay_out(layout.flutes.take(flutes))
    cut = np.ix_(flutes, columns)
    zero, met = _first_crossing(part, share[:, columns], level[cut], jump[cut], ~found[cut], losses)
    value, seen = jump.copy(), found.copy()
    value[cut] = np.where(met, zero, value[cut])
    seen[cut] |= met
    return value, seen


def _first_crossing(
    layout: Layout, share: Floats, level: Indices, middle: Floats, wanted: Mask, losses: bool
) -> tuple[Floats, Mask]:
    """The lowest place near ``middle`` (n, m) where the phase rises through ``level`` without a jump."""
    ends = middle * NEAR_JUMP[0], middle * NEAR_JUMP[1]
    low, high, seen, touch = _rise(layout, share, level, *ends, LOOK, losses)
    touch &= wanted & ~seen
    if touch.any():  # it turns back just short of the level between two places, or seems to: look there
        columns = np.flatnonzero(touch.any(axis=0))
        again = _rise(
            layout, share[:, columns], level[:, columns], low[:, columns], high[:, columns], LOOK, losses
        )
        for kept, new in zip((low, high, seen), again, strict=False):
            kept[:, columns] = np.where(touch[:, columns], new, kept[:, columns])
    seen &= wanted
    zero = 0.5 * (low + high)
    columns = np.flatnonzero(seen.any(axis=0))
    if not len(columns):
        return zero, seen
    some, aim = share[:, columns], level[:, columns]
    low, high = low[:, columns], high[:, columns]
    for count in FINER:
        low, high, met, _ = _rise(layout, some, aim, low, high, count, losses)
        seen[:, columns] &= met
    zero[:, columns] = 0.5 * (low + high)
    missed = np.abs(_errors(layout, some, aim, zero[:, columns, None], losses)[..., 0])
    seen[:, columns] &= missed < 1e-6
    return zero, seen


def _rise(
    layout: Layout, share: Floats, level: Indices, low: Floats, high: Floats, count: int, losses: bool
) -> tuple[Floats, Floats, Mask, Mask]:
    """Which two of ``count`` places from ``low`` to ``high`` (n, m) hold the first rise, and if there is one.

    Where there is none: the places on either side of the one that comes nearest and turns back, and if there
    is such a one.
    """
    place = low[..., None] + (high - low)[..., None] * np.linspace(0.0, 1.0, count)
    error = _errors(layout, share, level, place, losses)
    up = np.diff(error, axis=-1)
    smooth = np.abs(up) < 1.0
    rise = (error[..., :-1] < 0) & (error[..., 1:] >= 0) & smooth
    seen = rise.any(axis=-1)
    middle = error[..., 1:-1]
    back = (up[..., :-1] * up[..., 1:] <= 0) & smooth[..., :-1] & smooth[..., 1:]
    back &= (middle < 0) == (up[..., :-1] > 0)  # a crest below the level, or a trough above it
    short = np.where(back, np.abs(middle), np.inf)
    touch = ~seen & (short.min(axis=-1) < TOUCH)
    first = np.where(seen, rise.argmax(axis=-1), short.argmin(axis=-1))
    last = np.minimum(first + np.where(seen, 1, 2), count - 1)
    ends = (np.take_along_axis(place, at[..., None], axis=-1)[..., 0] for at in (first, last))
    return (*ends, seen, touch)


def _errors(layout: Layout, share: Floats, level: Indices, place: Floats, losses: bool) -> Floats:
    """Phase less ``level`` times pi at several frequencies ``place`` (n, m, g) of each fingering."""
    flutes, fingerings, count = place.shape
    error = np.empty(place.shape)
    wide = max(1, min(fingerings, BLOCK // count))
    size = max(1, BLOCK // (wide * count))
    for first in range(0, flutes, size):
        block = slice(first, first + size)
        part = layout if size >= flutes else lay_out(layout.flutes.take(block))
        for begin in range(0, fingerings, wide):
            some = slice(begin, begin + wide)
            here = place[block, some]
            field = evaluate(
                part, np.repeat(share[:, some], count, axis=1), here.reshape(len(here), -1), losses=losses,
                partials=False,
            )  # fmt: skip
            error[block, some] = field.phase.reshape(here.shape) - np.pi * level[block, some, None]
    return error


def field_at(flutes: Flutes, fingerings: Fingerings, frequency: Floats, *, losses: bool = True) -> Field:
    """The field at given frequencies, for derivatives and outflows (no blocks: few flutes)."""
    return evaluate(lay_out(flutes), fingerings.share, frequency, losses=losses)


def sounded(
    flutes: Flutes, fingerings: Fingerings, *, near: Resonances | None = None, losses: bool = True
) -> tuple[Resonances, Field]:
    """Playing frequencies and the field there; see ``resonances``. One look where the start is all but there.

    Raises
    ------
    NoPitchError
    """
    if near is not None and near.frequency.shape == (flutes.count, fingerings.count):
        field = field_at(flutes, fingerings, near.frequency, losses=losses)
        step = (np.pi * near.level - field.phase) / log_frequency_slope(field)
        if (np.abs(step) < np.sqrt(CLOSE / BEND)).all():
            return Resonances(near.frequency * np.exp(step), near.level), field
    found = resonances(flutes, fingerings, near=near, losses=losses)
    return found, field_at(flutes, fingerings, found.frequency, losses=losses)
