"""Openings that act on each other through the outside air: their flows, and the bore's field with those in.

Apart from the walk along the bore (``network``), which takes each opening alone, and from ``outside``, which
knows what one flow makes outside another opening.

With the mouth's flow held, the bore answers a pressure outside one opening at all the others, by the field L
from the mouth down and the field R from the foot up: flows F = F_0 + B e, pressures e = X F. They settle in a
few rounds, since openings couple weakly; where holes crowd, the system is solved outright.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats, Mask
from scaledesign.physics.field import Field, middle
from scaledesign.physics.flute import Layout
from scaledesign.physics.outside import CLOSE, NEAR, ROUNDS, mutual, pressures, table
from scaledesign.physics.phase import angle, nearest


def coupled(
    field: Field, chain: tuple[Complexes, Complexes], opened: Mask, *, whole: bool, outside: bool
) -> Field:
    """The field with what its openings do to each other outside; flows too, and states if ``whole``.

    Parameters
    ----------
    field : Field, each opening alone
    chain : matrices of ducts and nodes; see ``network``
    opened : (H, M), which holes are open
    whole : bool
        False: only the impedance and its phase are wanted.
    outside : bool
        False: the openings stay deaf to each other.
    """
    layout = field.layout
    if not (whole or outside):
        return field
    h, g, inside = _ports(field)
    alone: Complexes = h * inside
    openings = layout.openings
    if openings is None or not outside or not opened.any():
        return replace(field, outflow=alone)
    down_left, down_right = _walk_down(field.mouth_kink, *chain)
    lower = middle(field, down_left[1:], down_right[:-1])
    lower = np.concatenate([layout.unsort(lower)[: len(layout.a)], down_right[-1:, 0]])
    p, v = field.left[0]
    strength = 1.0 / (v + field.mouth_kink * p)  # the two fields' Wronskian: V_R at the mouth, L = (1, 0)
    low = lower * strength
    x = mutual(openings, field.k, np.concatenate([opened, np.ones((1, opened.shape[1]), bool)]))
    among = table(openings, x, (field.k.shape[0], field.k.shape[1]))
    pull = h * low
    enough = (CLOSE if whole else NEAR) ** 2
    flow = alone
    for _ in range(ROUNDS):
        push = pressures(among, flow)
        last = flow
        flow = alone + _answer(layout, push, pull, alone) - g * push
        settled = _most(flow - last) <= enough * _most(flow)
        if settled.all():
            break
    else:
        flow = _solved(layout, among, pull, alone, g)
    if whole or not settled.all():
        last = flow
        push = pressures(among, flow)
    # stationary in the flows: their error enters squared
    heard = (push * (alone + flow - last)).sum(axis=0)
    p_total = np.asarray(field.p_total + heard * strength)
    shift = angle(p_total, field.v_mouth) - angle(field.p_total, field.v_mouth)
    phase = field.phase + nearest(shift, np.zeros(shift.shape))
    result = replace(field, phase=phase, p_total=p_total, outflow=flow, mutual=x)
    if not whole:
        return result
    return _superposed(result, h * push, inside, low, down_left, down_right, strength)


def _most(values: Complexes) -> Floats:
    """Largest square over the first axis."""
    return np.asarray((values.real**2 + values.imag**2).max(axis=0))


def _answer(layout: Layout, push: Complexes, pull: Complexes, alone: Complexes) -> Complexes:
    """Flow (Q, N, M) that pressures ``push`` outside all openings draw out of each through the bore.

    Between two openings the bore passes on the field L at the one nearer the mouth (``pull``) times the field
    R at the other (``alone``).
    """
    push, pull, alone = layout.along(push), layout.along(pull), layout.along(alone)
    lower = alone * push
    above = np.cumsum(pull * push, axis=0)
    below = np.cumsum(lower[::-1], axis=0)[::-1] - lower
    return layout.back(alone * above + pull * below)


def _solved(layout: Layout, among: Complexes, pull: Complexes, alone: Complexes, g: Complexes) -> Complexes:
    """Flows (Q, N, M) from the whole system at once, where rounds do not settle: crowded holes."""
    size = len(alone)
    answer = np.empty_like(among)
    one = np.zeros_like(alone)
    for n in range(size):
        one[:] = 0.0
        one[n] = 1.0
        answer[:, n] = g * one - _answer(layout, one, pull, alone)
    answer, reach = (np.moveaxis(part, (0, 1), (-2, -1)) for part in (answer, among))
    flow = np.linalg.solve(np.eye(size) + answer @ reach, np.moveaxis(alone, 0, -1)[..., None])
    return np.asarray(np.moveaxis(flow[..., 0], -1, 0))


def _superposed(
    field: Field,
    source: Complexes,
    inside: Complexes,
    low: Complexes,
    down_left: Complexes,
    down_right: Complexes,
    strength: Complexes,
) -> Field:
    """The states with all sources (Q, N, M) in: R grows by those nearer the mouth, L by the others."""
    layout = field.layout
    holes = len(layout.a)
    count = len(field.left)
    above, below = np.zeros((2, count, *field.k.shape), complex)
    nodes = np.zeros((2, count - 1, *field.k.shape), complex)
    nodes[0, :holes], nodes[1, :holes] = (low * source)[:holes], (inside * source)[:holes]
    above[1:] = np.cumsum(layout.sort(nodes[0]), axis=0)
    below[:] = inside[-1] * source[-1]
    below[:-1] += np.cumsum(layout.sort(nodes[1])[::-1], axis=0)[::-1]
    above += 1.0
    below *= strength
    left = field.left * above[:, None] + down_left * below[:, None]
    right = field.right * above[:, None] + down_right * below[:, None]
    return replace(field, left=left, right=right)


def _ports(field: Field) -> tuple[Complexes, Complexes, Complexes]:
    """h, g (see ``ToneHoles.ports``) and the bore's pressure of every opening, (H + 1, N, M)."""
    layout = field.layout
    holes = len(layout.a)
    shape = (holes + 1, *field.k.shape)
    h, g, inside = np.empty(shape, complex), np.empty(shape, complex), np.empty(shape, complex)
    h[:-1], g[:-1] = field.holes.ports()
    h[-1] = g[-1] = field.foot.flow / field.foot.z
    inside[:-1] = layout.unsort(middle(field, field.left[1:], field.right[:-1]))[:holes]
    inside[-1] = field.foot.z
    return h, g, inside


def _walk_down(mouth_kink: Complexes, duct: Complexes, node: Complexes) -> tuple[Complexes, Complexes]:
    """The field of a closed mouth with unit pressure, carried from the mouth to the foot (all det = 1)."""
    count = len(duct)
    left = np.empty((count, 2, *duct.shape[3:]), complex)
    right = np.empty_like(left)
    both = np.empty(duct.shape[1:], complex)
    # the inverse of a matrix of determinant 1, on (P, -V), is itself mirrored in its other diagonal
    duct, node = (part[:, ::-1, ::-1].swapaxes(1, 2) for part in (duct, node))
    left[0, 0], left[0, 1] = 1.0, mouth_kink
    for i in range(count):
        np.multiply(duct[i], left[i], out=both)
        np.add(both[:, 0], both[:, 1], out=right[i])
        if i + 1 < count:
            np.multiply(node[i], right[i], out=both)
            np.add(both[:, 0], both[:, 1], out=left[i + 1])
    np.negative(left[:, 1], out=left[:, 1])
    np.negative(right[:, 1], out=right[:, 1])
    return left, right
