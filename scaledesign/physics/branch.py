"""Tone holes: what one hole puts across and along the bore, and how it opens to the outside.

A hole is a T circuit (D. H. Keefe 1982, "Theory of the single woodwind tone hole", J. Acoust. Soc.
Am. 72, 676-687): half a series element, a shunt, half a series element, at the centre of its inner
opening. The shunt is itself a chain: an inner length, the chimney as a lossy line, the outer end. Any
mixture of open, partly open and closed holes is one expression. Where a hole stands is not known here;
what other openings do to it through the outside air comes in at its outer end (see ``outside``).

Scaled units (see ``network``): all impedances over rho c/(pi a^2), a the bore radius at the hole.

Lengths (b hole radius, a bore radius, delta = b/a, t chimney height, R outer radius of the tube)
-------------------------------------------------------------------------------------------------
t_m  matching volume: C. J. Nederveen, J. K. M. Jansen and R. R. van Hassel 1998, Acustica 84, 957-966
     (from memory; leading term derived, confirmed by a field solution).
t_i  inner length, t_a series length: A. Lefebvre and G. P. Scavone 2012, "Characterization of woodwind
     instrument toneholes with the finite element method", J. Acoust. Soc. Am. 131, 3153-3163 (from
     memory, confirmed by a field solution); above delta = 0.8 the polynomial of V. Dubos et al. 1999,
     J. Sound Vib. 219, 1-30, which the field solution prefers there, blended between 0.7 and 0.9.
t_r  outer length on a cylinder: Dalmont, Nederveen and Joly 2001 (see ``radiation``).
lid  a finger or pad that ends flush with the curved outside closes b^2/(8R) lower, on average, than the
     chimney's centre line (derived: mean of y^2/2R over the hole).
partly open: the open share of the area at the outer end, covered from one side as a finger does (see
     ``plate_function``); alone, as an iris with Fok's function (see ``radiation``).
finger: a pad that dips ``pad`` hole radii into a closed hole, never deeper than the chimney
     (in the range of P. Dickens 2007, eqs. 4.12-4.13 and fig. 4.11).
undercut: a conical chimney between radii b_in at the bore and b outside has exactly the inertance of
     a straight one of radius sqrt(b_in b), and the volume t (b_in^2 + b_in b + b^2)/3 (derived); b_in
     sets t_m, t_i and t_a, b the outer end.
oval: b is the radius of equal area; both ends shorten as the conductance of an elliptic aperture grows
     (Lord Rayleigh 1896, The Theory of Sound, section 306, exact); losses follow the perimeter; the
     depth under a curved surface follows the width across the tube (derived).
slant: a closed chimney holds 1/cos(angle) more. An open one is no longer but easier, since both openings
     grow: t cos(angle)^(2/3) (fitted to our own fields of holes slanted by 30 degrees either way, t/2b 0.6).

Valid for delta 0.2..1, t/b >= 0.1, k a < 1.
"""

from __future__ import annotations

import numpy as np

from scaledesign.physics.arrays import Complexes, Floats
from scaledesign.physics.duct import Line, bounded
from scaledesign.physics.radiation import fok_function
from scaledesign.values import dataclass

FAR = 0.05
"""Outer length over b^2/R that a hole on a tube has beyond the fit of Dalmont et al. 2001: fitted to our own
field solutions of whole tubes, b/R 0.25..0.35. Single holes in an endless tube ask for 0.03."""
WAVE = 0.6
"""The same over (kb)^2 R/4, for what a tube does to the wave from its own side; see ``outside``."""
_INNER = (0.82, -0.193, -1.09, 1.27, -0.71)
_INNER_WIDE = (0.822, -0.095, -1.566, 2.138, -1.640, 0.502)
_WAVE_DELTA = (1.0, -4.56, 6.55, -2.99)
_WAVE_KA = (0.0, 0.17, 0.92, 0.16, -0.29)


