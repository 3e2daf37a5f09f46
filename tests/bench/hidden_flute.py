"""A flute that nobody knows: what wood, air, mouth and player really do, for makers to be judged by.

Its physics is its own (a chain of short cylinders solved by looking, not the package's network), and holds
much that the drill plan's model leaves out. What is drawn, each flute afresh (U: even between, N: normal,
one standard deviation; no figure below is known to any maker):

mouth    effective added length at the lowest note off by U(-8, 8) mm (never under 30 % of what is planned);
         a drift with frequency of its own, N(0, 0.7) of what an inertance shortens by; a resonance beside
         it (flue and slow-air chamber, or the player's mouth): duct U(180, 600) Hz, others U(500, 1500) Hz,
         of U(5, 12) or U(10, 25) times the mouth's inertance (a flue of 12 by 1 mm has 8 times its
         window's), Q U(0.7, 2) (2 pi f l/U: 1.5 in a flue of 12 mm blown at 20 m/s at 400 Hz). All this
         moves a fifth by 10 cents and the octave by 15 (one standard deviation, duct flute on A4, computed)
jet      sounding pitch over resonance: tilt N(0, 4) cents an octave as the player blows upper notes harder,
         bend N(0, 2) cents an octave squared, N(0, 6) cents in the second register
left out a residual smooth in frequency of 2 cents (waves half an octave to two long), and 1 cent of each
         fingering
bore     scale U(-2, 2) %, taper U(-1.5, 1.5) % from end to end, three bumps N(0, 0.8) % of 15..50 mm, 0..2
         ridges (nodes) 2..6 % narrow and 6 mm long, oval losses and rough walls: loss layer thicker by U(0,
         30) %
wall     offset U(-0.3, 0.3) mm, taper U(-0.3, 0.3) mm from end to end, thicker on one side by U(0, 0.4) mm
holes    inertance of every open hole biased by U(-8, 8) % a flute and U(-4, 4) % a hole; outer edges broken
         by U(0, 0.7) mm (shorter chimney, wider mouth); leaning N(0, 2) degrees; oval by N(0, 3) %; finger
         pads dip U(0.1, 0.8) radii, N(0, 0.1) each
outside  holes and foot act on each other by free-field monopoles times U(0.8, 1.6); foot's end off by U(-6,
         6) % of the bore's radius
air      breath's share of warmth N(0.52, 0.05), cooling along the tube U(0.5, 1.5) of the usual and bent,
         moisture U(70, 100) %, CO2 U(1, 4) %

At the bench (``Bench``): a hole's place off by N(0, 0.3) mm, its drilled width by N(0.03, 0.05) mm, a filed
one by N(0, 0.07) mm, undercut N(0, 0.1) mm, a fill N(0, 0.1) mm, a cut N(0, 0.3) mm. The maker writes down
the bit that was used, the place and length that were asked for, and of a filed hole what callipers (N(0,
0.05) mm) show, to 0.05 mm. A tuner shows truth + breath (2 cents, each reading remembers 80 % of the last)
+ cold tube + 3 cents of noise, in whole cents. Cold: a tube is U(0.3, 1.5) K short of its warmth when a day
begins, half of that again after each work on wood, and every note blown halves it. Half of all flutes are
laid aside once and taken up days later, in a room N(0, 3) K warmer; what the maker types for a room is off
by N(0, 1) K. The first room is N(0, 1.5) K from the one that the design is for.

A note's truth is what the finished flute plays with the player's mean breath, warm, in the design's room,
without tuner, drift or cold.

Losses are D. H. Keefe's series of 1984 for wide ducts; lengths of a tone hole and the open foot come from
``scaledesign.physics``, held against independent numbers in its own tests. With nothing drawn, this flute
plays as the package's does (see the test).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from scaledesign.model.document import Design, HoleState
from scaledesign.model.pitch import nearest_note
from scaledesign.physics import air as airs
from scaledesign.physics.branch import inner_length, matching_length, outer_length
from scaledesign.physics.mouth import shortening
from scaledesign.physics.radiation import open_end
from scaledesign.solver.limits import profile
from scaledesign.solver.problem import flutes_of, voicing_of

MM = 1e-3
CENT = 1200.0 / np.log(2.0)
PIECE = 9 * MM
"""Longest cylinder of the bore."""
RIDGE = 6 * MM
COARSE, LOWEST, HIGHEST = 28, 0.6, (0.0, 2.9, 5.2)
"""Looks per lowest note's frequency, and from and to where (by register), over that frequency."""
FINE = np.linspace(-48.0, 48.0, 9)
"""Cents about a first finding where openings are let act on each other."""


