"""Exact derivatives of the phase at the mouth in every dimension, from one walk along the bore.

For a chain of reciprocal elements the change of the input impedance is a sum over
elements of the field squared (the adjoint field is the field itself):

    V_in^2 dZ = sum_ducts [(z V^2 - P^2/z) dtheta + ((PV)_left - (PV)_right) dln z]
              + sum_series V^2 dz - sum_shunts P^2 dy + V_foot^2 dZ_foot
              + sum_openings F_n F_m dX_nm

where a tone hole is such a chain too (inner length, chimney, outer end) and X_nm is what openings do to
each other outside. The fields are those with all of it in, so that the flows' own change drops out. One
walk along the bore yields the derivative in every dimension. Finding frequencies is elsewhere.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.physics.branch import HoleSlopes
from scaledesign.physics.field import Field
from scaledesign.physics.network import boundaries, hole_kinks
from scaledesign.physics.outside import PairSlopes, pair_slopes
from scaledesign.values import dataclass

Change: TypeAlias = "float | Floats"
"""How much something changes along a direction: the same for all, or (N, 1)."""


@dataclass(frozen=True)
class Derivatives:
    """d psi / d parameter, (N, M) or (H, N, M) arrays.

    Divided by minus ``log_frequency`` it is d ln f / d parameter at constant register (implicit function
    theorem).
    """

    log_frequency: Floats
    at: Floats
    """(H, N, M), 1/m: position of each hole."""
    log_radius: Floats
    """(H, N, M): ln of each hole's radius."""
    chimney: Floats
    """(H, N, M), 1/m: wall at each hole alone."""
    length: Floats
    """1/m: foot."""
    log_bore: Floats
    """ln of a factor on the whole bore."""
    wall: Floats
    """1/m: wall of the tube everywhere."""
    added_length: Floats
    """1/m."""
    drift: Floats
    """kHz^2/m."""
    temperature: Floats
    """1/K: air in the bore."""


class _Weights:
    """The squared fields that multiply each element's change in the sum of the module docstring."""

    def __init__(self, field: Field) -> None:
        p, v = field.right[:, 0], field.right[:, 1]
        z = field.ducts.z
        self.theta = z * v * v - p * p / z
        self.log_z = field.left[:, 0] * field.left[:, 1] - p * v
        # at a node: right of it is the left end of the next duct
        inner, outer = field.left[1:], field.right[:-1]
        q = field.node_q
        flow = outer[:, 1] if q is None else outer[:, 1] + q * outer[:, 0]
        flow_in = inner[:, 1] if q is None else inner[:, 1] + q * inner[:, 0]
        middle = outer[:, 0] - 0.5 * field.node_z * flow
        self.shunt = -(middle**2)
        self.series = 0.5 * (flow**2 + flow_in**2)
        self.slope = outer[:, 0] ** 2 - inner[:, 0] ** 2
        self.foot = field.outflow[-1] ** 2
        self.foot_kink = -(field.right[-1, 0] ** 2)
        self.mouth_kink = -(field.left[0, 0] ** 2)
        self.mouth = field.v_mouth**2
        self.gain = 1.0 / (field.v_mouth**2 - field.p_total**2)
        # along each hole's chimney, from the bore to its outer end
        holes, out = field.holes, field.outflow[:-1]
        bore = field.layout.unsort(middle)[: len(out)]
        leaving = field.layout.unsort(flow - flow_in)[: len(out)]
        begin = bore - holes.inner * leaving
        end = begin / holes.cosh - holes.line * holes.tanh * out
        self.hole_inner = leaving**2 * holes.inner
        self.hole_theta = holes.line * out * out - end * end / holes.line
        self.hole_line = begin * leaving - end * out
        self.hole_end = out**2


def log_frequency_slope(field: Field) -> Floats:
    """d psi / d ln f, (N, M): what a Newton step divides by."""
    return _along_air(field, _Weights(field), _pairs(field), 1.0, 0.5, 0.5, 0.0, 2.0)


