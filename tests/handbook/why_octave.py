"""Pictures and figures of the page why-octave: whether the second octave speaks, and how true it is."""

from __future__ import annotations

import numpy as np

from scaledesign.physics import jet, lattice
from scaledesign.solver.problem import flutes_of
from tests.handbook.bench import BORE, LENGTH, MM, WALL, along, cents, firmness, one, plain, played, speed
from tests.handbook.drawing import BLUE, GREY, INK, PALE, WOOD, Drawing, Frame, tube

BORES = np.linspace(9.0, 30.0, 12)
ROW = (0.200, 0.228, 0.256, 0.284, 0.312)
"""m: five open holes, 28 mm apart."""
SHOWN = 1150.0


def bores() -> str:
    """How firm the low note and its octave are, by the bore."""
    drawing = Drawing("How firmly a tube of 340 mm holds its low note and its octave, by the bore", 246)
    frame = Frame(drawing, (8, 30), (0, 120))
    frame.scales((10, 15, 20, 25, 30), (0, 40, 80, 120), "bore, mm", "firmness")
    for register, name, colour, at in (
        (1, "the low note", WOOD, (16.5, 42)),
        (2, "its octave", BLUE, (12.5, 76)),
    ):
        held = [firmness(plain(bore=bore * MM), "", register) for bore in BORES]
        frame.curve(BORES, held, "", colour)
        drawing.text(*frame.spot(*at), name, colour=colour)
    return drawing.svg()


WIDTHS = np.linspace(3.0, 12.0, 13)


def stretch(wide: float, mouth: float = 0.030) -> float:
    """Cents by which the octave over one open hole is wider than twice the low note."""
    flute = plain((0.270, wide * MM), added=mouth)
    return float(cents(one(flute, "O", 2), 2 * one(flute, "O")))


def true_octave() -> str:
    """How true the octave is, by the width of the hole."""
    drawing = Drawing("How true the octave of a note is, by the width of its hole, for three mouths", 246)
    frame = Frame(drawing, (3, 12), (-40, 20), wide=360)
    frame.scales(
        (3, 6, 9, 12), (-40, -20, 0, 20), "width of the hole, mm", "cents off the octave", signed=True
    )
    for mouth, colour in ((0.040, INK), (0.030, WOOD), (0.020, BLUE)):
        flutes = [plain((0.270, wide * MM), added=mouth) for wide in WIDTHS]
        off = cents(played(flutes, "O", 2), 2 * played(flutes, "O"))
        frame.curve(WIDTHS, off, f"mouth {mouth / MM:.0f} mm", colour)
    return drawing.svg()


def leaking() -> str:
    """The pressure along a tube with a row of open holes, low note and third register."""
    drawing = Drawing("Pressure along a tube with five open holes: a low note and a high one", 290)
    left = 40.0
    for row, (register, colour) in enumerate(((1, WOOD), (3, BLUE))):
        middle = 112 + 136 * row
        held = along(plain(*((place, 6 * MM) for place in ROW)), "OOOOO", register)
        holes = [(place, 6 * MM, False) for place in ROW]
        tube(drawing, left, middle, SHOWN, LENGTH, BORE, WALL, holes)
        drawing.line([left, left + LENGTH * SHOWN], [middle - 26, middle - 26], PALE)
        drawing.line(left + held.x * SHOWN, middle - 26 - 60 * held.pressure, colour, 2.5)
        drawing.text(left + LENGTH * SHOWN + 8, middle - 40, f"{held.frequency:.0f} Hz", colour=colour)
    drawing.text(left, 280, "the first hole ends the low note; the high one runs on to the foot", colour=GREY)
    return drawing.svg()


def cutoff(wide: float, wall: float = WALL, apart: float = 0.028) -> float:
    """Hz above which a row of open holes lets a note through."""
    values = (np.array([each]) for each in (BORE / 2, wide / 2 * MM, wall, apart))
    return float(lattice.cutoff(speed(plain()), *values)[0])


OPEN = np.linspace(3.0, 11.0, 17)


def cutoffs() -> str:
    """The cutoff by the width of the holes, for two walls."""
    drawing = Drawing("The cutoff of a row of open holes, by their width, for two walls", 246)
    frame = Frame(drawing, (3, 11), (500, 3000))
    frame.scales(
        (3, 5, 7, 9, 11), (500, 1000, 1500, 2000, 2500, 3000), "width of the holes, mm", "cutoff, Hz"
    )
    for wall, colour, shift in ((2, BLUE, 0), (4, WOOD, 0), (6, INK, 3)):
        frame.curve(OPEN, [cutoff(wide, wall * MM) for wide in OPEN], f"wall {wall} mm", colour, shift=shift)
    return drawing.svg()


def pictures() -> dict[str, str]:
    """Every picture of the page."""
    return {"firmness": bores(), "true-octave": true_octave(), "leaking": leaking(), "cutoff": cutoffs()}


def _share_past(register: int) -> float:
    """Pressure at the last open hole over that at the first."""
    held = along(plain(*((place, 6 * MM) for place in ROW)), "OOOOO", register)
    first, last = (held.pressure[np.searchsorted(held.x, place)] for place in (ROW[0], ROW[-1]))
    return float(last / first)


def phrases() -> tuple[str, ...]:
    """Every figure of the page, in its words."""
    narrow, wide = (
        [firmness(plain(bore=bore * MM), "", register) for register in (1, 2)] for bore in (10, 30)
    )
    rho = float(flutes_of(plain()).air.rho[0])
    low, high = 440.0, 880.0
    ask = [jet.needed_pressure(note, 5 * MM, rho) for note in (low, high)]
    octave = float(cents(one(plain(), "", 2), 2 * one(plain())))
    push = jet.sharper(firmness(plain()), 2.0)
    return (
        f"a bore of 10 mm holds the octave {narrow[1] / narrow[0]:.1f} times as firmly as the low note",
        f"One of 30 mm holds both as firmly ({wide[1] / wide[0]:.1f} times)",
        f"{LENGTH / (10 * MM):.0f} bores long, the wide one {LENGTH / (30 * MM):.0f}",
        f"With all closed the octave of the plain tube is {octave:.0f} cents wide",
        (
            f"over a hole of 5 mm it is {-stretch(5):.0f} cents narrow, over one of 12 mm {stretch(12):.0f} "
            f"cents wide"
        ),
        (
            f"a mouth that adds 20 mm makes that {-stretch(5, 0.020):.0f} and {-stretch(12, 0.020):.0f} "
            f"narrow, one that "
            f"adds 40 mm {-stretch(5, 0.040):.0f} narrow and {stretch(12, 0.040):.0f} wide"
        ),
        f"of the pressure at the first open hole {_share_past(1):.0%} is left at the last, in the third "
        f"register "
        f"{_share_past(3):.0%}".replace("%", " %"),
        f"{cutoff(6):.0f} Hz",
        (
            f"holes of 8 mm would have it at {cutoff(8):.0f} Hz, in a wall of 2 mm at "
            f"{cutoff(8, 2 * MM):.0f} Hz"
        ),
        f"A4 asks {ask[0]:.0f} Pa of a window 5 mm long, A5 {ask[1]:.0f} Pa",
        f"blown twice as hard the low note rises {push:.0f} cents",
    )
