"""The air column: a state carried from the foot to the mouth, and its phase.

Apart from its derivatives, which need nothing but the field kept here (see ``gradient``).

Convention: e^{+j omega t}; p pressure, U volume flow towards the foot or out of a hole; Z = p/U.

Scaled state. Along the bore P = a p and V = (rho c/pi) (U - a' P/zeta)/a are carried, a the local
radius, a' its slope, zeta = j omega rho m_v/pi. In them every slice, straight or tapered, is a
uniform line of characteristic impedance close to 1: a cone is exact (P'' = Gamma^2 P), a change of
slope is a shunt, a step of radius is a transformer. A tone hole is a shunt y and a series z (see
``branch``), the mouth a series inertance j k Delta (M = rho Delta/S).

Phase. With V + P and V - P the outgoing and returning waves, psi = (arg(V+P) - arg(V-P))/2 is the real
part of the phase of P/V = j tan(psi). It grows with frequency (Foster's theorem, up to losses), is
followed element by element from the foot, where it lies in [0, pi/2], and the n-th rising zero of the
total reactance is psi = n pi exactly: so the register is counted, not searched for. (A zero with more
resistance than rho c/S is at an odd multiple of pi/2 and no playing frequency: nothing speaks there.)

Outside air. What the other openings do outside each one is a pressure e there. With the mouth's flow
held, the bore answers e at one opening at all the others, by the field L from the mouth down and the
field R from the foot up; flows F = tau - G e and pressures e = X F (see ``outside``) settle in a few
rounds, since openings couple weakly. The phase moves from that of the bore alone by less than half a
turn, so the count of the register stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scaledesign.physics import radiation
from scaledesign.physics.arrays import Complexes, Floats, Indices, Mask
from scaledesign.physics.branch import ToneHoles, tone_holes
from scaledesign.physics.duct import Line, ideal_line, line
from scaledesign.physics.flute import Layout
from scaledesign.physics.outside import CLOSE, NEAR, ROUNDS, Mutual, mutual, pressures, table


@dataclass(frozen=True)
class Field:
    """The sound field of N flutes under M fingerings, each at its own frequency; see ``evaluate``.

    ``phase`` (N, M) is psi at the mouth plane, mouth end included. States are kept for derivatives:
    ``left`` and ``right`` (E + 1, 2, N, M) are (P, V) at either end of every duct, mouth to foot, and
    ``outflow`` and ``push`` (H + 1, N, M) the flow out of every opening and the pressure that the others
    make outside it, holes in their own order, the foot last.
    """

    layout: Layout
    frequency: Floats
    phase: Floats
    p_total: Complexes
    """(N, M) P behind the mouth's series element, scaled."""
    v_mouth: Complexes
    left: Complexes
    right: Complexes
    k: Floats
    ducts: Line
    theta: Complexes
    slices: Line
    slice_index: Indices | None
    holes: ToneHoles
    node_y: Complexes
    node_z: Complexes
    node_q: Complexes | None
    """Shunt that turns V into U at each node's T circuit; None on a straight bore."""
    foot: radiation.EndImpedance
    foot_kink: Complexes
    mouth_kink: Complexes
    mouth: Mouth
    outflow: Complexes
    push: Complexes
    mutual: Mutual | None
    """What openings do to each other outside; None where nothing is open but the foot."""

    @property
    def impedance(self) -> Complexes:
        """(N, M) total impedance over rho c / S at the mouth."""
        return self.p_total / self.v_mouth


@dataclass(frozen=True)
class Mouth:
    """Series impedance of the mouth end and what its derivatives need.

    Flue and chamber are left out of the ``susceptance``, which only says on which branch the phase is:
    beside the window they are too heavy and too lossy to change that.
    """

    z: Complexes
    inertance: Complexes
    """z of the window alone."""
    by_inertance: Complexes
    by_cavity: Complexes
    cavity_theta: Complexes
    cavity_tanh: Complexes
    airway: Complexes | None
    """(N, M) impedance of flue and chamber, or None."""
    drift: Floats
    """(N, M) share of the drift in the inertance's length, m."""
    susceptance: Floats | None
    """(N, M) of the window and cavity without losses, positive below their resonance; None: no mouth."""


