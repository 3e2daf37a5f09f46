"""Which row each heard note is of: all notes together, with one shift of the whole flute left open.

Before the bare tube was blown a flute may lie half a semitone off what is expected, all notes alike, so that
no note can be told by itself. Here every note is asked for at once: how far it may lie from each row's
expectation is the prediction's own ±, parted into what all rows share (``Prediction.common``) and what each
has for itself (``rest``); the order of playing makes some ways likelier than others; any note may be of no
row. The chance of every pairing is summed over all ways and all shifts (forward and backward along the notes,
as in a hidden Markov model), and each note goes to its likeliest row if that is sure enough.

Nothing is heard here: notes come as frequencies. L. R. Rabiner 1989, Proc. IEEE 77, 257-286, section III: the
two passes (from memory); the chances of skips, repeats and strays are proposed here, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from scaledesign.errors import EditError, NoPitchError
from scaledesign.model.document import Design
from scaledesign.model.pitch import raised
from scaledesign.physics.arrays import Floats
from scaledesign.solver.problem import CENT, doubts_of
from scaledesign.values import dataclass
from scaledesign.workshop import ask, calibration

Order = Literal["up", "any"]
STRAY = 0.05
"""Chance that a note is of no row."""
STRAY_RANGE = 3000.0
"""Cents over which a stray note may lie anywhere."""
SELDOM = 0.05
"""How likely a chromatic or alternate row is played, beside one of the scale."""
SKIP, AGAIN, BACK = 0.6, 0.5, 0.01
"""Playing up: how likely each row left out makes the next one, a row played again, and a row further down."""
SURE = 0.8
"""Chance from which a note is taken to be of a row."""
SHIFTS = np.linspace(-4.0, 4.0, 81)
"""Shifts of the whole flute, in standard deviations."""
NEAR = 60.0
"""Cents beside twice or three times a row's pitch within which a note is that row overblown."""
BARE_REGISTERS = 3
MOST = 1_500_000
"""Notes times rows squared up to which the order of playing is thought of; more take too long."""
_NOT = -1e9
"""The logarithm of no chance at all."""


@dataclass(frozen=True)
class Awaited:
    """What may be heard: rows of a flute, or the registers of its bare tube. Each array is (R,)."""

    rows: tuple[int | None, ...]
    """0-based; None: the bare tube."""
    registers: tuple[int, ...]
    labels: tuple[str, ...]
    """As a person calls them: "row 3"."""
    frequency: Floats
    """Hz"""
    common: Floats
    """cents, one standard deviation of what all share"""
    own: Floats
    """cents, of what each has for itself, and the reading's own"""
    usual: Floats
    """How likely each is played beside the others."""

    @property
    def range(self) -> tuple[float, float]:
        """Hz between which notes are worth listening for, overblown ones too."""
        room = float(300.0 + 3.0 * np.hypot(self.common, self.own).max())
        return raised(float(self.frequency.min()), -room), raised(2.0 * float(self.frequency.max()), 300.0)


@dataclass(frozen=True)
class Paired:
    """One note and what it is of."""

    place: int | None
    """Place in ``Awaited``; None: left out."""
    chance: float
    """How sure that is, 0 to 1."""
    nearest: int
    """Place of what is expected nearest to it."""
    why: str = ""
    """Why it is left out."""


@dataclass(frozen=True)
class Pairing:
    """All notes, and the shift of the whole flute that goes with them."""

    awaited: Awaited
    notes: tuple[Paired, ...]
    shift: float
    """Cents by which the whole flute lies above what was expected."""
    shift_doubt: float
    """One standard deviation, cents."""