@dataclass(frozen=True, slots=True)
class Shape:
    """How holes differ from round ones drilled square: arrays that broadcast against their radius.

    ``undercut`` m by which the radius is wider at the bore; ``stretch`` and ``passing`` factors on the
    chimney's height when closed and open, by its slant; ``ends`` factor on the end lengths of an oval,
    ``across`` square of its half width across the tube over b^2.
    """

    undercut: Floats
    stretch: Floats
    passing: Floats
    ends: Floats
    across: Floats


@dataclass(frozen=True, slots=True)
class HoleSlopes:
    """Derivatives of a hole's elements; see the fields of ``ToneHoles``.

    ``inner_`` of ln(inner) by ln k, ln b, ln a; ``length_`` of the chimney's length (m) by ln b, ln a,
    t, ln R; ``line_b`` of -ln(line) and of ln of its radius by ln b, over 2 and 1; ``end_`` of the
    outer end by ln k, ln b, ln R (by ln a it is twice itself); ``z_`` of ln z by ln b and by t (1/m).
    """

    inner_k: Floats
    inner_b: Floats
    inner_a: Floats
    length_b: Floats
    length_a: Floats
    length_t: Floats
    length_outer: Floats
    line_b: Floats
    end_k: Complexes
    end_b: Complexes
    end_outer: Complexes
    z_b: Floats
    z_t: Floats


@dataclass(frozen=True, slots=True)
class ToneHoles:
    """Every hole of every flute under every fingering, (H, N, M) or what broadcasts to it.

    ``y`` shunt and ``z`` series element; ``inner`` impedance of the inner length, ``line``
    characteristic impedance of the chimney, ``theta`` Gamma times its length with its ``cosh`` and ``tanh``,
    ``y_end`` admittance of the outer end (0 where closed).
    """

    y: Complexes
    z: Complexes
    inner: Complexes
    line: Complexes
    theta: Complexes
    cosh: Complexes
    tanh: Complexes
    y_end: Complexes
    chimney: Line
    slopes: HoleSlopes | None

    def ports(self) -> tuple[Complexes, Complexes]:
        """How a hole opens outwards: (h, g).

        From a bore pressure P and an outside pressure e the flow h P - g e leaves at the outer end, and
        the flow y P - h e leaves the bore; both are 0 where the hole is closed.
        """
        pull = self.line * self.y_end
        h = self.y * pull / ((pull + self.tanh) * self.cosh + (self.y_end == 0))
        back = self.line * (self.inner + self.line * self.tanh) / (self.line + self.inner * self.tanh)
        return h, self.y_end / (1.0 + self.y_end * back)


def _polynomial(coefficients: tuple[float, ...], x: Floats) -> tuple[Floats, Floats]:
    """Value and slope by Horner's rule."""
    value, slope = x * coefficients[-1] + coefficients[-2], np.full(x.shape, coefficients[-1])
    for c in coefficients[-3::-1]:
        slope = slope * x + value
        value = value * x + c
    return value, slope


def matching_length(b: Floats, delta: Floats) -> tuple[Floats, Floats, Floats]:
    """t_m = (b delta/8)(1 + 0.207 delta^3) in m, and d/d ln b, d/d ln a."""
    base, cube = b * delta / 8.0, 0.207 * delta**3
    return base * (1 + cube), base * (2 + 5 * cube), -base * (1 + 4 * cube)


def inner_length(delta: Floats) -> tuple[Floats, Floats]:
    """t_i at low frequency over the hole's radius, and its slope in delta."""
    narrow, narrow_slope = _polynomial(_INNER, delta)
    if not (delta > 0.7).any():
        return narrow, narrow_slope
    wide, wide_slope = _polynomial(_INNER_WIDE, delta)
    u = np.clip((delta - 0.7) / 0.2, 0.0, 1.0)
    share, share_slope = u * u * (3 - 2 * u), 6 * u * (1 - u) / 0.2
    return (
        narrow + share * (wide - narrow),
        narrow_slope + share * (wide_slope - narrow_slope) + share_slope * (wide - narrow),
    )