def derivatives(field: Field) -> Derivatives:
    """Exact derivatives of the phase in every dimension of every flute, from the field alone."""
    layout, air = field.layout, field.layout.flutes.air
    w = _Weights(field)
    holes = len(layout.a)
    by = _hole_changes(field, w)
    pairs = _pairs(field)

    def real(value: Complexes) -> Floats:
        return np.asarray((value * w.gain).imag)

    outer = layout.outer[:, :, None]
    a = layout.a[:, :, None]
    by_a, by_outer = by.a + pairs.radius[:-1], by.outer + pairs.outer[:-1] * outer
    # positions: the duct on the mouth side grows, the one on the foot side shrinks
    stretch = w.theta * field.ducts.gamma
    inward = layout.unsort((stretch[:-1] - stretch[1:]) * layout.warp[:-1, :, None])[:holes]
    if not layout.flutes.body.slices.straight:
        turn = (layout.a_slope / layout.a)[:, :, None]
        inward = inward + by_a * turn - layout.unsort(w.slope)[:holes] * hole_q(field) * turn
        inward = inward + by_outer * (layout.a_slope / layout.outer)[:, :, None]
    tilt = layout.tilt[:, :, None]
    by_t = by.t + inward * tilt
    moved = (
        inward
        + by_outer * (layout.wall_slope / layout.outer)[:, :, None]
        + by_t * layout.t_slope[:, :, None]
        + pairs.place[:-1]
    )
    foot, foot_a, foot_outer = field.foot, layout.foot_a[:, None], layout.foot_outer[:, None]
    slope = layout.foot_slope[:, None]
    by_foot_a = w.foot * foot.by_radius + pairs.radius[-1]
    by_foot_outer = w.foot * foot.by_outer + pairs.outer[-1] * foot_outer
    length = (
        stretch[-1] * layout.warp[-1, :, None]
        + by_foot_a * slope / foot_a
        + by_foot_outer * (slope + layout.foot_wall_slope[:, None]) / foot_outer
        - w.foot_kink * field.foot_kink * slope / foot_a
        + pairs.place[-1]
    )
    half_v, half_t = 0.5 * field.ducts.e_v, 0.5 * field.ducts.e_t
    bore = (
        (w.theta * field.theta * (half_v + half_t) + w.log_z * (half_v - half_t)).sum(axis=0)
        + (by_a + by_outer * a / outer).sum(axis=0)
        + by_foot_a
        + by_foot_outer * foot_a / foot_outer
        + _kinks(field, w, -1.0)
        + _cavity(field, w, 0.0, 1.0, 1.0, 0.0)
        + _airway(field, w, 0.0, 2.0)
    )
    chimney = by_t * layout.t_follows[:, :, None]
    wall = (chimney + by_outer / outer).sum(axis=0) + by_foot_outer / foot_outer
    added = (
        np.zeros(field.k.shape)
        if layout.flutes.body.ideal_mouth
        else real(w.mouth * field.mouth.by_inertance * 1j * field.k)
    )
    column = (slice(None), None)
    layer = 0.5 * (air.rho_rate - air.mu_rate)[column]
    return Derivatives(
        log_frequency=_along_air(field, w, pairs, 1.0, 0.5, 0.5, 0.0, 2.0),
        at=real(moved),
        log_radius=real(by.b),
        chimney=real(by_t),
        length=real(length),
        log_bore=real(bore),
        wall=real(wall),
        added_length=added,
        drift=added * (field.frequency / 1000.0) ** 2,
        temperature=_along_air(
            field, w, pairs, -air.c_rate[column], layer, layer + 0.5 * air.pr_rate[column],
            air.gamma_rate[column], 0.0,
        ),
    )  # fmt: skip