@dataclass(frozen=True)
class World:
    """Everything hidden about one flute; as it stands: nothing is. See the module for what is drawn."""

    seed: int = 0
    mouth_off: float = 0.0
    drift: float = 0.0
    """m per kHz squared"""
    branch_size: float = 0.0
    """Inertance of what resonates beside the mouth, over the mouth's; 0: nothing does."""
    branch_hertz: float = 400.0
    branch_q: float = 2.0
    tilt: float = 0.0
    bend: float = 0.0
    second: float = 0.0
    smooth: tuple[tuple[float, float, float], ...] = ()
    """Waves of the residual: cents, octaves, phase."""
    own: float = 0.0
    """cents of each fingering"""
    scale: float = 1.0
    taper: float = 0.0
    bumps: tuple[tuple[float, float, float], ...] = ()
    """Place over length, share of radius, half width m."""
    ridges: tuple[tuple[float, float], ...] = ()
    """Place m, share by which they narrow."""
    rough: float = 1.0
    wall: float = 0.0
    wall_taper: float = 0.0
    wall_side: tuple[float, float] = (0.0, 0.0)
    """m, and where around (rad)."""
    open_bias: float = 0.0
    hole_bias: tuple[float, ...] = ()
    edge: tuple[float, ...] = ()
    lean: tuple[float, ...] = ()
    oval: tuple[float, ...] = ()
    pad: tuple[float, ...] = ()
    outside: float = 0.0
    foot: float = 0.0
    breath: float = airs.BREATH_SHARE
    cooling: float = 1.0
    cooling_length: float = 1e3
    moisture: float = 100.0
    co2: float = airs.BREATH_CO2


def drawn(design: Design, rng: np.random.Generator) -> World:
    """A world for a flute of this design."""
    holes = len(design.holes)
    duct = design.instrument.mouth == "duct"
    added = voicing_of(design).added_length
    length = design.tube.length
    waves = [
        (rng.normal(0, 2 * np.sqrt(2 / 3)), rng.uniform(0.5, 2), rng.uniform(0, 2 * np.pi)) for _ in range(3)
    ]
    places = [0.5 * (low + high) for low, high in design.tube.avoid]
    ridges = [
        (places[i] if i < len(places) else rng.uniform(0.1, 0.95) * length, rng.uniform(0.02, 0.06))
        for i in range(max(int(rng.integers(0, 3)), min(len(places), 2)))
    ]
    return World(
        seed=int(rng.integers(2**31)),
        mouth_off=rng.uniform(-8, 8) * MM,
        drift=rng.normal(0, 0.7) * shortening(added),
        branch_size=rng.uniform(5, 12) if duct else rng.uniform(10, 25),
        branch_hertz=rng.uniform(180, 600) if duct else rng.uniform(500, 1500),
        branch_q=rng.uniform(0.7, 2),
        tilt=rng.normal(0, 4),
        bend=rng.normal(0, 2),
        second=rng.normal(0, 6),
        smooth=tuple(waves),
        own=1.0,
        scale=1 + rng.uniform(-0.02, 0.02),
        taper=rng.uniform(-0.015, 0.015),
        bumps=tuple((rng.uniform(0, 1), rng.normal(0, 0.008), rng.uniform(15, 50) * MM) for _ in range(3)),
        ridges=tuple(ridges),
        rough=rng.uniform(1.0, 1.3),
        wall=rng.uniform(-0.3, 0.3) * MM,
        wall_taper=rng.uniform(-0.3, 0.3) * MM,
        wall_side=(rng.uniform(0, 0.4) * MM, rng.uniform(0, 2 * np.pi)),
        open_bias=rng.uniform(-0.08, 0.08),
        hole_bias=tuple(rng.uniform(-0.04, 0.04, holes)),
        edge=tuple(rng.uniform(0, 0.7, holes) * MM),
        lean=tuple(np.radians(rng.normal(0, 2, holes))),
        oval=tuple(np.abs(rng.normal(0, 0.03, holes))),
        pad=tuple(np.clip(rng.uniform(0.1, 0.8) + rng.normal(0, 0.1, holes), 0.0, 0.95)),
        outside=rng.uniform(0.8, 1.6),
        foot=rng.uniform(-0.06, 0.06),
        breath=rng.normal(0.52, 0.05),
        cooling=rng.uniform(0.5, 1.5),
        cooling_length=rng.uniform(0.5, 1.5),
        moisture=rng.uniform(70, 100),
        co2=rng.uniform(0.01, 0.04),
    )  # fmt: skip


