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

Outside air. What the other openings do outside each one comes in afterwards (``coupling``). The phase moves
from that of the bore alone by less than half a turn, so the count of the register stands.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics import radiation
from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.physics.branch import tone_holes
from scaledesign.physics.coupling import coupled
from scaledesign.physics.duct import Line, bounded, ideal_line, line
from scaledesign.physics.field import Field, Mouth
from scaledesign.physics.flute import Layout
from scaledesign.physics.phase import followed


def _wave_numbers(layout: Layout, frequency: Floats) -> tuple[Floats, Floats]:
    air = layout.flutes.air
    omega = 2 * np.pi * frequency
    return omega / air.c[:, None], np.sqrt(omega * (air.rho / air.mu)[:, None])


def evaluate(
    layout: Layout,
    share: Floats,
    frequency: Floats,
    *,
    losses: bool = True,
    partials: bool = True,
    outside: bool = True,
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
    outside : bool
        False: what openings do to each other outside is left out, for a first look.

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
    theta = bounded(ducts.gamma * layout.duct_length[:, :, None], together=True)

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
    phase = followed(foot, foot_kink, theta, left, right, node_y, mouth_kink, mouth, p_total, v_mouth)
    walked = Field(
        layout, frequency, phase, p_total, v_mouth, left, right, k, ducts, theta, slice_lines, index,
        hole, node_y, node_z, node_q, foot, foot_kink, mouth_kink, mouth,
        outflow=np.zeros((0, *k.shape), complex), mutual=None,
    )  # fmt: skip
    return coupled(walked, chain, share > 0, whole=partials, outside=outside)


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