@dataclass(frozen=True)
class _HoleChanges:
    """Weighted change of every hole's elements, (H, N, M), by ln b, ln a, t (1/m), ln R."""

    b: Complexes
    a: Complexes
    t: Complexes
    outer: Complexes


def _slopes(field: Field) -> HoleSlopes:
    if field.holes.slopes is None:
        raise ValueError("evaluate with partials=True to ask for derivatives")
    return field.holes.slopes


def _hole_changes(field: Field, w: _Weights) -> _HoleChanges:
    """Sum over the elements of each hole, losses of the chimney included."""
    s, hole = _slopes(field), field.holes
    holes = len(field.layout.a)
    series = field.layout.unsort(w.series)[:holes] * hole.z
    per_length = w.hole_theta * hole.chimney.gamma
    half_v, half_t = 0.5 * hole.chimney.e_v, 0.5 * hole.chimney.e_t
    along = w.hole_theta * hole.theta
    lossy = along * (half_v + half_t) + w.hole_line * (half_v - half_t)
    closed = hole.y_end == 0
    end = w.hole_end * np.where(closed, 0.0, 1.0 / np.where(closed, 1.0, hole.y_end))
    return _HoleChanges(
        b=w.hole_inner * s.inner_b
        + per_length * s.length_b
        + (lossy - 2 * w.hole_line) * s.line_b
        + w.hole_end * s.end_b
        + series * s.z_b,
        a=w.hole_inner * s.inner_a + per_length * s.length_a + 2 * w.hole_line + 2 * end - 2 * series,
        t=per_length * s.length_t + series * s.z_t,
        outer=per_length * s.length_outer + w.hole_end * s.end_outer,
    )


def _pairs(field: Field) -> PairSlopes:
    """What openings do to each other, weighted; nothing where they are taken each alone."""
    openings = field.layout.openings
    if openings is None or field.mutual is None:
        none = np.zeros(field.outflow.shape, complex)
        return PairSlopes(np.zeros(field.k.shape, complex), none, none, none)
    return pair_slopes(openings, field.mutual, field.outflow)


def hole_q(field: Field) -> Complexes:
    """(H, N, M) ``node_q`` of the holes in their own order."""
    if field.node_q is None:
        return np.zeros((len(field.layout.a), *field.k.shape), complex)
    return field.layout.unsort(field.node_q)[: len(field.layout.a)]


def _kinks(field: Field, w: _Weights, by_m: Change) -> Complexes:
    """Change of all kinks when 1/m_v changes by ``by_m`` e_v (d ln r_v = 1)."""
    if field.slice_index is None:
        return np.zeros(field.k.shape, complex)
    layout = field.layout
    holes = len(layout.a)
    kink = by_m * field.slices.e_v / (1j * field.k * field.slices.m_v)
    boundary, _ = boundaries(layout, kink)
    shunt = layout.unsort(w.shunt)[holes:]
    last = np.take_along_axis(kink, field.slice_index[-1:], axis=0)[0]
    slices = layout.flutes.body.slices
    turned = (layout.unsort(w.slope)[:holes] * hole_kinks(layout, kink)).sum(axis=0)
    return np.asarray(
        (shunt * boundary).sum(axis=0)
        + turned
        + w.foot_kink * -(layout.foot_slope / layout.foot_a)[:, None] * last
        + w.mouth_kink * slices.slope[0] / slices.radius[0] * kink[0]
    )


def _cavity(
    field: Field,
    w: _Weights,
    by_k: Change,
    r_v: Change,
    r_t: Change,
    g: Change,
) -> Complexes:
    """Change of the mouth's cavity branch."""
    mouth = field.mouth
    if not field.layout.flutes.body.cavity or field.layout.flutes.body.ideal_mouth:
        return np.zeros(field.k.shape, complex)
    bore = field.slices
    half_v, half_t, half_g = 0.5 * bore.e_v[0] * r_v, 0.5 * bore.e_t[0] * r_t, 0.5 * bore.g_t[0] * g
    log_gamma = by_k + half_v + half_t + half_g
    log_z = half_v - half_t - half_g
    change = (
        (1 - mouth.cavity_tanh**2) * mouth.cavity_theta * log_gamma - mouth.cavity_tanh * log_z
    ) / bore.z[0]
    return np.asarray(w.mouth * mouth.by_cavity * change)