def awaited(
    design: Design, *, bare: bool = False, length: float | None = None, temperature: float | None = None
) -> Awaited:
    """What a recording of this flute may hold.

    Parameters
    ----------
    design : Design
    bare : whether it is the tube before any hole was drilled
    length : m, of the bare tube, where it differed from the design's
    temperature : degC of the room, where it differed

    Raises
    ------
    EditError
        when the design has no rows.
    NoPitchError, UnknownNameError
    """
    if temperature is not None:
        design = replace(design, air=replace(design.air, temperature=temperature))
    tuner = doubts_of(design).tuner
    if bare:
        found = []
        for register in range(1, BARE_REGISTERS + 1):
            try:
                found.append(calibration.bare_tube(design, length, register=register))
            except NoPitchError:
                break
        if not found:
            raise EditError("The bare tube has no pitch", "look at its length and its bore")
        doubt = np.array([each[1] for each in found])
        common = np.full(len(found), doubt.min())
        own = np.sqrt(doubt**2 - common**2 + tuner**2 + 10.0**2 * (np.arange(len(found)) > 0))
        labels = ("the bare tube", "the bare tube overblown", "the bare tube overblown twice")
        return Awaited(
            (None,) * len(found), tuple(range(1, len(found) + 1)), labels[: len(found)],
            np.array([each[0] for each in found]), common, own, np.ones(len(found)),
        )  # fmt: skip
    if not design.rows:
        raise EditError("This flute has no rows yet", "add a row for each note, or listen to the bare tube")
    prediction = ask.predict(design)
    return Awaited(
        tuple(range(len(design.rows))),
        tuple(row.register for row in design.rows),
        tuple(f"row {i + 1}" for i in range(len(design.rows))),
        prediction.frequency,
        prediction.common,
        np.hypot(prediction.rest, tuner),
        np.array([1.0 if row.role == "scale" else SELDOM for row in design.rows]),
    )


def paired(frequencies: Sequence[float], among: Awaited, order: Order = "up") -> Pairing:
    """Which note is of which row.

    Parameters
    ----------
    frequencies : Hz, in the order of playing
    among : what may be heard
    order : "up": the maker went up the rows, and perhaps began again; "any": in any order
    """
    heard = np.array(frequencies, dtype=float)
    if not len(heard):
        return Pairing(among, (), 0.0, float(np.median(among.common)))
    off = CENT * np.log(heard[:, None] / among.frequency)  # (K, R)
    if order == "up" and len(heard) * len(among.rows) ** 2 <= MOST:
        chance, weight = _chances(off, among, np.log(_ways(among, order)))
    else:
        chance, weight = _chances_alone(off, among)
    shifts = SHIFTS[:, None] * among.common  # (S, R)
    typical = shifts[:, int(np.argmax(among.usual))]
    shift = float(weight @ typical)
    doubt = float(np.sqrt(weight @ (typical - shift) ** 2))
    moved = float(weight @ SHIFTS) * among.common
    notes = tuple(_one(off[k], chance[k], among, moved) for k in range(len(heard)))
    return Pairing(among, notes, shift, doubt)


def _ways(among: Awaited, order: Order) -> Floats:
    """(R + 1, R) chances of each row after each row, the first line: at the beginning."""
    count = len(among.usual)
    ways = np.tile(among.usual, (count + 1, 1))
    if order == "up":
        rank = np.empty(count, int)
        rank[np.argsort(among.frequency, kind="stable")] = np.arange(count)
        passed = np.cumsum(among.usual[np.argsort(rank)])[rank]  # rows as likely as this, up to it
        for last in range(-1, count):
            begun = passed[last] if last >= 0 else 0.0
            skipped = passed - among.usual - begun
            go_on = SKIP ** np.maximum(skipped, 0.0)
            if last >= 0:
                go_on = np.where(rank < rank[last], BACK, go_on)
                go_on[last] = AGAIN
            ways[last + 1] *= go_on
    return np.asarray(ways / ways.sum(axis=1, keepdims=True))


