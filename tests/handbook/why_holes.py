"""Pictures and figures of the page why-holes: what one hole does, and two or three together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tests.handbook.bench import ADDED, BORE, LENGTH, MM, WALL, Floats, along, cents, one, plain, played
from tests.handbook.drawing import BLUE, GREY, INK, PALE, WOOD, Drawing, Frame, tube
from tests.handbook.why_cents import doubts

PLACE = 0.270
"""m: the hole that most pictures are about."""
SHOWN = 1150.0
PLACES = np.linspace(0.09, 0.335, 30)
WIDTHS = np.linspace(1.5, 12.0, 22)


def _rise(holes: list[tuple[float, float]], register: int = 1) -> Floats:
    """Cents above the closed tube's own note of that register, for one hole each."""
    return cents(played([plain(hole) for hole in holes], "O", register), one(plain(), "", register))


def by_place() -> str:
    """The note by the hole's place, for three widths."""
    drawing = Drawing("What a hole adds to the note, by its place, for three widths", 276)
    frame = Frame(drawing, (90, 340), (0, 850), high=200, wide=370)
    frame.scales((100, 150, 200, 250, 300, 340), (0, 200, 400, 600, 800), "hole, mm from the sounding edge",
                 "cents above all closed")  # fmt: skip
    half = LENGTH / 2 / MM
    drawing.line(frame.px([half, half]), [30, 230], PALE, 1, "4 3")
    drawing.text(float(frame.px([half])[0]) + 5, 226, "half way", colour=GREY)
    string = cents(LENGTH + ADDED, PLACES + ADDED)
    seen = string < 850
    frame.curve(PLACES[seen] / MM, string[seen], "", GREY, "4 3", wide=1.2)
    drawing.text(*frame.spot(213, 700), "as on a string", colour=GREY)
    for wide, colour in ((9, WOOD), (7, BLUE), (5, INK)):
        rise = _rise([(place, wide * MM) for place in PLACES])
        frame.curve(PLACES / MM, rise, "", colour)
        drawing.text(*frame.spot(140, float(rise.max()) + 18), f"{wide} mm", align="middle", colour=colour)
    return drawing.svg()


def by_width() -> str:
    """The note by the hole's width: steep while it is narrow."""
    drawing = Drawing("What a hole adds to the note, by its width", 246)
    frame = Frame(drawing, (0, 12), (0, 350))
    frame.scales((0, 2, 4, 6, 8, 10, 12), (0, 100, 200, 300), "width, mm", "cents above all closed")
    xs = np.concatenate([[0.0], WIDTHS])
    frame.curve(xs, np.concatenate([[0.0], _rise([(PLACE, wide * MM) for wide in WIDTHS])]), "low note")
    second = _rise([(PLACE, wide * MM) for wide in WIDTHS], 2)
    frame.curve(xs, np.concatenate([[0.0], second]), "its octave", BLUE, "5 3", shift=12)
    return drawing.svg()


def windows() -> str:
    """The pressure along the tube with a wide hole and with a narrow one."""
    drawing = Drawing("Pressure along the tube with one hole open, wide and narrow", 300)
    left = 40.0
    for row, (wide, colour) in enumerate(((10, WOOD), (4, BLUE))):
        middle = 116 + 140 * row
        held = along(plain((PLACE, wide * MM)), "O")
        tube(drawing, left, middle, SHOWN, LENGTH, BORE, WALL, [(PLACE, wide * MM, False)])
        drawing.line([left, left + LENGTH * SHOWN], [middle - 26, middle - 26], PALE)
        drawing.line(left + held.x * SHOWN, middle - 26 - 60 * held.pressure, colour, 2.5)
        at = left + PLACE * SHOWN
        drawing.line([at, at], [middle - 96, middle - 26], GREY, 1, "2 3")
        rise = float(cents(held.frequency, one(plain())))
        drawing.text(left + LENGTH * SHOWN + 8, middle - 44, f"{wide} mm wide", colour=colour)
        drawing.text(left + LENGTH * SHOWN + 8, middle - 28, f"+{rise:.0f} cents", colour=colour)
        left_over = float(held.pressure[np.searchsorted(held.x, PLACE)])
        drawing.text(at - 5, middle - 84, f"{left_over:.0%}".replace("%", " %"), align="end", colour=GREY)
    return drawing.svg()


