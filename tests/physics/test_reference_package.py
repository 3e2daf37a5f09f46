"""The package against the check values and against the plain reference, on flutes of every kind."""

import math
import random
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from tests.reference.bridge import package_frequencies
from tests.reference.cases import CASES
from tests.reference.plain import CHECK_AIR, Flute, Hole, cents, playing_frequencies, total_impedance

MM = 1e-3
POSSIBLE = [case for case in CASES if case.losses != "series" and case.flute.foot != "zero"]


@pytest.mark.parametrize("case", POSSIBLE, ids=str)
def test_check_values(case):
    """T1 to T5, stated with a tolerance of 0.02 Hz."""
    count = len(case.expected)
    found = package_frequencies(
        case.flute,
        [case.fingering] * count,
        list(range(1, count + 1)),
        CHECK_AIR,
        losses=case.losses == "exact",
    )
    assert found == pytest.approx(np.array(case.expected), abs=0.02)


def random_flute(seed: int) -> Flute:
    """A flute within the ranges the formulas are stated for; holes no wider than 0.7 of the bore.

    Every other one is played in the open air, of those every other one with holes around it, slanted,
    undercut and oval, in a bore that cools, some with a flue and its chamber.
    """
    draw = random.Random(seed)
    length = draw.uniform(0.25, 0.6)
    radius = draw.uniform(0.006, 0.011)
    wall = draw.uniform(0.001, 0.006)
    kind = draw.choice(["straight", "taper", "stations", "step"])
    bore: tuple[tuple[float, float], ...] = ((0.0, radius),)
    if kind == "taper":
        bore = ((0.0, radius), (length, radius * draw.uniform(0.75, 1.2)))
    elif kind == "stations":
        middle = draw.uniform(0.3, 0.7) * length
        bore = ((0.0, radius), (middle, radius * 0.95), (length * 0.9, radius * draw.uniform(0.85, 1.1)))
    elif kind == "step":
        middle = draw.uniform(0.3, 0.7) * length
        bore = ((0.0, radius), (middle, radius), (middle, radius * draw.uniform(0.9, 1.08)), (length, radius))
    foot = draw.choice(["wall", "wall", "flanged", "stopped", "node"])
    flute = Flute(
        bore,
        length,
        foot=foot,
        foot_wall=wall,
        node=radius * draw.uniform(0.2, 0.6) if foot == "node" else None,
        delta0=draw.choice([None, draw.uniform(0.015, 0.05)]),
        drift=draw.choice([0.0, draw.uniform(-0.002, 0.002)]),
        cavity=draw.choice([0.0, draw.uniform(0.003, 0.012)]),
        pad=draw.choice([0.0, 0.5]),
        slice_length=0.005,
        outside=seed % 2 == 1,
    )
    shaped = seed % 4 == 3
    if shaped:
        airway = draw.choice([None, (8000.0, 1400.0, 3e-5)])
        flute = replace(flute, cooling=draw.choice([0.0, 7.7]), airway=airway)
    places = [length * (0.4 + 0.5 * (n + draw.uniform(0.1, 0.9)) / 5) for n in range(5)]
    holes = []
    for x in places:
        slant = draw.uniform(-0.3, 0.3) if shaped else 0.0
        hole = Hole(x, 0.0, wall, 0.0, slant=slant)
        a = flute.radius(hole.inner_x)
        hole = replace(hole, radius=a * draw.uniform(0.25, 0.68), outer=a + wall)
        if shaped:
            hole = replace(
                hole,
                angle=draw.uniform(-0.6, 3.2),
                undercut=min(draw.uniform(0.0, 0.0012), 0.69 * a - hole.radius),
                aspect=draw.uniform(0.7, 1.5),
            )
        holes.append(hole)
    return replace(flute, holes=tuple(holes))


def playable(flute: Flute, fingering: tuple[float, ...], count: int, losses: str = "exact") -> list[float]:
    """The first zeros of the plain reference whose resistance is below the bore's own, rho c / S.

    A stretch of tube below open holes can resonate so weakly that the reactance still passes through zero
    while the resistance outweighs it: no dip of the impedance that a jet could use, and the package, which
    counts turns of the reflected wave, does not count it.
    """
    z0 = CHECK_AIR.rho * CHECK_AIR.c / (math.pi * flute.radius(0.0) ** 2)
    zeros = playing_frequencies(flute, fingering, CHECK_AIR, count + 2, losses)
    strong = [f for f in zeros if total_impedance(flute, fingering, f, CHECK_AIR, losses).real < z0]
    return strong[:count]


@pytest.mark.parametrize("seed", range(32))
def test_package_agrees_with_the_plain_reference(seed):
    """The first three registers: open, closed, crossed and half-covered.

    0.005 cent where the bore is straight or stepped, 0.05 where it tapers: the reference takes its losses
    in shorter slices.
    """
    flute = random_flute(seed)
    draw = random.Random(seed + 1000)
    tapers = any(r1 != r2 and x1 != x2 for (x1, r1), (x2, r2) in pairwise(flute.bore))
    for _ in range(2):
        fingering = tuple(draw.choice([0.0, 0.0, 1.0, 1.0, 0.4]) for _ in flute.holes)
        plain = playable(flute, fingering, 3)
        found = package_frequencies(flute, [fingering] * len(plain), [1, 2, 3][: len(plain)], CHECK_AIR)
        off = [cents(a, b) for a, b in zip(found, plain, strict=True)]
        assert max(map(abs, off)) < (0.05 if tapers else 0.005), (fingering, off)
    bare = replace(flute, holes=())
    plain = playable(bare, (), 3)
    off = [
        cents(a, b)
        for a, b in zip(package_frequencies(bare, [()] * 3, [1, 2, 3], CHECK_AIR), plain, strict=True)
    ]
    assert max(map(abs, off)) < (0.05 if tapers else 0.005), off


@pytest.mark.parametrize("seed", range(8))
def test_package_agrees_without_losses(seed):
    """A bore of any shape, without holes: both are exact."""
    flute = replace(random_flute(seed), holes=())
    plain = playing_frequencies(flute, (), CHECK_AIR, 3, "none")
    found = package_frequencies(flute, [()] * 3, [1, 2, 3], CHECK_AIR, losses=False)
    assert found == pytest.approx(np.array(plain), rel=1e-8)