def _chances(off: Floats, among: Awaited, ways: Floats) -> tuple[Floats, Floats]:
    """(K, R) chance of each pairing, and (S,) of each shift."""
    apart = off[None] - (SHIFTS[:, None] * among.common)[:, None, :]  # (S, K, R)
    fits = -0.5 * (apart / among.own) ** 2 - np.log(among.own * np.sqrt(2 * np.pi)) + np.log(1 - STRAY)
    stray = float(np.log(STRAY / STRAY_RANGE))
    steps, count, rows = fits.shape
    before = np.full((count + 1, steps, rows + 1), _NOT)
    before[0, :, 0] = -0.5 * SHIFTS**2
    for k in range(count):
        before[k + 1] = before[k] + stray
        came = _summed(before[k][:, :, None] + ways, 1) + fits[:, k]
        before[k + 1, :, 1:] = np.logaddexp(before[k + 1, :, 1:], came)
    after = np.zeros((count + 1, steps, rows + 1))
    for k in range(count - 1, -1, -1):
        goes = _summed(ways + (fits[:, k] + after[k + 1, :, 1:])[:, None, :], 2)
        after[k] = np.logaddexp(after[k + 1] + stray, goes)
    whole = _summed(before[count], 1)
    total = float(_summed(whole, 0))
    chance = np.empty((count, rows))
    for k in range(count):
        came = _summed(before[k][:, :, None] + ways, 1) + fits[:, k] + after[k + 1, :, 1:]
        chance[k] = np.exp(_summed(came, 0) - total)
    return chance, np.exp(whole - total)


def _chances_alone(off: Floats, among: Awaited) -> tuple[Floats, Floats]:
    """The same where each note may follow any: nothing but the shift of the whole flute joins them."""
    usual = np.log(among.usual / among.usual.sum())
    stray = float(np.log(STRAY / STRAY_RANGE))

    def fits(k: int) -> Floats:
        """(S, R) logarithms of how well a note fits each row, at each shift."""
        apart = off[k] - SHIFTS[:, None] * among.common
        fit = -0.5 * (apart / among.own) ** 2 - np.log(among.own * np.sqrt(2 * np.pi)) + np.log(1 - STRAY)
        return np.asarray(fit + usual)

    whole = -0.5 * SHIFTS**2
    each = np.array([np.logaddexp(stray, _summed(fits(k), 1)) for k in range(len(off))])  # (K, S)
    whole = whole + each.sum(axis=0)
    weight = np.exp(whole - _summed(whole, 0))
    return np.array([weight @ np.exp(fits(k) - each[k][:, None]) for k in range(len(off))]), weight


def _summed(logs: Floats, axis: int) -> Floats:
    most = logs.max(axis=axis, keepdims=True)
    return np.asarray(np.log(np.exp(logs - most).sum(axis=axis)) + most.squeeze(axis))


def _one(off: Floats, chance: Floats, among: Awaited, moved: Floats) -> Paired:
    best, apart = int(chance.argmax()), off - moved
    nearest = int(np.abs(apart).argmin())
    if chance[best] >= SURE:
        return Paired(best, float(chance[best]), best)
    second = int(np.argsort(chance)[-2]) if len(chance) > 1 else best
    if chance[best] + chance[second] >= SURE and best != second:
        why = f"it may be {among.labels[best]} or {among.labels[second]}"
        return Paired(None, float(chance[best]), nearest, why)
    return Paired(None, 1.0 - float(chance.sum()), nearest, _stray(apart, among, nearest))


def _stray(apart: Floats, among: Awaited, nearest: int) -> str:
    """What a note that no row plays may be."""
    for times, words in ((2, "an octave above"), (3, "a twelfth above")):
        over = np.abs(apart - CENT * np.log(times))
        over[(np.array(among.registers) != 1) | (among.usual < 1.0)] = np.inf
        row = int(over.argmin())
        if over[row] < NEAR and abs(apart[nearest]) > NEAR:
            return f"{words} {among.labels[row]}: overblown, and no row plays that"
    where = "above" if apart[nearest] > 0 else "below"
    return f"no row plays it: {abs(apart[nearest]):.0f} cents {where} {among.labels[nearest]}"
