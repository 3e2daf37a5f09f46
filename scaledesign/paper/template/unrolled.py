"""The tube's outside unrolled: where a place on the tube lies on paper wrapped around it.

Apart from what is drawn (``marks.py``) and from the sheets it is cut into (``joints.py``, ``page.py``),
because this is geometry alone and is held against trigonometry by its tests. Metres and radians.

Two frames. On the tube: ``x`` along the bore from the sounding edge, and an angle around it, 0 in front,
rising clockwise as seen from the mouth. On the paper, printed side out, mouth to the left: ``u`` to the
right, ``v`` downwards; the front line is v = 0.

Paper is wrapped with the middle of its thickness ``PAPER``/2 outside the wood, so a round tube takes
v = (R + PAPER/2) angle, and pi (OD + PAPER) once around. An oval takes the arc of its outer ellipse, whose
first axis runs from front to back and whose second from side to side. Around a tube that tapers, paper laid
along the front line bends off: a circle around a cone of half angle alpha unrolls to an arc of radius
R / sin(alpha), a quarter of a millimetre at the back of a common cane (elementary geometry; derived). Paper
is stiff in its own plane, so the taper it follows is the mean over half its own width to either side.
"""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np

from scaledesign.errors import EditError
from scaledesign.model.document import Design, Station
from scaledesign.physics.arrays import Floats
from scaledesign.values import dataclass

PAPER = 1e-4
"""m: thickness of office paper of 80 g/m2 (common practice, no source)."""
POINTS = 96
"""Corners of a hole's outline: under 0.01 mm off the curve at 12 mm."""
STEP = 1e-7
"""m before a step of the bore, where two stations stand at one place: so far the first of them holds."""
_ROUNDS = 40
"""Rounds that settle where a bit meets an oval or tapering outside; each gains a digit or more."""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