def plate_function(xi: Floats) -> Floats:
    """What a straight-edged plate over one side of a hole does, in place of Fok's function for an iris.

    3.330 u^1.5 - 1.920 u^2 - 0.210 u^3 with u = 1 - xi, xi the root of the open share of the area: the mean
    of fits to our own field solutions of a hole in a flange under plates 0.02 and 0.15 radii thick, which lie
    0.05 radii of length to either side of it at half (see the tests). A finger is nearer to this than to an
    iris.
    """
    u = 1.0 - xi
    return np.asarray(3.330 * u**1.5 - 1.920 * u**2 - 0.210 * u**3)


def outer_length(
    b: Floats, outer: Floats, share: Floats, *, iris: bool = True
) -> tuple[Floats, Floats, Floats]:
    """Outer length t_out of a hole of which ``share`` of the area is open, and d/d ln b, d/d ln R.

    share 1: b (0.822 - 0.47 (b/R)^0.8); the hole's impedance is rho c/(pi b^2) (j k t_out + (kb)^2/4).
    ``iris``: covered all around, by Fok's function; else from one side, by ``plate_function``.
    """
    root = np.sqrt(share)
    whole = bool((share == 1.0).all())
    covered = fok_function(root)[0] if iris else plate_function(root)
    fok = np.zeros(root.shape) if whole else np.pi / 4 * covered
    power = 0.47 * (b * root / outer) ** 0.8
    rim = b / root
    return rim * (0.822 - power + fok), rim * (0.822 - 1.8 * power + fok), 0.8 * rim * power


def ellipse(aspect: float) -> tuple[float, float]:
    """An ellipse of diameters in the ratio ``aspect`` beside the circle of the same area.

    Returns
    -------
    Conductance of the circle as an aperture over the ellipse's, 2 K(e)/pi sqrt(minor/major) with K the
    complete elliptic integral of the first kind (Rayleigh 1896, section 306), and perimeter of the
    ellipse over the circle's. Both by the arithmetic-geometric mean (C. F. Gauss).
    """
    minor = min(aspect, 1.0 / aspect)
    a, b, c, power = 1.0, minor, np.sqrt(max(1.0 - minor**2, 0.0)), 0.5
    total = power * c**2
    while abs(c) > 1e-12:
        a, b, c = (a + b) / 2, float(np.sqrt(a * b)), (a - b) / 2
        power *= 2
        total += power * c**2
    k = np.pi / (2 * a)  # K; E = K (1 - total)
    return float(2 * k / np.pi * np.sqrt(minor)), float(2 * k * (1 - total) / (np.pi * np.sqrt(minor)))