def _wave_numbers(layout: Layout, frequency: Floats) -> tuple[Floats, Floats]:
    air = layout.flutes.air
    omega = 2 * np.pi * frequency
    return omega / air.c[:, None], np.sqrt(omega * (air.rho / air.mu)[:, None])


def evaluate(
    layout: Layout, share: Floats, frequency: Floats, *, losses: bool = True, partials: bool = True
) -> Field:
    """Walk along the bore of every flute under every fingering, each at its own frequency.

    Parameters
    ----------
    layout : Layout
        N flutes with H holes.
    share : (H, M) array
        Open share of every hole under every fingering; 0 closed, 1 open.
    frequency : (N, M) array, Hz
    losses : bool
        False: the ideal fluid, no viscosity and no heat conduction.
    partials : bool
        Whether ``derivatives`` will be asked for.

    Returns
    -------
    Field
    """
    flutes, body = layout.flutes, layout.flutes.body
    scale = flutes.bore_scale
    k, layer = _wave_numbers(layout, frequency)
    slices = body.slices
    holes = flutes.at.shape[1]
    b = flutes.radius.T[:, :, None]
    chimney = layout.chimney[:, :, None]
    bores = (slices.mean[:, None] * scale)[:, :, None]
    if losses:
        radii = np.concatenate([bores, chimney]) if holes else bores
        gas = flutes.air
        lines = line(k, radii * layer, gas.gamma[:, None], gas.pr[:, None])
    else:
        lines = ideal_line(k, (len(bores) + holes, *k.shape))
    slice_lines = lines.part(slice(0, len(bores)))
    hole = tone_holes(
        k, b, layout.a[:, :, None], layout.t[:, :, None], layout.outer[:, :, None],
        share[:, None, :], body.pad, layout.shape, lines.part(slice(len(bores), None)),
        outside=body.outside, partials=partials,
    )  # fmt: skip

    if layout.duct_slice is None:
        index = None
        ducts = slice_lines
    else:
        index = np.broadcast_to(layout.duct_slice[:, :, None], (*layout.duct_slice.shape, k.shape[1]))
        ducts = Line(
            *(np.take_along_axis(getattr(slice_lines, name), index, axis=0) for name in Line.__slots__)
        )
    theta = ducts.gamma * layout.duct_length[:, :, None]

    # nodes: holes, then boundaries between slices (kink = shunt of a change of slope)
    kink = 1.0 / (1j * k * slice_lines.m_v)
    steps: Floats | None = None
    node_q: Complexes | None = None
    if index is None:
        node_y, node_z = hole.y, hole.z
        foot_kink = mouth_kink = np.zeros(k.shape, complex)
    else:
        boundary_y, steps = boundaries(layout, kink)
        node_y = layout.sort(np.concatenate([hole.y, boundary_y]))
        node_z = layout.sort(np.concatenate([hole.z, np.zeros_like(boundary_y)]))
        node_q = layout.sort(np.concatenate([hole_kinks(layout, kink), np.zeros_like(boundary_y)]))
        one = np.ones((holes, flutes.count))
        steps = np.concatenate([one, steps])
        if layout.order is not None:
            steps = np.take_along_axis(steps, layout.order, axis=0)
        last = index[-1:]
        foot_kink = -(layout.foot_slope / layout.foot_a)[:, None] * np.take_along_axis(kink, last, axis=0)[0]
        mouth_kink = slices.slope[0] / slices.radius[0] * kink[0]
    if index is None and layout.order is not None:
        node_y, node_z = layout.sort(node_y), layout.sort(node_z)

    foot = _foot(layout, k)
    mouth = _mouth(layout, k, frequency, slice_lines.part(slice(0, 1)))

    chain = _matrices(theta, ducts.z, node_y, node_z, node_q, steps)
    left, right = _walk(foot, foot_kink, *chain)
    p_mouth = left[0, 0]
    v_mouth = left[0, 1] + mouth_kink * p_mouth
    p_total = p_mouth + mouth.z * v_mouth
    phase = _phase(foot, foot_kink, theta, left, right, node_y, mouth_kink, mouth, p_total, v_mouth)
    walked = Field(
        layout, frequency, phase, p_total, v_mouth, left, right, k, ducts, theta, slice_lines, index,
        hole, node_y, node_z, node_q, foot, foot_kink, mouth_kink, mouth,
        outflow=np.zeros((0, *k.shape), complex), push=np.zeros((0, *k.shape), complex), mutual=None,
    )  # fmt: skip
    return _coupled(walked, chain, share > 0, whole=partials)


