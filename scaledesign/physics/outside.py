"""Open holes and foot act on each other through the outside air.

Each opening pushes air that the others feel: E_n = sum_m Z_nm U_m over the openings m that are not n. Their
own radiation is in ``radiation`` and ``branch``; how the flows follow from the bore is in ``coupling``.

    Z_nm = (j omega rho/4 pi) [(g - 1)/d + e^{-jkd}/d + 0.6 k^2 R e^{-0.3 d/R} cos(angle)]

Two holes: d is the straight distance between them, at radius R, kept from zero (its fourth power and that of
0.3 R are added), and g(d/R, angle) the static field of a point source on a rigid cylinder over that of one in
free space: 2 close by, where the wall is a flange, 1 far off, below 1 behind the tube. The second part
radiates as a free source does; the third is what the tube does to that wave. g and the third are fitted to
the Fourier-Bessel integral for the air outside a cylinder (e.g. P. M. Morse and K. U. Ingard 1968,
Theoretical Acoustics, section 7.3, from memory; integrated in the tests): g within 1 % in line and 3.5 %
around the tube. All together, as part of the free field, within 2 % at k R = 0.2 and 8 % at 0.35 in line; at
k R = 0.2 within 6 % a quarter turn around and 12 % behind.

Hole and foot: the bracket is e^{-jkd}/d and d the distance plus 1.1 R, since the foot looks away (fitted to
an axisymmetric field solution of an open end with wall/R 0.25..0.4, from 1 R on within 2.5 %; see the tests).
A foot in a flange, or with a node, is taken as an open one here.

Interaction of tone holes through the air: A. Lefebvre, G. P. Scavone and J. Kergomard 2013, "External
tonehole interactions in woodwind instruments", Acta Acust. united Ac. 99, 975-985 (which takes the free
field, g = 1; from memory but for its abstract).
"""

from __future__ import annotations

from functools import cache

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats, Indices, Mask
from scaledesign.physics.branch import WAVE
from scaledesign.values import dataclass

LEAST = 0.3
"""Outer radii below which the distance of two holes no longer shrinks: their wood would be gone."""
BEHIND = 1.1
"""Outer radii by which a hole seems farther from the foot than it is."""
_RING = ((-3.99114, -1.48597, 6.32192, 7.7356, 0.0), (4.99133, 0.03661, 5.31245, 0.32357, 0.11278))
"""g - 1 = sum_m cos(m angle)(p + q s)/(1 + c s + d s^2 + e s^3), s the distance over R."""
FADE = 0.3
"""What the tube does to the wave from its side fades as WAVE k^2 R e^{-FADE d/R} along it, and is the
opposite behind it, as from a dipole; on a hole itself it is a length (see ``branch``)."""
CLOSE, NEAR = 3e-8, 3e-6
"""Relative error of the flows at which they count as found: where states are wanted, and where only the
impedance is, whose error is the square of theirs."""
ROUNDS = 12
"""Rounds after which the flows are solved for outright."""


@dataclass(frozen=True)
class Openings:
    """Where a batch of flutes opens, pair by pair: Q = H + 1 openings, the foot last, P = Q (Q - 1)/2 pairs.

    ``one``, ``other`` (P,) say which openings a pair has. (P, N) arrays: ``distance`` m, ``near``
    (g - 1)/distance, ``bent`` the third part over k^2 (m), and their slopes in the other one's place and in
    either's outer radius (a pair's R is the mean). The foot's place is the tube's length.
    """

    one: Indices
    other: Indices
    radius: Floats
    """(Q, N) m, bore radius at each opening."""
    distance: Floats
    near: Floats
    bent: Floats
    distance_place: Floats
    """(P, N) by the other one's place; by the first one's it is the same, negative."""
    near_place: Floats
    bent_place: Floats
    distance_outer: Floats
    """(2, P, N) by the outer radius of the first and of the other."""
    near_outer: Floats
    bent_outer: Floats


def openings_of(
    at: Floats, angle: Floats, outer: Floats, a: Floats, length: Floats, foot_outer: Floats, foot_a: Floats
) -> Openings:
    """The pairs of openings of N flutes.

    Parameters
    ----------
    at, outer, a : (H, N) arrays, m
        Place of each hole on the outside, outer and bore radius there.
    angle : (H,) array, rad
        Around the tube.
    length, foot_outer, foot_a : (N,) arrays, m
    """
    holes, count = at.shape
    one, other = _pairs(holes + 1)
    distance, near, bent, distance_place, near_place, bent_place = np.zeros((6, len(one), count))
    distance_outer, near_outer, bent_outer = np.zeros((3, 2, len(one), count))
    foot = other == holes
    hole = ~foot
    if holes > 1:
        i, j = one[hole], other[hole]
        along, turn = at[j] - at[i], (angle[j] - angle[i])[:, None]
        mean = 0.5 * (outer[i] + outer[j])
        chord = 4 * np.sin(turn / 2) ** 2
        square = along**2 + chord * mean**2
        d = (square**2 + (LEAST * mean) ** 4) ** 0.25
        g, g_slope = _ring(d / mean, turn)
        by_d = (g_slope / mean - (g - 1) / d) / d
        distance[hole], near[hole] = d, (g - 1) / d
        toward = square / d**3
        distance_place[hole] = toward * along
        near_place[hole] = by_d * toward * along
        grow = toward * chord * mean + LEAST**4 * mean**3 / d**3
        distance_outer[:, hole] = 0.5 * grow
        near_outer[:, hole] = 0.5 * (by_d * grow - g_slope / mean**2)
        bent[hole] = WAVE * np.cos(turn) * mean * np.exp(-FADE * d / mean)
        bent_place[hole] = -FADE / mean * bent[hole] * toward * along
        bent_outer[:, hole] = 0.5 * bent[hole] / mean * (1 + FADE * (d / mean - grow))
    if holes:
        distance[foot] = np.maximum(length - at, 0.0) + BEHIND * foot_outer
        distance_place[foot] = at < length
        distance_outer[1, foot] = BEHIND
    return Openings(
        one, other, np.concatenate([a, foot_a[None]]), distance, near, bent, distance_place, near_place,
        bent_place, distance_outer, near_outer, bent_outer,
    )  # fmt: skip