def tone_holes(
    k: Floats,
    b: Floats,
    a: Floats,
    t: Floats,
    outer: Floats,
    share: Floats,
    pad: float,
    shape: Shape,
    chimney: Line,
    *,
    outside: bool,
    partials: bool,
) -> ToneHoles:
    """Shunt and series elements of tone holes in any state.

    Parameters
    ----------
    k : array, 1/m
        omega / c.
    b, a, t, outer : arrays, m
        Hole radius on the outside, bore radius at the hole, chimney height, outer radius of the tube.
    share : array
        Open share of the hole's area, 0 (closed by a finger) to 1.
    pad : float
        How far a finger dips into a closed hole, in hole radii.
    shape : Shape
    chimney : Line
        Wall losses in the chimney.
    outside : bool
        Whether the tube's outside counts: a finger that closes follows its curve, one that half covers does
        so from one side, and the air beyond it adds
        FAR b^2/R + WAVE (kb)^2 R/4 to the outer length (see ``outside``).
    partials : bool
        Whether the derivatives are wanted.

    Returns
    -------
    ToneHoles, arrays of the broadcast shape.
    """
    b_in = b + shape.undercut
    narrow = b / b_in
    a2 = a * a
    delta = b_in / a
    is_open = share > 0
    t_m, t_m_b, t_m_a = (part * shape.across for part in matching_length(b_in, delta))
    cone = (narrow + 1.0 + 1.0 / narrow) / 3.0
    grown = np.where(is_open, shape.passing, cone * shape.stretch)
    full = t * grown + t_m
    lid = shape.across * b * b / (8.0 * outer) if outside else np.zeros_like(b * outer)
    dipped = ~is_open & (pad * b + lid < full)
    dip = np.where(is_open, 0.0, np.minimum(pad * b + lid, full))
    length = full - dip

    g, g_slope = inner_length(delta)
    h, h_slope = _polynomial(_WAVE_DELTA, delta)
    ka = k * a
    i, i_slope = _polynomial(_WAVE_KA, ka)
    bracket = 1 + h * i
    inner = 1j * k * (shape.ends * b_in * g * bracket * (a2 / b_in**2))

    seen = np.where(is_open, share, 1.0)
    t_out, t_out_b, t_out_outer = outer_length(b, outer, seen, iris=not outside)
    kb2 = (k * b) ** 2
    wide = FAR * b * b / outer if outside else np.zeros_like(b * outer)
    bent = 0.25 * WAVE * kb2 * outer if outside else 0.0 * kb2
    t_out = shape.ends * t_out + wide + bent
    area = a2 / (b * b)
    y_end = np.where(is_open, 1.0 / ((1j * k * t_out + 0.25 * kb2) * area), 0.0)

    theta = bounded(chimney.gamma * length)
    fall = np.exp(-theta)  # tanh by way of exp: numpy's own is slower
    rise: Complexes = np.reciprocal(fall)
    cosh = 0.5 * (rise + fall)
    tanh = 0.5 * (rise - fall) / cosh
    line = chimney.z * (a2 / (b_in * b))
    pull = line * y_end
    numerator = pull + tanh
    y = numerator / (line * (1 + pull * tanh) + inner * numerator)

    tall, tall_closed = 2.7 * t / b_in, 2.4 * t / b_in
    th_open, th_closed = np.tanh(tall), np.tanh(tall_closed)
    kappa = np.where(is_open, 0.35 - 0.06 * th_open, 0.12 + 0.17 * th_closed)
    z = -1j * k * (b_in * delta**2 * kappa)
    if not partials:
        return ToneHoles(y, z, inner, line, theta, cosh, tanh, y_end, chimney, None)

    cone_b = (1.0 - narrow**-2) / 3.0 * narrow * (1.0 - narrow)
    kept = (is_open | dipped).astype(float)  # a finger that fills the hole leaves no length to change
    bend = np.where(is_open, -0.06 * (1 - th_open**2) * tall, 0.17 * (1 - th_closed**2) * tall_closed) / kappa
    slopes = HoleSlopes(
        inner_k=1 + h * i_slope * ka / bracket,
        inner_b=(g_slope * delta / g + h_slope * delta * i / bracket - 1) * narrow,
        inner_a=2 - g_slope * delta / g + (h * i_slope * ka - h_slope * delta * i) / bracket,
        length_b=kept * (
            t_m_b * narrow + np.where(is_open, 0.0, t * shape.stretch * cone_b - pad * b - 2 * lid)),
        length_a=kept * t_m_a,
        length_t=kept * grown,
        length_outer=np.where(dipped, lid, 0.0),
        line_b=0.5 * (1 + narrow),
        end_k=(1j * k * (t_out + 2 * bent) + 0.5 * kb2) * area,
        end_b=(1j * k * (shape.ends * t_out_b + 2 * wide + 2 * bent - 2 * t_out)) * area,
        end_outer=1j * k * (shape.ends * t_out_outer - wide + bent) * area,
        z_b=narrow * (3 - bend),
        z_t=bend / t,
    )  # fmt: skip
    return ToneHoles(y, z, inner, line, theta, cosh, tanh, y_end, chimney, slopes)