@dataclass(frozen=True)
class Bored:
    """A hole as it is: m."""

    at: float
    width: float
    undercut: float = 0.0


@dataclass
class HiddenFlute:
    """The flute in its state at the bench: ``length`` m, ``holes`` those that are there."""

    design: Design
    world: World
    length: float
    lowest: float
    """Hz that the lowest note is meant to be."""
    holes: dict[int, Bored] = field(default_factory=dict)
    _cut_up: tuple[object, ...] | None = None

    def __post_init__(self) -> None:
        if self.design.tube.foot.kind != "open":
            raise ValueError("no such foot here")
        self._mouth = _mouth_of(self.design, self.world, self.lowest)

    # ---- what it plays ----

    def plays(
        self, states: Sequence[HoleState], register: int, room: float, cold: float = 0.0, half: float = 0.5
    ) -> float:
        """Hz with the player's mean breath; nan where it does not speak.

        ``room`` degC, ``cold`` K short of its warmth, ``half`` what is open of a hole that is half covered.
        """
        share = self._shares(states, half)
        passive = self._resonance(share, register, room, cold)
        octaves = np.log2(passive / self.lowest)
        w = self.world
        off = w.tilt * octaves + w.bend * octaves**2 + (w.second if register > 1 else 0.0)
        off += sum(a * np.sin(2 * np.pi * octaves / wide + turn) for a, wide, turn in w.smooth)
        if w.own:
            opened = [h + 1 for h, s in share.items() if s > 0]
            off += w.own * np.random.default_rng([w.seed, register, *opened]).standard_normal()
        return float(passive * np.exp(off / CENT))

    def _shares(self, states: Sequence[HoleState], half: float) -> dict[int, float]:
        """Open share of each hole that is there; () opens none but what has no finger."""
        letters = dict(zip(self.design.fingered(), states, strict=True)) if states else {}
        value = {"X": 0.0, "O": 1.0, "H": half}
        free = {i for i, hole in enumerate(self.design.holes) if hole.finger == "none"}
        return {h: 1.0 if h in free else value[letters.get(h, "X")] for h in sorted(self.holes)}

    def _air(self, room: float, cold: float) -> tuple[airs.Air, float]:
        """Air 0.3 m from the mouth, and K/m by which it cools there."""
        setting, w = self.design.air, self.world
        pressure = float(airs.pressure_at(setting.altitude)) if setting.pressure is None else setting.pressure
        share = setting.breath
        warm = room + share * w.breath * (airs.BREATH_TEMPERATURE - room) - cold
        humidity = setting.humidity + share * (w.moisture - setting.humidity)
        co2 = airs.ROOM_CO2 + share * (w.co2 - airs.ROOM_CO2)
        return airs.moist_air(warm, humidity, pressure, co2), w.cooling * airs.cooling(room, share)

    def _resonance(self, share: dict[int, float], register: int, room: float, cold: float) -> float:
        air, cooling = self._air(room, cold)
        first = float(air.c) / (2 * (self.length + self._mouth[0] + self._radius(self.length)))
        f = first * np.arange(LOWEST, HIGHEST[register], 1 / COARSE)
        z = self._impedance(f, share, air, cooling, together=False)
        up = np.flatnonzero((z.imag[:-1] < 0) & (z.imag[1:] >= 0))
        quiet = 1 / (np.pi * self._radius(0.0) ** 2)
        up = [
            i for i in up if z.imag[i + 1] - z.imag[i] < 50 * quiet and abs(z.real[i : i + 2]).min() < quiet
        ]
        if len(up) < register:
            return float("nan")
        i = up[register - 1]
        near = f[i] + (f[i + 1] - f[i]) * -z.imag[i] / (z.imag[i + 1] - z.imag[i])
        for _ in range(3):
            fine = near * np.exp(FINE / CENT)
            x = self._impedance(fine, share, air, cooling, together=True).imag
            rise = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
            if len(rise):
                j = int(np.clip(rise[np.abs(rise - 4).argmin()] - 1, 0, len(x) - 4))
                part = slice(j, j + 4)  # the inverse function by a cubic through four points
                return float(near * np.exp(_at_zero(x[part], FINE[part]) / CENT))
            near = fine[-1] if x[-1] < 0 else fine[0]
        return float("nan")

    # ---- its parts ----

    def _radius(self, x: float | np.ndarray) -> np.ndarray:
        """Bore radius (m) at x."""
        w, stations, length = self.world, self.design.tube.bore, self.design.tube.length
        x = np.asarray(x, float)
        planned = np.interp(x, [s.x for s in stations], [s.value for s in stations]) / 2
        own = w.scale * (1 + w.taper * (x / length - 0.5))
        for place, size, wide in w.bumps:
            own = own + size * np.exp(-0.5 * ((x - place * length) / wide) ** 2)
        for place, depth in w.ridges:
            own = own - depth * (np.abs(x - place) < RIDGE / 2)
        return planned * own

    def _wall(self, x: float, angle: float) -> float:
        w = self.world
        own = w.wall + w.wall_taper * (x / self.design.tube.length - 0.5)
        return (
            profile(self.design.tube.wall, x) + own + w.wall_side[0] * float(np.cos(angle - w.wall_side[1]))
        )

    def _pieces(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[tuple[int, int, float]]]:
        """Ends and radii of the bore's pieces mouth to foot, and the holes: (hole, piece it ends, place)."""
        key = (self.length, tuple(self.holes.items()))
        if self._cut_up is not None and self._cut_up[0] == key:
            return self._cut_up[1]  # type: ignore[return-value]
        inner = {}
        for h, bored in self.holes.items():
            hole, lean = self.design.holes[h], self._of(self.world.lean, h)
            slant = np.radians(hole.slant) + lean
            thick = self._wall(bored.at, np.radians(hole.side)) if hole.wall is None else hole.wall
            inner[h] = bored.at + 0.78 * np.tan(slant) * thick
        marks = [x for place, _ in self.world.ridges for x in (place - RIDGE / 2, place + RIDGE / 2)]
        marks += [s.x for s in self.design.tube.bore]
        stops = sorted({0.0, self.length, *inner.values(), *(x for x in marks if 0 < x < self.length)})
        edges = [0.0]
        for low, high in pairwise(stops):
            if high - low > 1e-9:
                edges += list(np.linspace(low, high, max(1, int(np.ceil((high - low) / PIECE))) + 1)[1:])
        ends = np.array(edges)
        radius = self._radius(0.5 * (ends[1:] + ends[:-1]))
        placed = sorted((float(x), h) for h, x in inner.items())
        nodes = [(h, int(np.abs(ends - x).argmin()), x) for x, h in placed]
        self._cut_up = (key, (ends[:-1], ends[1:], radius, nodes))
        return self._cut_up[1]  # type: ignore[return-value]

    @staticmethod
    def _of(values: tuple[float, ...], h: int, default: float = 0.0) -> float:
        return values[h] if values else default

    # ---- its sound ----

    def _impedance(
        self, f: np.ndarray, share: dict[int, float], air: airs.Air, cooling: float, *, together: bool
    ) -> np.ndarray:
        """Mouth and bore at frequencies (M,) Hz over rho c, 1/m2."""
        w = self.world
        start, end, radius, nodes = self._pieces()
        k = 2 * np.pi * f / float(air.c)
        layer = np.sqrt(2 * np.pi * f * float(air.rho / air.mu))
        gamma, z = _lossy(k, radius[:, None] / w.rough * layer)
        middle = 0.5 * (start + end) - 0.3
        colder = cooling * w.cooling_length * (1 - np.exp(-middle / w.cooling_length))
        theta = gamma * ((end - start) * (1 + colder / 600))[:, None]
        zc = z / (np.pi * radius**2)[:, None]
        grown = np.exp(theta)
        cosh, sinh = 0.5 * (grown + 1 / grown), 0.5 * (grown - 1 / grown)
        onward, back = zc * sinh, sinh / zc

        def span(first: int, last: int) -> np.ndarray:
            """(2, 2, M) from the foot side of piece last - 1 to the mouth side of piece first."""
            p = np.array([np.ones_like(f), np.zeros_like(f)], complex)
            u = np.array([np.zeros_like(f), np.ones_like(f)], complex)
            for i in range(last - 1, first - 1, -1):
                p, u = cosh[i] * p + onward[i] * u, back[i] * p + cosh[i] * u
            return np.array([p, u])

        stops = [0, *(piece for _, piece, _ in nodes), len(start)]
        spans = [span(low, high) for low, high in pairwise(stops)]
        parts = [self._hole(h, x, k, layer, share[h]) for h, _, x in nodes]
        foot_a = float(self._radius(self.length))
        foot_wall = profile(self.design.tube.wall, self.length) + w.wall
        z_foot = open_end(k, np.array(foot_a), np.array(foot_a + foot_wall)).z / (np.pi * foot_a**2)
        z_foot = z_foot + 1j * k * w.foot * foot_a / (np.pi * foot_a**2)
        opened = [n for n, (h, _, _) in enumerate(nodes) if share[h] > 0]
        mutual = self._mutual([nodes[n][0] for n in opened], k, foot_a + foot_wall)
        extra = np.zeros((len(opened) + 1, len(f)), complex)
        for _ in range(3 if together and w.outside and opened else 1):
            p, u = z_foot + extra[-1], np.ones_like(f, complex)
            flows = np.zeros_like(extra)
            flows[-1] = u
            for n in range(len(nodes), -1, -1):
                m = spans[n]
                p, u = m[0, 0] * p + m[0, 1] * u, m[1, 0] * p + m[1, 1] * u
                if n:
                    at = opened.index(n - 1) if n - 1 in opened else None
                    series, shunt, out = parts[n - 1](None if at is None else extra[at])
                    p = p + 0.5 * series * u
                    through = p / shunt
                    u = u + through
                    p = p + 0.5 * series * u
                    if at is not None:
                        flows[at] = through * out
            if together and w.outside and opened:
                extra = np.einsum("ijm,jm->im", mutual, flows) / flows
        return p / u + self._mouth_impedance(f, k)

    def _hole(self, h, x, k, layer, share):
        """Of a hole: from what is added outside, (series, shunt over rho c, outflow over inflow)."""
        w, bored, hole = self.world, self.holes[h], self.design.holes[h]
        angle = np.radians(hole.side)
        t = self._wall(bored.at, angle) if hole.wall is None else hole.wall
        a, outer = float(self._radius(x)), float(self._radius(x)) + t
        b = bored.width / 2 * np.sqrt(1 + self._of(w.oval, h))
        b_in = b + bored.undercut / 2
        edge, slant = self._of(w.edge, h), np.radians(hole.slant) + self._of(w.lean, h)
        delta = np.array(b_in / a)
        t_m = float(matching_length(np.array(b_in), delta)[0])
        t_i = b_in * float(inner_length(delta)[0]) * np.ones_like(k)
        gamma, z = _lossy(k, np.sqrt(b * b_in) * layer / w.rough)
        zc = z / (np.pi * b * b_in)
        inner = 1j * k * t_i / (np.pi * b_in**2)
        if share == 0:
            narrow = b / b_in
            full = t / np.cos(slant) * (narrow + 1 + 1 / narrow) / 3 + t_m
            pad = self._of(w.pad, h, self.design.instrument.pad)
            lid = b * b / (8 * outer) if w.outside else 0.0
            length = max(full - pad * b - lid, 1e-6)
            shunt = zc / np.tanh(gamma * length) + inner
            series = -1j * k * b_in * delta**2 * (0.12 + 0.17 * np.tanh(2.4 * t / b_in)) / (np.pi * a**2)
            return lambda extra: (series, shunt, None)
        rim = b + 0.3 * edge
        length = (t - 0.6 * edge) * np.cos(slant) ** (2 / 3) + t_m
        t_r = float(outer_length(np.array(rim), np.array(outer), np.array(share), iris=not w.outside)[0])
        own = (1j * k * t_r + 0.25 * (k * rim) ** 2) / (np.pi * rim**2)
        bias = w.open_bias + self._of(w.hole_bias, h)
        more = 1j * k * bias * (length + t_r + t_i) / (np.pi * b * b_in)
        series = -1j * k * b_in * delta**2 * (0.35 - 0.06 * np.tanh(2.7 * t / b_in)) / (np.pi * a**2)
        tanh, cosh = np.tanh(gamma * length), np.cosh(gamma * length)

        def heard(extra):
            end = own + extra
            return (
                series,
                zc * (end + zc * tanh) / (end * tanh + zc) + inner + more,
                zc / (cosh * (zc + end * tanh)),
            )

        return heard

    def _mutual(self, opened: list[int], k: np.ndarray, foot_outer: float) -> np.ndarray:
        """(Q, Q, M) pressure outside one opening from another's flow, over rho c; the foot last."""
        size = len(opened) + 1
        table = np.zeros((size, size, len(k)), complex)
        for i, one in enumerate(opened):
            x, side = self.holes[one].at, np.radians(self.design.holes[one].side)
            for j in range(i + 1, size):
                if j == size - 1:
                    d = self.length - x + 1.1 * foot_outer
                else:
                    other = opened[j]
                    turn = np.radians(self.design.holes[other].side) - side
                    d = np.hypot(self.holes[other].at - x, 2 * np.sin(turn / 2) * foot_outer)
                    d = np.hypot(d, 0.3 * foot_outer)
                table[i, j] = table[j, i] = (
                    self.world.outside * 1j * k * np.exp(-1j * k * d) / (4 * np.pi * d)
                )
        return table

    def _mouth_impedance(self, f: np.ndarray, k: np.ndarray) -> np.ndarray:
        added, cavity = self._mouth
        return _mouth_at(self.design, self.world, added, cavity, f, k) / (
            np.pi * float(self._radius(0.0)) ** 2
        )


