"""Pictures and figures of the page why-cents: the cent, beats, and what a ± means."""

from __future__ import annotations

import tomllib
from functools import cache

import numpy as np

import scaledesign
from scaledesign.locations import EXAMPLES, SCALES
from scaledesign.model.document import Design
from scaledesign.model.scale import parse_degree
from scaledesign.solver.problem import CENT
from scaledesign.solver.resonance import resonances
from scaledesign.solver.sampling import drawn
from tests.handbook.bench import Floats, cents
from tests.handbook.drawing import BLUE, GREY, INK, TINT, WOOD, Drawing, Frame
from tests.solver.test_uncertainty import lowered

A4 = 440.0
ROW = 3
"""Of the example: D5."""


def ruler() -> str:
    """A semitone in cents, and in hertz at two heights."""
    drawing = Drawing("A semitone in cents, and in hertz low and high", 150)
    left, wide = 40.0, 440.0
    for row, (low, name) in enumerate(((220.0, "A3"), (440.0, "A4"), (880.0, "A5"))):
        y = 34 + 44 * row
        drawing.line([left, left + wide], [y, y], INK, 1.5)
        for mark in range(0, 101, 10):
            x = left + wide * mark / 100
            drawing.line([x, x], [y - (6 if mark % 50 else 10), y], INK)
            if mark in (0, 50, 100):
                hertz = low * 2 ** (mark / 1200)
                side = {0: "start", 50: "middle", 100: "end"}[mark]
                drawing.text(x, y + 16, f"{hertz:.1f} Hz", align=side, colour=BLUE)
        drawing.text(left - 8, y + 4, name, align="end", colour=WOOD)
    for mark in (0, 50, 100):
        drawing.text(
            left + wide * mark / 100, 18, f"{mark} c" if mark else "0 cents", align="middle", colour=GREY
        )
    return drawing.svg()


def beats() -> str:
    """Two notes that are a few hertz apart, heard together."""
    drawing = Drawing("How loud 440 Hz and 443 Hz are together", 130)
    frame = Frame(drawing, (0, 1), (-1, 1), left=40, top=30, wide=440, high=70)
    t = np.linspace(0, 1, 201)
    loud = np.abs(np.cos(np.pi * 3.0 * t))
    drawing.area(np.concatenate([frame.px(t), frame.px(t)[::-1]]),
                 np.concatenate([frame.py(loud), frame.py(-loud)[::-1]]), TINT)  # fmt: skip
    frame.curve(t, loud)
    frame.curve(t, -loud)
    for mark in (0, 1):
        drawing.text(
            float(frame.px([mark])[0]), 122, f"{mark} s", align="end" if mark else "start", colour=GREY
        )
    drawing.text(40, 20, "440 Hz and 443 Hz together: three beats a second", colour=GREY)
    return drawing.svg()


@cache
def _flutes() -> tuple[Design, Design]:
    """The example before and after its bare tube was blown."""
    design = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    return design, scaledesign.calibrate(design, bare=["A4 -12"]).design


@cache
def doubts() -> tuple[float, float]:
    """± of D5, cents: before any blowing, and after the bare tube was blown."""
    before, after = (float(scaledesign.predict(design).uncertainty[ROW]) for design in _flutes())
    return before, after


@cache
def made(count: int = 400) -> Floats:
    """Cents by which D5 is off in so many flutes drawn from the doubts, before any blowing."""
    problem = lowered(_flutes()[0])
    flutes = drawn(problem, count=count, seed=5)
    middle = resonances(problem.flutes, problem.fingerings)
    found = resonances(flutes.flutes, problem.fingerings, near=middle)
    off = CENT * np.log(found.frequency / middle.frequency) + flutes.left_out
    return np.asarray(off[:, ROW])


def plus_minus() -> str:
    """How flutes made alike scatter, before and after the bare tube is blown."""
    drawing = Drawing(
        "Where D5 comes out in flutes made alike: before the bare tube is blown, and after", 246
    )
    before, after = doubts()
    frame = Frame(drawing, (-150, 150), (0, 1), wide=420)
    xs = np.linspace(-150, 150, 121)
    frame.scales((-150, -100, -50, 0, 50, 100, 150), (), "cents off", "how often")
    drawing.line([frame.left, frame.left + frame.wide], frame.py([0, 0]), GREY)
    for spread, colour, tint in ((before, WOOD, TINT), (after, BLUE, "#dce8f2")):
        top = 0.98 * after / spread
        inner = np.linspace(-spread, spread, 41)
        drawing.area(np.concatenate([frame.px(inner), frame.px([spread, -spread])]),
                     np.concatenate([frame.py(top * np.exp(-((inner / spread) ** 2) / 2)), frame.py([0, 0])]),
                     tint)  # fmt: skip
        frame.curve(xs, top * np.exp(-((xs / spread) ** 2) / 2), "", colour)
    drawing.text(*frame.spot(-145, 0.14), f"before: ± {before:.0f}", colour=WOOD)
    drawing.text(*frame.spot(22, 0.8), f"after: ± {after:.0f}", colour=BLUE)
    return drawing.svg()


def pictures() -> dict[str, str]:
    """Every picture of the page."""
    return {"cents": ruler(), "beats": beats(), "plus-minus": plus_minus()}


def phrases() -> tuple[str, ...]:
    """Every figure of the page, in its words."""
    before, after = doubts()
    within = float((np.abs(made()) <= before).mean())
    twice = float((np.abs(made()) <= 2 * before).mean())
    fifth = tomllib.loads((SCALES / "just-pentatonic-minor.toml").read_text("utf-8"))["scale"]["degrees"]
    assert "3/2" in fifth
    pure = float(parse_degree("3/2"))
    third = float(parse_degree("5/4"))
    return (
        (
            f"at A3 it is {220 * 2 ** (1 / 1200) - 220:.2f} Hz, at A4 {A4 * 2 ** (1 / 1200) - A4:.2f} Hz, "
            f"at A5 "
            f"{880 * 2 ** (1 / 1200) - 880:.2f} Hz"
        ),
        f"5 cents at A4 are {A4 * 2 ** (5 / 1200) - A4:.1f} Hz",
        f"443 Hz against 440 Hz is {cents(443.0, A4):.0f} cents sharp, and beats three times a second",
        (
            f"A pure fifth, 3/2, is {pure:.0f} cents, {pure - 700:.0f} more than seven semitones; a pure "
            f"third, 5/4, is "
            f"{third:.0f}, {400 - third:.0f} less than four"
        ),
        f"± {before:.0f} cents before anything was blown and ± {after:.0f} after the bare tube",
        f"Of {len(made())} flutes that the program made up within these doubts {within:.0%} came out "
        f"within the ± and "
        f"{twice:.0%} within twice".replace("%", " %"),
    )