THREE = (0.220, 0.250, 0.280)


def _three(wide: float) -> tuple[tuple[float, float], ...]:
    return tuple((place, wide * MM) for place in THREE)


def crossed(widths: Sequence[float] | Floats, fingering: str) -> Floats:
    """(N,) cents that closing holes below the open one lowers the note."""
    flutes = [plain(*_three(wide)) for wide in widths]
    return cents(played(flutes, fingering), played(flutes, "OOO"))


CROSSED = np.linspace(3.0, 11.0, 9)


def cross() -> str:
    """What a cross-fingering lowers, by the width of the holes."""
    drawing = Drawing("What a cross-fingering lowers the note, by the width of the holes", 246)
    frame = Frame(drawing, (3, 11), (-160, 0))
    frame.scales((3, 5, 7, 9, 11), (0, -40, -80, -120, -160), "width of the holes, mm", "cents", signed=True)
    for fingering, colour in (("OXO", WOOD), ("OXX", BLUE)):
        lowered = crossed(CROSSED, fingering)
        frame.curve(CROSSED, lowered, "", colour)
        end = frame.spot(11, float(lowered[-1]))
        for place, letter in enumerate(fingering):
            drawing.ring(end[0] + 14 + 15 * place, end[1], 11, "#ffffff" if letter == "O" else INK)
    return drawing.svg()


UNDER = np.linspace(0.0, 3.0, 7)


def undercut() -> str:
    """What undercutting raises, low note and octave."""
    drawing = Drawing("What undercutting a hole of 7 mm raises", 246)
    frame = Frame(drawing, (0, 3), (0, 40))
    frame.scales((0, 1, 2, 3), (0, 10, 20, 30, 40), "wider at the bore, mm", "cents sharper")
    flutes = [plain((PLACE, 7 * MM), undercut=under * MM) for under in UNDER]
    for register, name, colour, dash in ((1, "low note", WOOD, ""), (2, "its octave", BLUE, "5 3")):
        notes = np.array([one(flute, "O", register) for flute in flutes])
        frame.curve(UNDER, cents(notes, notes[0]), name, colour, dash)
    return drawing.svg()


FINAL = 8.0
"""mm: the width that the hole of that picture comes to in the end."""


def safe_pilot() -> float:
    """mm: the widest hole that is still flat if the note comes out two deviations sharper than foretold."""
    rises = _rise([(PLACE, wide * MM) for wide in WIDTHS])
    wanted = float(_rise([(PLACE, FINAL * MM)])[0])
    return float(np.interp(wanted - 2 * doubts()[1], rises, WIDTHS))


def pilot() -> str:
    """Why the first hole is narrow: the note's band of doubt has to stay under the wanted one."""
    drawing = Drawing(
        "How wide the first hole may be: its note and its doubt, and the note that is wanted", 256
    )
    frame = Frame(drawing, (4, 10), (100, 340), high=180)
    frame.scales((4, 5, 6, 7, 8, 9, 10), (150, 200, 250, 300), "width, mm", "cents above all closed")
    seen = WIDTHS[(WIDTHS >= 4) & (WIDTHS <= 10)]
    rise = _rise([(PLACE, wide * MM) for wide in seen])
    doubt = 2 * doubts()[1]
    drawing.area(
        np.concatenate([frame.px(seen), frame.px(seen)[::-1]]),
        np.concatenate([frame.py(rise + doubt), frame.py(rise - doubt)[::-1]]),
    )
    frame.curve(seen, rise)
    wanted = float(_rise([(PLACE, FINAL * MM)])[0])
    frame.curve([4, 10], [wanted, wanted], "", BLUE, "5 3", wide=1.5)
    drawing.text(frame.left + 4, float(frame.py([wanted])[0]) - 6, "the note that is wanted", colour=BLUE)
    for wide, words, side in ((safe_pilot(), "begin here", -1), (FINAL, "end near here", 1)):
        x, y = frame.spot(wide, wanted)
        drawing.line([x, x], [y, frame.top + frame.high], INK, 1.2, "2 3")
        drawing.text(x + 5 * side, frame.top + frame.high - 8, words, align="end" if side < 0 else "start")
    return drawing.svg()