def _lossy(k: np.ndarray, r: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Gamma (1/m) and Z_c over rho c/S of round ducts; r is radius over boundary layer (Keefe 1984)."""
    one = 1 / r
    gamma = k * (1j + one * (1.045 + 1.045j + one * (1.080 + one * 0.750)))
    return gamma, 1 + one * (0.369 - 0.369j - 1j * one * (1.149 + 0.303 * one))


def _at_zero(x: np.ndarray, y: np.ndarray) -> float:
    """Lagrange's polynomial through (x, y) at 0."""
    total = 0.0
    for i in range(len(x)):
        others = np.delete(x, i)
        total += y[i] * float(np.prod(-others / (x[i] - others)))
    return total


def _mouth_at(design: Design, world: World, added: float, cavity: float, f, k) -> np.ndarray:
    """The mouth end as an impedance over rho c/S, S the bore's area."""
    z = 1j * k * (added + world.drift * (f / 1000) ** 2)
    if cavity:
        z = 1 / (1 / z + 1j * np.tan(k * cavity))
    if world.branch_size:
        r = world.branch_hertz
        size = world.branch_size * added * k
        damping = size * (r / f) / world.branch_q
        z = 1 / (1 / z + 1 / (damping + 1j * size * (1 - (r / f) ** 2)))
    return z


def _mouth_of(design: Design, world: World, lowest: float) -> tuple[float, float]:
    """Added length and cavity (m) so that at the lowest note it acts as planned, and ``mouth_off`` longer."""
    f, k = np.array([lowest]), np.array([2 * np.pi * lowest / 347.0])
    flutes = flutes_of(design)
    planned, cavity, way = float(flutes.added_length[0]), design.voicing.cavity, flutes.body.airway
    z = 1j * k * planned
    if cavity:
        z = 1 / (1 / z + 1j * np.tan(k * cavity))
    if way is not None and world.branch_size:
        area = np.pi * flutes.body.slices.radius[0] ** 2
        z = 1 / (1 / z + 1 / (area * (way.resistance + 1j * k * way.inertance) - 1j / (k * way.chamber)))
    wanted = max(float(z.imag[0] / k[0]) + world.mouth_off, 0.3 * planned)
    added = wanted
    for _ in range(60):
        acts = float(_mouth_at(design, world, added, cavity, f, k).imag[0] / k[0])
        added = max(added + wanted - acts, 1e-3)
    return added, cavity


@dataclass
class Day:
    """A session at the bench: K and degC."""

    room: float
    typed: float
    """What the maker believes the room has."""
    cold: float


@dataclass
class Bench:
    """A maker's hands, lungs, tuner and callipers on one flute. Every deed costs what such deeds cost."""

    flute: HiddenFlute
    rng: np.random.Generator
    day: Day
    reference: float = 440.0
    breath: float = 0.0
    starts_cold: float = 0.0
    readings: int = 0
    work: int = 0

    @staticmethod
    def begun(flute: HiddenFlute, rng: np.random.Generator, *, off: float = 1.5) -> Bench:
        """A first day, in a room ``off`` K (one standard deviation) from the design's."""
        room = flute.design.air.temperature + rng.normal(0, off)
        cold = rng.uniform(0.3, 1.5)
        day = Day(room, room + rng.normal(0, 1), cold)
        bench = Bench(flute, rng, day, flute.design.tuning.reference, starts_cold=cold)
        bench.breath = 2.0 * rng.standard_normal()
        return bench

    def another_day(self) -> None:
        """Laid aside and taken up again."""
        room = self.day.room + self.rng.normal(0, 3)
        self.starts_cold = self.rng.uniform(0.3, 1.5)
        self.day = Day(room, room + self.rng.normal(0, 1), self.starts_cold)
        self.breath = 2.0 * self.rng.standard_normal()

    def tuner(self, states: Sequence[HoleState] = (), register: int = 1) -> tuple[str, float] | None:
        """What it shows, as written and in Hz; None where the note does not speak."""
        self.breath = 0.8 * self.breath + 0.6 * 2.0 * self.rng.standard_normal()
        hertz = self.flute.plays(states, register, self.day.room, self.day.cold)
        self.day.cold *= 0.5
        self.readings += 1
        if not np.isfinite(hertz):
            return None
        shown = hertz * np.exp((self.breath + 3.0 * self.rng.standard_normal()) / CENT)
        note, cents = nearest_note(float(shown), self.reference)
        whole = round(cents)
        read = shown * np.exp((whole - cents) / CENT)
        return f"{note.name} {whole:+d}", float(read)

    def _worked(self) -> None:
        self.work += 1
        self.day.cold = max(self.day.cold, 0.5 * self.starts_cold)

    def cut(self, length: float) -> None:
        self.flute.length = min(self.flute.length, length + self.rng.normal(0, 0.3) * MM)
        self._worked()

    def drill(self, hole: int, at: float, width: float) -> None:
        place = at + self.rng.normal(0, 0.3) * MM
        self.flute.holes[hole] = Bored(place, self._bit(width))
        self._worked()

    def open(self, hole: int, width: float) -> None:
        self._widen(hole, self._bit(width))

    def file(self, hole: int, width: float) -> float:
        """m that the callipers show afterwards."""
        self._widen(hole, width + self.rng.normal(0, 0.07) * MM)
        shown = self.flute.holes[hole].width + self.rng.normal(0, 0.05) * MM
        return round(shown / (0.05 * MM)) * 0.05 * MM

    def undercut(self, hole: int, by: float) -> None:
        old = self.flute.holes[hole]
        deep = max(old.undercut, by + self.rng.normal(0, 0.1) * MM)
        self.flute.holes[hole] = replace(old, undercut=deep)
        self._worked()

    def fill(self, hole: int, width: float) -> None:
        old = self.flute.holes[hole]
        self.flute.holes[hole] = replace(old, width=min(old.width, width + self.rng.normal(0, 0.1) * MM))
        self._worked()

    def _bit(self, width: float) -> float:
        return width + self.rng.normal(0.03, 0.05) * MM

    def _widen(self, hole: int, width: float) -> None:
        old = self.flute.holes[hole]
        self.flute.holes[hole] = replace(old, width=max(old.width, width))
        self._worked()
