"""Pictures and figures of the page why-length: what sets the pitch of a bare tube."""

from __future__ import annotations

import numpy as np

from tests.handbook.bench import ADDED, BORE, LENGTH, MM, WALL, along, cents, one, plain, played, speed
from tests.handbook.drawing import BLUE, GREY, INK, WOOD, Drawing, Frame, tube

SHOWN = 1150.0
"""Pixels a metre."""


def _steps() -> tuple[float, float, float, float]:
    """Hz: a tube that ends where it is cut; with its foot's air; with its walls; with its mouth."""
    bare = plain(added=0.0)
    return speed(bare) / (2 * LENGTH), one(bare, losses=False), one(bare), one(plain())


def foot_adds() -> float:
    """m that the air beyond the foot is worth."""
    bare = plain(added=0.0)
    return speed(bare) / (2 * one(bare, losses=False)) - LENGTH


def beyond() -> str:
    """The pressure along the tube, and where it would be nothing."""
    drawing = Drawing("Pressure along a bare tube, and how far beyond its ends it reaches", 210)
    left, middle = 76.0, 130.0
    held = along(plain())
    tube(drawing, left, middle, SHOWN, LENGTH, BORE, WALL)
    ends = (left - ADDED * SHOWN, left + (LENGTH + foot_adds()) * SHOWN)
    whole = np.linspace(ends[0], ends[1], 80)
    drawing.line(whole, 86 - 56 * np.sin(np.pi * (whole - ends[0]) / (ends[1] - ends[0])), GREY, 1, "4 3")
    drawing.line(left + held.x * SHOWN, 86 - 56 * held.pressure, BLUE, 2.5)
    drawing.text(left + 190, 24, "pressure, greatest in the middle", align="middle", colour=BLUE)
    for end, near, words in (
        (ends[0], left, "the mouth adds"), (ends[1], left + LENGTH * SHOWN, "the foot adds"),
    ):  # fmt: skip
        drawing.line([end, end], [80, 172], INK, 1, "2 3")
        drawing.line([near, near], [150, 172], INK, 1, "2 3")
        drawing.line([end, near], [168, 168], INK, 1.5)
        drawing.text(
            min(end, near) if end < near else max(end, near),
            186,
            words,
            align="start" if end < near else "end",
        )
    drawing.text(left, 202, f"{ADDED / MM:.0f} mm", align="end", colour=GREY)
    drawing.text(ends[1], 202, f"{foot_adds() / MM:.1f} mm", align="end", colour=GREY)
    drawing.text(
        left + LENGTH * SHOWN / 2, 168, f"{LENGTH / MM:.0f} mm from edge to foot", align="middle", colour=GREY
    )
    return drawing.svg()


def lower() -> str:
    """How much each thing lowers the note."""
    drawing = Drawing("What lowers the note of a bare tube, in cents", 190)
    steps = _steps()
    names = ("as long as it is cut", "and the air at the foot", "and the drag of the wall", "and the mouth")
    frame = Frame(drawing, (-200, 0), (0, 4), left=224, top=24, wide=236, high=120)
    for mark in (-200, -150, -100, -50, 0):
        column = float(frame.px([mark])[0])
        drawing.line([column, column], [24, 148], "#dddddd")
        drawing.text(column, 164, f"{mark}".replace("-", "−"), align="middle", colour=GREY)
    drawing.text(460, 182, "cents from the first", align="end", colour=GREY)
    for row, (name, step) in enumerate(zip(names, steps, strict=True)):
        y, x = 44 + 30 * row, float(frame.px([float(cents(step, steps[0]))])[0])
        drawing.text(160, y + 4, name, align="end")
        if row:
            before = float(frame.px([float(cents(steps[row - 1], steps[0]))])[0])
            drawing.line([before, x], [y, y], WOOD, 8)
        drawing.line([x, x], [y - 8, y + 8], INK, 2)
        drawing.text(
            x + 6 if row == 0 else x - 6, y + 4, f"{step:.0f} Hz", align="start" if row == 0 else "end"
        )
    return drawing.svg()


ROOMS = np.arange(5.0, 36.0, 2.5)


def warmth() -> str:
    """The note by the room, played warm and blown cold."""
    drawing = Drawing("The note of a tube by the warmth of the room", 246)
    frame = Frame(drawing, (5, 35), (-80, 40))
    at = one(plain())
    frame.scales(
        (5, 10, 15, 20, 25, 30, 35), (-80, -40, 0, 40), "room, °C", "cents from 22 °C, played", signed=True
    )
    frame.curve(ROOMS, cents(played([plain(room=room) for room in ROOMS]), at))
    still = cents(played([plain(room=room, breath=0.0) for room in ROOMS]), at)
    frame.curve(ROOMS, still, "", BLUE, "5 3")
    drawing.text(*frame.spot(7, -8), "warm with breath", colour=WOOD)
    drawing.text(*frame.spot(14, -66), "still air, as warm as the room", colour=BLUE)
    return drawing.svg()


def pictures() -> dict[str, str]:
    """Every picture of the page."""
    return {"beyond-the-ends": beyond(), "lower-and-lower": lower(), "warmth": warmth()}


def phrases() -> tuple[str, ...]:
    """Every figure of the page, in its words."""
    first, foot, walls, mouth = _steps()
    note = one(plain())
    longer = one(plain(added=ADDED + 5 * MM))
    cold, warm = one(plain(room=17.0)), one(plain(room=27.0))
    still = one(plain(breath=0.0))
    return (
        (
            f"a tube of {BORE / MM:.0f} mm with a wall of {WALL / MM:.0f} mm, {LENGTH / MM:.0f} mm from the "
            f"sounding edge "
            "to the foot, whose mouth adds 30 mm"
        ),
        f"Sound runs {speed(plain()):.0f} m in a second in the warm air of a flute that is played",
        f"{first:.0f} Hz",
        f"It plays {note:.0f} Hz, {-cents(note, first):.0f} cents lower",
        f"{foot_adds() / MM:.1f} mm beyond the cut, and lowers the note by {-cents(foot, first):.0f} cents",
        f"{foot_adds() / (BORE / 2):.1f} times the radius of the bore",
        f"another {-cents(walls, foot):.0f} cents",
        f"the largest part by far, {-cents(mouth, walls):.0f} cents",
        f"5 mm more lower the note by {-cents(longer, note):.0f} cents",
        (
            f"{-cents(cold, note):.0f} cents flatter in a room 5 °C cooler and {cents(warm, note):.0f} "
            f"cents sharper in one "
            "5 °C warmer"
        ),
        f"{-cents(still, note):.0f} cents flatter than a warm one",
    )