def pictures() -> dict[str, str]:
    """Every picture of the page."""
    return {
        "hole-by-place": by_place(), "hole-by-width": by_width(), "windows": windows(), "cross": cross(),
        "undercut": undercut(), "pilot": pilot(),
    }  # fmt: skip


def phrases() -> tuple[str, ...]:
    """Every figure of the page, in its words."""
    string = float(cents(LENGTH + ADDED, PLACE + ADDED))
    five, seven = (float(_rise([(PLACE, wide * MM)])[0]) for wide in (5, 7))
    upper, half, lower = (float(_rise([(place, 5 * MM)])[0]) for place in (0.110, 0.170, 0.230))
    narrow, wide = (_rise([(PLACE, (at - 0.25) * MM), (PLACE, (at + 0.25) * MM)]) for at in (4.0, 9.0))
    thin, thick = (
        float(cents(one(plain((PLACE, 7 * MM), wall=wall * MM), "O"), one(plain(wall=wall * MM))))
        for wall in (2, 6)
    )
    higher = _rise([(PLACE - 0.001, 7 * MM), (PLACE, 7 * MM)])
    small, large = along(plain((PLACE, 4 * MM)), "O"), along(plain((PLACE, 10 * MM)), "O")
    left = [float(held.pressure[np.searchsorted(held.x, PLACE)]) for held in (large, small)]
    low, octave = (
        float(
            cents(one(plain((PLACE, 7 * MM), undercut=2 * MM), "O", r), one(plain((PLACE, 7 * MM)), "O", r))
        )
        for r in (1, 2)
    )
    one_below, two_below = (-crossed((8, 4), fingering) for fingering in ("OXO", "OXX"))
    return (
        (
            f"A string stopped there would rise {string:.0f} cents; a hole of 7 mm raises the flute by "
            f"{seven:.0f}, one of "
            f"5 mm by {five:.0f}"
        ),
        (
            f"a hole of 5 mm adds {lower:.0f} cents at 230 mm, {half:.0f} half way, "
            f"and at 110 mm only {upper:.0f}"
        ),
        f"{higher[0] - higher[1]:.1f} cents for every millimetre toward the mouth",
        (
            f"half a millimetre at 4 mm is worth {narrow[1] - narrow[0]:.0f} cents, at 9 mm only "
            f"{wide[1] - wide[0]:.0f}"
        ),
        f"a hole of 7 mm adds {thin:.0f} cents in a wall of 2 mm and {thick:.0f} in one of 6 mm",
        f"{left[0]:.0%} of its greatest at a hole of 10 mm, and {left[1]:.0%} at one of 4 mm".replace(
            "%", " %"
        ),
        (
            f"with holes of 8 mm the one closed below lowers the note by {one_below[0]:.0f} cents, with "
            f"holes of 4 mm "
            f"by {one_below[1]:.0f}; two closed below by {two_below[0]:.0f} and {two_below[1]:.0f}"
        ),
        f"2 mm wider at the bore raise a hole of 7 mm by {low:.0f} cents, and its octave by {octave:.0f}",
        f"± {doubts()[1]:.0f} cents",
        f"a hole of {FINAL:.0f} mm in the end is begun with {safe_pilot():.1f} mm, to be surely flat",
    )
