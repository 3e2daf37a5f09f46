"""The phase of the air column, followed from the foot to the mouth: how registers are counted.

Apart from the walk itself (``network``), whose states it reads; psi is told there.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics import radiation
from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.physics.field import Mouth


def angle(p: Complexes, v: Complexes) -> Floats:
    """psi modulo pi of states (P, V), in [0, pi)."""
    turn = (v + p) * np.conj(v - p)
    return np.mod(0.5 * np.arctan2(turn.imag, turn.real), np.pi)


def nearest(delta: Floats, guess: Floats) -> Floats:
    """The number that equals ``delta`` modulo pi and lies nearest to ``guess``."""
    return delta + np.pi * np.round((guess - delta) / np.pi)


def _shunt_shift(x: Floats, y: Complexes) -> Floats:
    """How far a shunt moves the phase x in [0, pi): it never leaves its branch."""
    sin = np.sin(x)
    return np.arctan2(sin, np.cos(x) - y.imag * sin) - x


def followed(
    foot: radiation.EndImpedance,
    foot_kink: Complexes,
    theta: Complexes,
    left: Complexes,
    right: Complexes,
    node_y: Complexes,
    mouth_kink: Complexes,
    mouth: Mouth,
    p_total: Complexes,
    v_mouth: Complexes,
) -> Floats:
    """Phase at the mouth, followed from the foot through every element."""
    at_right, at_left = angle(right[:, 0], right[:, 1]), angle(left[:, 0], left[:, 1])
    total = nearest(at_left - at_right, theta.imag).sum(axis=0)
    if len(node_y):
        before = at_left[1:]
        total += nearest(at_right[:-1] - before, _shunt_shift(before, node_y)).sum(axis=0)
    start = angle(foot.z, np.full(foot.z.shape, foot.flow, complex))
    total += start + nearest(at_right[-1] - start, _shunt_shift(start, foot_kink))
    before = at_left[0]
    after = angle(p_total, v_mouth)
    kinked = angle(left[0, 0], v_mouth)
    total += nearest(kinked - before, _shunt_shift(before, mouth_kink))
    if mouth.susceptance is None:
        return np.asarray(total + nearest(after - kinked, np.zeros(kinked.shape)))
    # series element: branch-keeping about odd multiples of pi/2, one branch on once its pole is passed
    centred = kinked - np.pi * np.round(kinked / np.pi)
    sin, cos = np.sin(centred), np.cos(centred)
    susceptance = mouth.susceptance
    passed = susceptance < 0
    sign = np.where(passed, -1.0, 1.0)
    shift = np.arctan2(sign * (susceptance * sin + cos), sign * susceptance * cos) - centred + np.pi * passed
    total += nearest(after - kinked, shift)
    return np.asarray(total)