def _coupled(field: Field, chain: tuple[Complexes, Complexes], opened: Mask, whole: bool) -> Field:
    """The field with what its openings do to each other outside; states too if ``whole``.

    ``opened`` (H, M): which holes are open.
    """
    layout = field.layout
    h, g, middle = _ports(field)
    flow: Complexes = h * middle
    openings = layout.openings
    if openings is None or not opened.any():
        return replace(field, outflow=flow, push=np.zeros_like(flow))
    down_left, down_right = _walk_down(field.mouth_kink, *chain)
    lower = _middle(field, down_left[1:], down_right[:-1])
    lower = np.concatenate([layout.unsort(lower)[: len(layout.a)], down_right[-1:, 0]])
    p, v = field.left[0]
    strength = 1.0 / (v + field.mouth_kink * p)  # the two fields' Wronskian: V_R at the mouth, L = (1, 0)
    x = mutual(openings, field.k, np.concatenate([opened, np.ones((1, opened.shape[1]), bool)]))
    among = table(openings, x, (field.k.shape[0], field.k.shape[1]))
    low = lower * strength
    enough = CLOSE if whole else NEAR
    for _ in range(ROUNDS):
        push = pressures(among, flow)
        last = flow
        flow = np.asarray(h * (middle + _answer(layout, h * push, middle, low)) - g * push)
        settled = np.abs(flow - last).max(axis=0) <= enough * np.abs(flow).max(axis=0)
        if settled.all():
            break
    else:
        flow = _solved(layout, among, h, g, middle, low)
    if whole or not settled.all():
        last = flow
        push = pressures(among, flow)
    # stationary in the flows: their error enters squared
    heard = (push * (h * middle + flow - last)).sum(axis=0)
    p_total = np.asarray(field.p_total + heard * strength)
    shift = _angle(p_total, field.v_mouth) - _angle(field.p_total, field.v_mouth)
    phase = field.phase + _nearest(shift, np.zeros(shift.shape))
    result = replace(field, phase=phase, p_total=p_total, outflow=flow, push=push, mutual=x)
    if not whole:
        return result
    return _superposed(result, h * push, middle, low, down_left, down_right, strength)


def _answer(layout: Layout, source: Complexes, middle: Complexes, low: Complexes) -> Complexes:
    """Pressure in the bore at every opening (Q, N, M) when flows ``source`` enter there, the mouth's held.

    Between two openings the bore answers with the field L at the one nearer the mouth times R at the other.
    """
    source, near, far = layout.along(source), layout.along(low), layout.along(middle)
    above = np.cumsum(near * source, axis=0)
    below = np.cumsum((far * source)[::-1], axis=0)[::-1] - far * source
    return layout.back(far * above + near * below)


def _solved(
    layout: Layout, among: Complexes, h: Complexes, g: Complexes, middle: Complexes, low: Complexes
) -> Complexes:
    """Flows (Q, N, M) from the whole system at once, where rounds do not settle: crowded holes."""
    size = len(h)
    answer = np.empty_like(among)
    one = np.zeros_like(h)
    for n in range(size):
        one[:] = 0.0
        one[n] = 1.0
        answer[:, n] = g * one - h * _answer(layout, h * one, middle, low)
    answer, reach = (np.moveaxis(part, (0, 1), (-2, -1)) for part in (answer, among))
    flow = np.linalg.solve(np.eye(size) + answer @ reach, np.moveaxis(h * middle, 0, -1)[..., None])
    return np.asarray(np.moveaxis(flow[..., 0], -1, 0))