@cache
def _pairs(size: int) -> tuple[Indices, Indices]:
    one, other = np.triu_indices(size, 1)
    one.setflags(write=False)
    other.setflags(write=False)
    return one, other


def _ring(s: Floats, angle: Floats) -> tuple[Floats, Floats]:
    """g and its slope in s = distance/R."""
    value, slope = np.ones(np.broadcast_shapes(s.shape, angle.shape)), np.zeros(s.shape)
    for m, (p, q, c, d, e) in enumerate(_RING):
        up, down = p + q * s, 1 + s * (c + s * (d + s * e))
        turn = np.cos(m * angle)
        value = value + turn * up / down
        slope = slope + turn * (q - up * (c + s * (2 * d + 3 * s * e)) / down) / down
    return value, slope


@dataclass(frozen=True)
class Mutual:
    """Mutual impedances where both openings are open: K cases of a pair under a fingering.

    ``pair`` and ``fingering`` (K,) say which; ``k`` 1/m, ``value`` the impedance and ``wave`` its radiating
    part are (K, N), scaled as in ``network``: X_nm = j k (a_n a_m/4) [(g - 1)/d + e^{-jkd}/d + ...], from the
    scaled flow out of one to the scaled pressure outside the other.
    """

    pair: Indices
    fingering: Indices
    k: Floats
    value: Complexes
    wave: Complexes


def mutual(openings: Openings, k: Floats, opened: Mask) -> Mutual:
    """Mutual impedances of N flutes under M fingerings.

    Parameters
    ----------
    k : (N, M) array, 1/m
    opened : (Q, M) array, what is open under each fingering
    """
    pair, fingering = np.nonzero(opened[openings.one] & opened[openings.other])
    k = np.ascontiguousarray(k.T)[fingering]
    front = 0.25 * openings.radius[openings.one] * openings.radius[openings.other]
    phase = k * openings.distance[pair]
    size = k * (front / openings.distance)[pair]
    wave = np.empty(phase.shape, complex)
    np.multiply(np.sin(phase), size, out=wave.real)
    np.multiply(np.cos(phase), size, out=wave.imag)
    value = wave.copy()
    value.imag += k * ((front * openings.near)[pair] + (front * openings.bent)[pair] * k**2)
    return Mutual(pair, fingering, k, value, wave)


def table(openings: Openings, x: Mutual, shape: tuple[int, int]) -> Complexes:
    """The same as a symmetric table (Q, Q, N, M); ``shape`` is (N, M)."""
    size = len(openings.radius)
    full = np.zeros((size, size, *shape), complex)
    i, j = openings.one[x.pair], openings.other[x.pair]
    full[i, j, :, x.fingering] = x.value
    full[j, i, :, x.fingering] = x.value
    return full


def pressures(among: Complexes, flow: Complexes) -> Complexes:
    """What the outflows (Q, N, M) make outside each opening, (Q, N, M), by their ``table``."""
    return np.asarray((among * flow).sum(axis=1))


@dataclass(frozen=True)
class PairSlopes:
    """How the sum over pairs 2 F_n F_m X_nm changes at fixed flows.

    ``k`` (N, M) by ln k; (Q, N, M) each: by place (1/m), by outer radius (1/m), by ln of the bore radius.
    """

    k: Complexes
    place: Complexes
    outer: Complexes
    radius: Complexes


def pair_slopes(openings: Openings, x: Mutual, flow: Complexes) -> PairSlopes:
    """Exact slopes of the mutual part at fixed flows (Q, N, M); see ``gradient`` for why they suffice."""
    i, j = openings.one[x.pair], openings.other[x.pair]
    both = 2 * flow[i, :, x.fingering] * flow[j, :, x.fingering]
    d, k = openings.distance[x.pair], x.k
    turn = -1j * k * d * x.wave
    still = (0.25j * openings.radius[i] * openings.radius[j]) * k
    by_distance = (turn - x.wave) / d

    def change(distance: Floats, near: Floats, bent: Floats) -> Complexes:
        slow = near[x.pair] + bent[x.pair] * k**2
        return np.asarray(both * (by_distance * distance[x.pair] + still * slow))

    place = change(openings.distance_place, openings.near_place, openings.bent_place)
    outer = [
        change(openings.distance_outer[end], openings.near_outer[end], openings.bent_outer[end])
        for end in (0, 1)
    ]

    def gather(first: Complexes, second: Complexes) -> Complexes:
        full = np.zeros((len(flow), *flow.shape), complex)
        full[i, j, :, x.fingering] = first
        full[j, i, :, x.fingering] = second
        return np.asarray(full.sum(axis=1))

    weighed = both * x.value
    by_k = both * (x.value + turn + 2 * still * openings.bent[x.pair] * k**2)
    return PairSlopes(
        0.5 * gather(by_k, by_k).sum(axis=0), gather(-place, place), gather(*outer), gather(weighed, weighed)
    )
