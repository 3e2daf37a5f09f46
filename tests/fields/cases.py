"""The tubes and fingerings whose fields are kept, in millimetres, and the designs that say the same.

A and B are straight, C is tapered; the others have one unusual hole. All are our own.
"""

from __future__ import annotations

from dataclasses import dataclass

from scaledesign.physics.air import played_air
from tests.fields.shapes import Hole, Tube
from tests.fields.whole_tube import SOUND


def _round(places: tuple[float, ...], diameters: tuple[float, ...]) -> tuple[Hole, ...]:
    return tuple(Hole(x, d) for x, d in zip(places, diameters, strict=True))


TUBES = {
    "A": Tube(420, 17, 3.5, _round((200, 228, 257, 290, 319, 357), (6, 7, 7.5, 6.5, 8, 7))),
    "B": Tube(470, 21, 4.2, _round((215, 265, 300, 345, 400), (9, 9.5, 8.5, 10, 9))),
    "C": Tube(445, 20, 4, _round((205, 235, 262, 300, 332, 378), (7, 8, 7, 8, 9, 8)), foot_bore=17),
    "undercut": Tube(400, 18, 4.5, (Hole(235, 6.5, undercut=3), Hole(310, 8))),
    "oval": Tube(400, 18, 4.5, (Hole(235, 9, across=6.5), Hole(310, 8))),
    "slanted": Tube(400, 18, 4.5, (Hole(235, 7.5, slant=30), Hole(310, 8))),
}
CROSS = {
    "A": ("XOXOOO", "XOOXOO", "OXOOOO", "XXOXXX", "XXXOXO"),
    "B": ("XOXOO", "OXOOO", "XXOXX"),
    "C": ("XOXOOO", "OXOOOO"),
}
HALF = {"A": ("XXXHOO", "HOOOOO"), "B": ("XXHOO",)}
"""The topmost opened hole half covered."""
STUDIED = (("A", "OOOOOO"),)
"""Fingerings that are solved on more meshes to show what the mesh does: it does most where most is open."""


@dataclass(frozen=True)
class Case:
    """A fingering of a kept tube: X closed, O open, H half covered, mouth to foot."""

    tube: str
    fingering: str

    @property
    def shares(self) -> tuple[float, ...]:
        """Of each hole's diameter that is open."""
        return tuple({"X": 0.0, "H": 0.5, "O": 1.0}[letter] for letter in self.fingering)


def cases() -> list[Case]:
    """All, the ends of each progression first; of the tubes with an unusual hole only these."""
    found = []
    for name, tube in TUBES.items():
        count = len(tube.holes)
        ladder = ["X" * (count - opened) + "O" * opened for opened in range(count + 1)]
        ladder = [ladder[-1], ladder[0], *(ladder[-2:0:-1] if name in CROSS else ())]
        found += [Case(name, fingering) for fingering in (*ladder, *CROSS.get(name, ()), *HALF.get(name, ()))]
    return found


def document(case: Case) -> str:
    """The design file of a case: ideal open mouth, flush fingers, rows for registers 1 and 2."""
    tube = TUBES[case.tube]
    bore = str(tube.bore)
    if tube.foot_bore is not None:
        bore = f"[[0, {tube.bore}], [{tube.length}, {tube.foot_bore}]]"
    lines = [
        "format = 1", 'units = "mm"', "[instrument]", 'mouth = "open"', "pad = 0", "[tube]",
        f"length = {tube.length}", f"bore = {bore}", f"wall = {tube.wall}", "[air]", "breath = 0",
        'temperature = "20 °C"', "humidity = 0", 'pressure = "101.325 kPa"', "[tuning]", 'tonic = "A4"',
    ]  # fmt: skip
    for number, hole in enumerate(tube.holes, 1):
        size = f"{hole.diameter}" if hole.across is None else f"[{hole.diameter}, {hole.across}]"
        lines += ["[[holes]]", f"at = {hole.at}", f"diameter = {size}",
                  f'finger = "{"L" if number <= 3 else "R"}{(number - 1) % 3 + 1}"']  # fmt: skip
        lines += [f"{key} = {value}" for key in ("undercut", "slant") if (value := getattr(hole, key))]
    for register in (1, 2):
        lines += ["[[rows]]", 'note = "A4"', f'holes = "{case.fingering}"', f"register = {register}"]
    return "\n".join(lines) + "\n"


def sound_ratio() -> float:
    """Speed of sound in the fields over that of the designs' air: frequencies are proportional to it."""
    return SOUND / 1000 / float(played_air(20.0, 0.0, 101325.0, 0.0).c)