@dataclass(frozen=True, eq=False)
class Outside:
    """The outside of a tube: at ``x`` (S,) its half axes ``front`` and ``side`` (S,), straight between. m."""

    x: Floats
    front: Floats
    side: Floats

    @staticmethod
    def of(design: Design) -> Outside:
        """The bore and a wall on either side of it."""
        bore, wall = design.tube.bore, design.tube.wall
        stations = [station.x for each in (bore, wall) for station in each]
        steps = {one.x for each in (bore, wall) for one, two in pairwise(each) if one.x == two.x}
        x = np.array(sorted({*stations, *(place - STEP for place in steps)}), float)
        thick = _at(x, wall, [s.value for s in wall])
        front = _at(x, bore, [s.value / 2 for s in bore]) + thick
        side = _at(x, bore, [(s.across or s.value) / 2 for s in bore]) + thick
        return Outside(x, front, side)

    def halves(self, x: Floats) -> tuple[Floats, Floats]:
        """Half axes (m) at ``x``: from the middle to the front, and to the side."""
        return np.interp(x, self.x, self.front), np.interp(x, self.x, self.side)

    def radius(self, x: Floats, angle: Floats) -> Floats:
        """Distance (m) of the outside from the bore's middle."""
        a, b = self.halves(x)
        return np.asarray(a * b / np.hypot(b * np.cos(angle), a * np.sin(angle)))

    def around(self, x: float) -> float:
        """Length (m) of paper that goes once around."""
        _, v = self.paper(np.array([x, x]), np.array([-pi, pi]))
        return float(v[1] - v[0])

    def slope(self, x: Floats) -> Floats:
        """Mean growth of the half axes per m of bore, as stiff paper feels it."""
        reach = pi * (self.front.max() + self.side.max()) / 2
        ahead, behind = (np.add(*self.halves(x + step)) / 2 for step in (reach, -reach))
        return np.asarray((ahead - behind) / (2 * reach))

    def along(self, x: Floats) -> Floats:
        """Length (m) of the front line from the sounding edge to ``x``, on the surface."""
        run, rise = np.diff(self.x), np.diff(self.front)
        length = np.concatenate([[0.0], np.cumsum(np.hypot(run, rise) - run)])
        return np.asarray(x + np.interp(x, self.x, length) - np.interp(0.0, self.x, length))

    def paper(self, x: Floats, angle: Floats) -> tuple[Floats, Floats]:
        """Where places on the tube lie on the paper.

        Parameters
        ----------
        x : (N,) m
        angle : (N,) rad, seen from the bore's middle; beyond a whole turn the paper lies double

        Returns
        -------
        u, v : (N,) m
        """
        a, b = (half[:, None] for half in self.halves(x))
        turn = np.sin(np.arctan(self.slope(x)))[:, None]
        end = _unwrapped(a[:, 0] * np.sin(angle), b[:, 0] * np.cos(angle), angle)[:, None]
        t = end * (1.0 + _NODES) / 2
        weight = end * _WEIGHTS / 2
        speed = np.hypot(a * np.sin(t), b * np.cos(t))
        normal = _unwrapped(a * np.sin(t), b * np.cos(t), t)
        step = weight * (speed + PAPER / 2 * a * b / speed**2)
        u = self.along(x) - (step * np.sin(turn * normal)).sum(axis=1)
        return u, (step * np.cos(turn * normal)).sum(axis=1)

    def drilled(
        self, at: float, angle: float, along: float, across: float, slant: float = 0.0
    ) -> tuple[Floats, Floats]:
        """Outline on paper of what a bit cuts from the outside: (``POINTS``,) u and v, m.

        The bit's axis goes through the outside at ``at`` and lies in the plane of the bore's axis, square
        to it but for the ``slant``. With w the distance from the bit's axis along the bore and q across,
        the cut is (2w/along)^2 + (2q/across)^2 = 1; on the surface q = r sin(d) and
        w = (x - at) cos(slant) + (r cos(d) - r0) sin(slant), d the angle from ``angle`` (derived). On a
        round tube that is a half width of R asin(across/2R) around the tube.

        Parameters
        ----------
        at : m, middle of the cut on the outside
        angle : rad
        along, across : m, width of the bit, or of an oval, along the bore and across it
        slant : rad, positive towards the foot at the bore

        Raises
        ------
        EditError
            when the hole is wider than the tube.
        """
        t = 2 * pi * np.arange(POINTS) / POINTS
        w, q = along / 2 * np.cos(t), across / 2 * np.sin(t)
        (r0,) = self.radius(np.array([at]), np.array([angle]))
        x, d = np.full(POINTS, at), np.zeros(POINTS)
        for _ in range(_ROUNDS):
            r = self.radius(x, angle + d)
            if (np.abs(q) >= r).any():
                raise EditError("it is wider than the tube outside", "make it narrower")
            d = np.arcsin(q / r)
            x = at + (w - (r * np.cos(d) - r0) * np.sin(slant)) / np.cos(slant)
        return self.paper(x, angle + d)

    def sawn(self, start: float, end: float, width: float) -> tuple[Floats, Floats]:
        """Outline on paper of a straight-sided opening in front, from ``start`` to ``end``. m."""
        across = np.linspace(-0.5, 0.5, 13) * width
        x = np.concatenate([np.full(13, start), np.full(13, end)])
        q = np.concatenate([across, across[::-1]])
        return self._flat(x, q)

    def notched(self, depth: float, width: float) -> tuple[Floats, Floats]:
        """Outline on paper of a notch in the blown rim: half an ellipse, open at x = 0. m."""
        t = np.linspace(-pi / 2, pi / 2, 49)
        return self._flat(depth * np.cos(t), width / 2 * np.sin(t))

    def _flat(self, x: Floats, q: Floats) -> tuple[Floats, Floats]:
        """Where a front view's (x, q) lie on the paper."""
        d = np.zeros(len(x))
        for _ in range(_ROUNDS):
            r = self.radius(x, d)
            if (np.abs(q) >= r).any():
                raise EditError("it is wider than the tube outside", "make it narrower")
            d = np.arcsin(q / r)
        return self.paper(x, d)


def _at(x: Floats, stations: tuple[Station, ...], values: list[float]) -> Floats:
    return np.interp(x, [station.x for station in stations], values)


def _unwrapped(sine: Floats, cosine: Floats, near: Floats) -> Floats:
    """The angle of that sine and cosine, in the turn of ``near``."""
    angle = np.arctan2(sine, cosine)
    return np.asarray(angle + 2 * pi * np.round((near - angle) / (2 * pi)))