def _airway(field: Field, w: _Weights, by_k: Change, by_area: Change) -> Complexes:
    """Change of the branch through flue and chamber, by ln k and by ln of the bore's area."""
    z, body, k = field.mouth.airway, field.layout.flutes.body, field.k
    if z is None or body.airway is None:
        return np.zeros(k.shape, complex)
    area = np.pi * (body.slices.radius[0] * field.layout.flutes.bore_scale[:, None]) ** 2
    way = body.airway
    change = 1j * (area * k * way.inertance + 1.0 / (k * way.chamber)) * by_k
    change = change + area * (way.resistance + 1j * k * way.inertance) * by_area
    return np.asarray(-w.mouth * field.mouth.by_cavity * change / z**2)


def _along_air(
    field: Field,
    w: _Weights,
    pairs: PairSlopes,
    by_k: Change,
    r_v: Change,
    r_t: Change,
    g: Change,
    by_drift: float,
) -> Floats:
    """d psi along a change of k, boundary layer, gamma: frequency and temperature are such changes.

    ``by_k`` = d ln k, ``r_v`` and ``r_t`` = d ln of the viscous and thermal boundary-layer numbers,
    ``g`` = d gamma, ``by_drift`` = d ln of the mouth's drift.
    """
    ducts = field.ducts
    half_v, half_t, half_g = 0.5 * ducts.e_v * r_v, 0.5 * ducts.e_t * r_t, 0.5 * ducts.g_t * g
    total = (
        w.theta * field.theta * (by_k + half_v + half_t + half_g) + w.log_z * (half_v - half_t - half_g)
    ).sum(axis=0)
    hole, slopes = field.holes, _slopes(field)
    if len(field.layout.a):
        chimney = hole.chimney
        hole_v, hole_t, hole_g = 0.5 * chimney.e_v * r_v, 0.5 * chimney.e_t * r_t, 0.5 * chimney.g_t * g
        series = field.layout.unsort(w.series)[: len(field.layout.a)] * hole.z
        total = total + (
            w.hole_theta * hole.theta * (by_k + hole_v + hole_t + hole_g)
            + w.hole_line * (hole_v - hole_t - hole_g)
            + (w.hole_inner * slopes.inner_k + w.hole_end * slopes.end_k + series) * by_k
        ).sum(axis=0)
        total = total + pairs.k * by_k
    total = total + w.foot * field.foot.by_k * by_k
    if field.slice_index is not None:
        # a kink is proportional to 1/(k m_v)
        total = total + _kinks(field, w, -r_v)
        total = total + _kink_sum(field, w) * -by_k
    mouth = field.mouth
    grown = mouth.inertance * by_k + 1j * field.k * mouth.drift * by_drift
    total = total + _airway(field, w, by_k, 0.0)
    total = total + w.mouth * mouth.by_inertance * grown + _cavity(field, w, by_k, r_v, r_t, g)
    return np.asarray((total * w.gain).imag)


def _kink_sum(field: Field, w: _Weights) -> Complexes:
    """Sum over kinks of weight times kink (each scales as 1/k)."""
    layout = field.layout
    holes = len(layout.a)
    boundary = layout.unsort(field.node_y)[holes:]
    shunt = layout.unsort(w.shunt)[holes:]
    turned = (layout.unsort(w.slope)[:holes] * hole_q(field)).sum(axis=0)
    return np.asarray(
        (shunt * boundary).sum(axis=0)
        + turned
        + w.foot_kink * field.foot_kink
        + w.mouth_kink * field.mouth_kink
    )
