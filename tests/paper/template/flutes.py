"""Flutes that put the template to the test: the examples, and odd ones made up for it."""

from __future__ import annotations

from pathlib import Path

import scaledesign
from scaledesign.model.document import (
    Chamber,
    Design,
    Embouchure,
    Hole,
    Instrument,
    Shop,
    Station,
    Tube,
    Voicing,
    Window,
)

EXAMPLES = sorted((Path(scaledesign.__file__).parent / "examples").glob("*.toml"))


def example(name: str) -> Design:
    (path,) = (path for path in EXAMPLES if path.stem == name)
    return scaledesign.load(path)


def tube(length: float, bore: float, wall: float) -> Tube:
    return Tube(length, (Station(0, bore),), (Station(0, wall),))


def tiny() -> Design:
    """The smallest bore, a thumb hole, holes close by."""
    fingers = ("LT", "L1", "L2", "L3", "R1", "R2", "R3")
    holes = tuple(
        Hole(0.06 + 0.014 * i, 0.004, finger=finger, side=180 if finger == "LT" else 0)
        for i, finger in enumerate(fingers)
    )
    return Design(
        name="Wren chick", tube=tube(0.16, 0.008, 0.0015), instrument=Instrument("rim"), holes=holes
    )


def huge() -> Design:
    """The widest bore and the longest tube; too broad to lie along a sheet."""
    fingers = ("LT", "L1", "L2", "R1", "R2", "R3")
    holes = tuple(
        Hole(0.5 + 0.09 * i, 0.014, finger=finger, side=180 if finger == "LT" else 7.5 * (i // 5))
        for i, finger in enumerate(fingers)
    )
    return Design(name="Bittern", tube=tube(1.2, 0.060, 0.005), instrument=Instrument("rim"), holes=holes)


def odd() -> Design:
    """Oval tapering bore; thumb hole, oval, slanted both ways, turned aside, tuning holes, some drilled."""
    taper = (Station(-0.2, 0.018, 0.020), Station(0.7, 0.009, 0.011))
    return Design(
        name="Odd one",
        tube=Tube(0.4, taper, (Station(0, 0.004),), locked=True, avoid=((0.12, 0.124), (0.3, 0.3))),
        instrument=Instrument("transverse"),
        voicing=Voicing(embouchure=Embouchure(0.012, 0.010)),
        holes=(
            Hole(0.150, 0.0075, side=180, finger="LT", drilled=True),
            Hole(0.160, 0.009, across=0.007, finger="L1"),
            Hole(0.185, 0.0078, finger="L2", slant=25),
            Hole(0.210, 0.006, finger="L3", drilled=True),
            Hole(0.245, 0.0085, finger="R1", side=-15),
            Hole(0.268, 0.009, finger="R2", slant=-30),
            Hole(0.292, 0.007, finger="R3"),
            Hole(0.312, 0.006, finger="R4", side=40),
            Hole(0.350, 0.006, side=90),
            Hole(0.360, 0.006, side=-90),
        ),
    )


def dense() -> Design:
    """More holes than there is room for words."""
    rows = (
        ("LT", 180, 0), ("L1", 0, 0), ("L2", 0, 10), ("L3", 0, 0), ("L4", 20, 0), ("none", 0, 0),
        ("R1", 0, -20), ("RT", 180, 0), ("R2", 0, 0), ("R3", 0, 0), ("R4", -20, 0), ("none", 90, 0),
        ("none", 270, 0), ("none", 0, 0),
    )  # fmt: skip
    return Design(
        name="Dense",
        units="in",
        tube=Tube(0.33, (Station(0, 0.012),), (Station(0, 0.002),), chamber=Chamber(0.1, 0.005)),
        instrument=Instrument("duct"),
        voicing=Voicing(window=Window(0.004, 0.008)),
        shop=Shop(bits="inch 1/64"),
        holes=tuple(
            Hole(0.11 + 0.0125 * i, 0.0065, finger=finger, side=side, slant=slant)
            for i, (finger, side, slant) in enumerate(rows)
        ),
    )


def notched() -> Design:
    """A notch whose size is given; a tube in two diameters; no holes yet."""
    bore = (Station(0, 0.02), Station(0.1, 0.02), Station(0.1, 0.018))
    return Design(
        tube=Tube(0.3, bore, (Station(0, 0.003),)),
        instrument=Instrument("notch"),
        voicing=Voicing(embouchure=Embouchure(0.006, 0.009)),
    )


ODD = {"tiny": tiny, "huge": huge, "odd": odd, "dense": dense, "notched": notched}
ALL = {**{path.stem: (lambda path=path: scaledesign.load(path)) for path in EXAMPLES}, **ODD}