def _superposed(
    field: Field,
    source: Complexes,
    middle: Complexes,
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
    nodes[0, :holes], nodes[1, :holes] = (low * source)[:holes], (middle * source)[:holes]
    above[1:] = np.cumsum(layout.sort(nodes[0]), axis=0)
    below[:] = middle[-1] * source[-1]
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
    h, g, middle = np.empty(shape, complex), np.empty(shape, complex), np.empty(shape, complex)
    h[:-1], g[:-1] = field.holes.ports()
    h[-1] = g[-1] = field.foot.flow / field.foot.z
    middle[:-1] = layout.unsort(_middle(field, field.left[1:], field.right[:-1]))[:holes]
    middle[-1] = field.foot.z
    return h, g, middle


def _middle(field: Field, inner: Complexes, outer: Complexes) -> Complexes:
    """Pressure in the middle of every node's T circuit, (E, N, M), from the states on either side."""
    flow = outer[:, 1] if field.node_q is None else outer[:, 1] + field.node_q * outer[:, 0]
    return np.asarray(outer[:, 0] - 0.5 * field.node_z * flow)


def boundaries(layout: Layout, kink: Complexes) -> tuple[Complexes, Floats]:
    """Shunt of every boundary between slices, and the step a_left/a_right, (S - 1, N[, M])."""
    slices = layout.flutes.body.slices
    live = layout.boundary_live
    step = np.where(live > 0, (slices.end_radius[:-1] / slices.radius[1:])[:, None], 1.0)
    weight = (live / slices.end_radius[:-1][:, None])[:, :, None]
    right = slices.slope[1:, None, None] * kink[1:] / step[:, :, None]
    left = slices.slope[:-1, None, None] * kink[:-1]
    return weight * (right - left), step


def hole_kinks(layout: Layout, kink: Complexes) -> Complexes:
    """(H, N, M) what must be added to V over P for U at each hole: the bore's slope there."""
    index = np.maximum(np.searchsorted(layout.flutes.body.slices.start, layout.inner_at, side="right") - 1, 0)
    full = np.broadcast_to(index[:, :, None], (*index.shape, kink.shape[2]))
    return np.asarray((layout.a_slope / layout.a)[:, :, None] * np.take_along_axis(kink, full, axis=0))


def _foot(layout: Layout, k: Floats) -> radiation.EndImpedance:
    body = layout.flutes.body
    radius, outer = layout.foot_a[:, None], layout.foot_outer[:, None]
    match body.foot:
        case "open":
            return radiation.open_end(k, radius, outer)
        case "flanged":
            return radiation.flanged_end(k, radius)
        case "stopped":
            return radiation.stopped_end(k)
        case "node":
            return radiation.node_end(k, radius, outer, np.minimum(body.foot_radius, radius))


def _mouth(layout: Layout, k: Floats, frequency: Floats, bore: Line) -> Mouth:
    flutes, body = layout.flutes, layout.flutes.body
    zero = np.zeros(k.shape, complex)
    if body.ideal_mouth:
        return Mouth(zero, zero, zero, zero, zero, zero, None, np.zeros(k.shape), None)
    drift = flutes.drift[:, None] * (frequency / 1000.0) ** 2
    inertance = 1j * k * (flutes.added_length[:, None] + drift)
    susceptance = 1.0 / np.maximum(inertance.imag, 1e-12)
    theta = tanh = admittance = zero
    airway = None
    if body.cavity:
        theta = bore.gamma[0] * body.cavity
        tanh = np.tanh(theta)
        admittance = tanh / bore.z[0]
        susceptance = susceptance - np.tan(k * body.cavity)
    if body.airway is not None:
        area = np.pi * (body.slices.radius[0] * flutes.bore_scale[:, None]) ** 2
        way = body.airway
        airway = np.asarray(area * (way.resistance + 1j * k * way.inertance) - 1j / (k * way.chamber))
        admittance = admittance + 1.0 / airway
    share = 1.0 / (1.0 + inertance * admittance)
    z = inertance * share
    return Mouth(z, inertance, share**2, -(z**2), theta, tanh, airway, drift, susceptance)


def _matrices(
    theta: Complexes,
    z: Complexes,
    node_y: Complexes,
    node_z: Complexes,
    node_q: Complexes | None,
    steps: Floats | None,
) -> tuple[Complexes, Complexes]:
    """Every duct and every node as a matrix (E + 1 or E, 2, 2, N, M) from its foot side to its mouth side."""
    count = theta.shape[0]
    grown = np.exp(theta)
    shrunk = 1.0 / grown
    duct = np.empty((count, 2, 2, *theta.shape[1:]), complex)
    duct[:, 0, 0] = duct[:, 1, 1] = 0.5 * (grown + shrunk)
    sinh = 0.5 * (grown - shrunk)
    duct[:, 0, 1] = z * sinh
    duct[:, 1, 0] = sinh / z
    node = np.empty((count - 1, 2, 2, *theta.shape[1:]), complex)
    half = 0.5 * node_z * node_y
    node[:, 0, 0] = node[:, 1, 1] = 1.0 + half
    node[:, 0, 1] = node_z * (1.0 + 0.5 * half)
    node[:, 1, 0] = node_y
    if node_q is not None:
        node[:, :, 0] += node_q[:, None] * node[:, :, 1]
        node[:, 1] -= node_q[:, None] * node[:, 0]
    if steps is not None:
        node[:, :, 0] *= steps[:, None, :, None]
        node[:, :, 1] /= steps[:, None, :, None]
    return duct, node


def _walk(
    foot: radiation.EndImpedance, foot_kink: Complexes, duct: Complexes, node: Complexes
) -> tuple[Complexes, Complexes]:
    """Carry the state from the foot to the mouth; states at both ends of every duct."""
    count = len(duct)
    left = np.empty((count, 2, *duct.shape[3:]), complex)
    right = np.empty_like(left)
    both = np.empty(duct.shape[1:], complex)
    right[-1, 0] = foot.z
    right[-1, 1] = foot.flow + foot_kink * foot.z
    for i in range(count - 1, -1, -1):
        np.multiply(duct[i], right[i], out=both)
        np.add(both[:, 0], both[:, 1], out=left[i])
        if i:
            np.multiply(node[i - 1], left[i], out=both)
            np.add(both[:, 0], both[:, 1], out=right[i - 1])
    return left, right


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


def _angle(p: Complexes, v: Complexes) -> Floats:
    """psi modulo pi of states (P, V), in [0, pi)."""
    up, down = v + p, v - p
    return np.mod(0.5 * (np.angle(up) - np.angle(down)), np.pi)


def _nearest(delta: Floats, guess: Floats) -> Floats:
    """The number that equals ``delta`` modulo pi and lies nearest to ``guess``."""
    return delta + np.pi * np.round((guess - delta) / np.pi)


def _shunt_shift(x: Floats, y: Complexes) -> Floats:
    """How far a shunt moves the phase x in [0, pi): it never leaves its branch."""
    sin = np.sin(x)
    return np.arctan2(sin, np.cos(x) - y.imag * sin) - x


def _phase(
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
    at_right, at_left = _angle(right[:, 0], right[:, 1]), _angle(left[:, 0], left[:, 1])
    total = _nearest(at_left - at_right, theta.imag).sum(axis=0)
    if len(node_y):
        before = at_left[1:]
        total += _nearest(at_right[:-1] - before, _shunt_shift(before, node_y)).sum(axis=0)
    start = _angle(foot.z, np.full(foot.z.shape, foot.flow, complex))
    total += start + _nearest(at_right[-1] - start, _shunt_shift(start, foot_kink))
    before = at_left[0]
    after = _angle(p_total, v_mouth)
    kinked = _angle(left[0, 0], v_mouth)
    total += _nearest(kinked - before, _shunt_shift(before, mouth_kink))
    if mouth.susceptance is None:
        return np.asarray(total + _nearest(after - kinked, np.zeros(kinked.shape)))
    # series element: branch-keeping about odd multiples of pi/2, one branch on once its pole is passed
    centred = kinked - np.pi * np.round(kinked / np.pi)
    sin, cos = np.sin(centred), np.cos(centred)
    susceptance = mouth.susceptance
    passed = susceptance < 0
    sign = np.where(passed, -1.0, 1.0)
    shift = np.arctan2(sign * (susceptance * sin + cos), sign * susceptance * cos) - centred + np.pi * passed
    total += _nearest(after - kinked, shift)
    return np.asarray(total)


def outflows(field: Field) -> Complexes:
    """Flow out of every hole and of the foot over the flow into the bore at the mouth.

    Returns
    -------
    (H + 1, N, M) complex array: holes in their own order, the foot last; 0 where closed.
    """
    layout = field.layout
    start = layout.flutes.body.slices.radius[0] * layout.flutes.bore_scale
    radius = np.concatenate([layout.a, layout.foot_a[None]])
    return np.asarray(field.outflow * (radius / start)[:, :, None] / field.v_mouth)
