"""The web page as a file: whole, safe, the same every time, and true to the flute."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from itertools import combinations
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import scaledesign
from scaledesign.errors import EditError
from scaledesign.paper.chart.content import Chart, ChartHole, ChartTrill, chart_of
from scaledesign.paper.chart.web import web_page
from scaledesign.paper.chart.web_fingers import BETWEEN, plan_of
from scaledesign.paper.choices import PaperChoices

EXAMPLES = sorted((Path(scaledesign.__file__).parent / "examples").glob("*.toml"))
USUAL = PaperChoices()
EMPTY = {"meta", "img", "input", "br"}
HOSTILE = "\"><script>alert(1)</script><img src=x onerror=alert(2)>' & </title></style>$css"


@cache
def chart(name: str) -> Chart:
    (file,) = [file for file in EXAMPLES if file.stem == name]
    design = scaledesign.load(file)
    return chart_of(design, scaledesign.predict(design))


class Read(HTMLParser):
    """A page's elements, and what stands in some of them. An element that is left open fails."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: dict[str, list[str]] = {}
        self._open: list[str] = []
        self.feed(page.decode())
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(set(names)) == len(names)
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in EMPTY:
            self._open.append(tag)
            self.texts.setdefault(tag, []).append("")

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.handle_endtag(tag) if tag not in EMPTY else None

    def handle_data(self, data: str) -> None:
        for tag in self._open:
            self.texts[tag][-1] += data

    def of(self, tag: str, part: str = "") -> list[dict[str, str]]:
        return [
            given
            for name, given in self.elements
            if name == tag and part in [*given.get("class", "").split(), ""]
        ]


def read(chart: Chart, **choices: object) -> Read:
    return Read(web_page(chart, replace(USUAL, **choices)))


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_every_example_is_whole_in_one_file(file: Path) -> None:
    held = chart(file.stem)
    page = web_page(held, USUAL)
    assert page == web_page(held, USUAL)
    assert len(page) < 60_000
    assert b"http:" not in page
    assert b"https:" not in page
    seen = Read(page)
    assert not seen.of("link") + seen.of("iframe") + seen.of("object")
    names = [given["id"] for _, given in seen.elements if "id" in given]
    assert len(set(names)) == len(names)
    wanted = {given["href"][1:] for given in seen.of("use")}
    wanted |= {given["aria-labelledby"] for _, given in seen.elements if "aria-labelledby" in given}
    assert wanted <= set(names)
    notes = seen.of("button", "note")
    assert [float(note["data-hz"]) for note in notes] == pytest.approx(
        [n.frequency for n in held.notes], rel=1e-6
    )
    assert len(seen.of("svg", "staff")) == len(held.notes)
    assert len(seen.of("svg", "way")) == sum(len(note.ways) for note in held.notes)
    closed = sum(way.states.count("X") + way.states.count("H") for note in held.notes for way in note.ways)
    keys = 2
    assert len([1 for tag in ("circle", "ellipse", "path") for _ in seen.of(tag, "shut")]) == closed + keys


def test_only_our_script_and_our_style_are_let_in() -> None:
    page = web_page(chart("marsh-wren"), USUAL).decode()
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for part, tag in (("style-src", "style"), ("script-src", "script")):
        (inside,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{part} 'sha256-{digest}'" in policy
    assert not re.search(r"<[^>]*\s(style|on\w+)=", page)


def test_a_hostile_name_is_a_name() -> None:
    held = replace(chart("dust-lark"), name=HOSTILE, scale=HOSTILE, left_out=(HOSTILE,))
    seen = read(held, maker=HOSTILE, picture=b"\xff\xd8\xff")
    assert len(seen.of("script")) == len(seen.of("style")) == 1
    assert [given["src"] for given in seen.of("img")] == ["data:image/jpeg;base64,/9j/"]
    assert seen.texts["h1"] == [HOSTILE]
    assert seen.texts["title"] == [f"{HOSTILE}: fingering chart"]
    assert seen.of("img")[0]["alt"] == HOSTILE
    assert not [1 for _, given in seen.elements for name in given if name.startswith("on")]


@given(name=st.text(st.characters(exclude_categories=["Cs"]), max_size=30))
def test_any_name_can_be_shown(name: str) -> None:
    seen = read(replace(chart("marsh-wren"), name=name, notes=()))
    assert len(seen.of("script")) == 1
    shown = seen.texts["h1"][0]
    nameless = shown == "Flute in A"
    assert nameless or not {"\n", "\x00", "\u202e"} & set(shown)
    assert [sign for sign in shown if sign.isalnum()] == [
        sign for sign in (shown if nameless else name) if sign.isalnum()
    ]


def test_a_name_from_right_to_left_and_signs_of_many_parts_stay() -> None:
    name = "שלום & 👩\u200d🔬"
    assert read(replace(chart("marsh-wren"), name=name)).texts["h1"] == [name]


def test_words_say_what_the_card_shows() -> None:
    labels = [given["aria-label"] for given in read(chart("dust-lark")).of("button", "note")]
    assert labels[0] == "G 4. All holes closed; blow gently."
    assert labels[1] == (
        "A flat 4, between the notes of the scale. Thumb closed; upper hand all closed; "
        "lower hand: first closed, second closed, third partly open; blow gently."
    )
    assert labels[10] == (
        "G 5. All holes open; blow gently. Or: all holes closed; blow harder; plays sharp, ease it."
    )


def test_notes_have_the_names_that_were_chosen() -> None:
    seen = read(chart("grey-heron"), names="german")
    first = seen.of("button", "note")[0]
    assert first["aria-label"].startswith("Fis4, F sharp 4. ")
    assert "in Fis4, pentatonic minor" in seen.texts["p"]
    assert "Drone Fis4" in seen.texts["button"][1]
    numbers = read(chart("grey-heron"), names="numbers")
    assert "Drone 1" in numbers.texts["button"][1]
    assert "in F♯4, pentatonic minor" in numbers.texts["p"]


def test_what_was_not_chosen_is_not_there() -> None:
    held = chart("reed-bunting")
    low = read(held, registers=False, alternates=False)
    assert len(low.of("svg", "way")) == len(low.of("button", "note")) == 12
    assert low.texts["h2"][1:] == ["Notes"]
    assert "breath" not in str(low.elements)
    assert not any("blow" in given["aria-label"] for given in low.of("button", "note"))


def test_a_trill_shows_what_moves_and_plays_both_notes() -> None:
    held = chart("reed-bunting")
    low, high = held.notes[0], held.notes[2]
    trill = ChartTrill(low.note, high.note, low.ways[0].states, high.ways[0].states, 1, ("R3",))
    assert not read(replace(held, trills=(trill,))).of("button", "pair")
    seen = read(replace(held, trills=(trill,)), trills=True)
    (card,) = seen.of("button", "pair")
    assert card["aria-label"] == (
        "Trill from G 4 to A 4. All holes closed; move the third finger of the lower hand; blow gently."
    )
    assert (float(card["data-hz"]), float(card["data-high"])) == pytest.approx((392.0, 440.0), abs=0.01)


def test_cents_are_told_where_they_can_be_heard() -> None:
    held = chart("marsh-wren")
    seen = read(replace(held, notes=(replace(held.notes[0], off=-14.2), replace(held.notes[1], off=2.0))))
    first, second = seen.of("button", "note")
    assert first["aria-label"].startswith("A 4, 14 cents lower. ")
    assert "cents" not in second["aria-label"]
    assert [text.strip() for text in seen.texts["small"] if text.strip()] == ["−14", "−14"]  # key and card
    assert not read(replace(held, notes=held.notes[:2])).of("small", "off")


def test_notes_clearly_off_are_told_to_be_helped() -> None:
    """D6 of the reed bunting is predicted 46 cents flat; no other note is off by more than 20."""
    seen = read(chart("reed-bunting"))
    page = web_page(chart("reed-bunting"), USUAL).decode()
    assert page.count("↑") == 2  # key and card
    assert '<sub>6</sub><span class="help" aria-hidden="true">↑</span>' in page
    assert "↓" not in page
    assert "↑ flat: lift it" in seen.texts["li"]
    labels = [given["aria-label"] for given in seen.of("button", "note")]
    (told,) = (label for label in labels if "plays" in label)
    assert told == (
        "D 6. Upper hand: first closed, second closed, third open; lower hand all open; blow harder; "
        "plays flat, lift it."
    )


def test_the_key_says_how_far_to_lift_and_or_how_to_blow() -> None:
    seen = read(chart("marsh-wren"))
    assert "partly open: just a crack" in [text.strip() for text in seen.texts["li"]]
    assert '<span class="or">or, blown harder</span>' in web_page(chart("marsh-wren"), USUAL).decode()
    dust = web_page(chart("dust-lark"), USUAL).decode()
    assert dust.count('<span class="or">or</span>') == 2
    assert dust.count('<span class="or">or, blown harder<span class="help"') == 1


def test_the_page_says_that_notes_sound_as_they_are_meant_to() -> None:
    hint = read(chart("marsh-wren")).texts["p"]
    assert any("hear it as it is meant to sound" in text for text in hint)


def test_a_flute_without_a_name_is_called_by_its_key() -> None:
    bare = replace(chart("grey-heron"), name="")
    seen = read(bare, names="german")
    assert seen.texts["h1"] == ["Flute in Fis"]
    assert seen.texts["title"] == ["Flute in Fis: fingering chart"]
    assert seen.texts["p"][0] == "pentatonic minor"
    assert read(bare, names="numbers").texts["h1"] == ["Flute in F♯"]


def test_a_flute_without_notes_or_holes_says_so() -> None:
    seen = read(replace(chart("marsh-wren"), notes=(), holes=()))
    assert "There is no note yet that this flute would play as it is written." in seen.texts["p"]
    assert [given["id"] for given in seen.of("button")] == ["drone"]
    lost = read(replace(chart("marsh-wren"), notes=(), left_out=("A4", "<b>")))
    assert "Left out, because this flute does not play them: A4, <b>." in lost.texts["p"]


def test_a_picture_of_an_unknown_kind_is_refused() -> None:
    with pytest.raises(EditError, match="PNG, JPEG or SVG"):
        read(chart("marsh-wren"), picture=b"GIF89a")


def test_colours_can_be_read() -> None:
    """Contrast of at least 4.5 for text (WCAG 2.2, 1.4.3), 3 for what the drawings are made of (1.4.11)."""
    css = web_page(chart("marsh-wren"), USUAL).decode()
    schemes = re.findall(r"--paper: (#\w+); --ink: (#\w+); --grey: (#\w+); .*?--faint: (#\w+)", css)
    assert len(schemes) == 3  # light, dark, print
    for paper, ink, grey, faint in schemes:
        assert contrast(ink, paper) > 12
        assert contrast(grey, paper) > 4.5
        assert contrast(ink, faint) > 4.5


def contrast(one: str, other: str) -> float:
    """As WCAG 2.2 defines it."""
    dark, light = sorted(map(luminance, (one, other)))
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


FINGERS = ("LT", "L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")


@st.composite
def flutes(draw: st.DrawFn) -> tuple[list[ChartHole], float]:
    """Holes at least 14 mm apart, 4 to 13 mm wide."""
    fingers = FINGERS[draw(st.integers(0, 1)) : draw(st.integers(3, 9))]
    at, holes = draw(st.floats(0.1, 0.3)), []
    for finger in fingers:
        across = draw(st.floats(0.004, 0.013))
        side = 180.0 if finger == "LT" else draw(st.sampled_from([0.0, 0.0, 25.0, -30.0]))
        holes.append(ChartHole(finger, at, draw(st.floats(0.004, 0.013)), across, side))
        at += draw(st.floats(0.014, 0.05))
    return holes, at + draw(st.floats(0.005, 0.2))


@given(flutes())
def test_holes_are_drawn_as_far_apart_and_as_wide_as_they_are(flute: tuple[list[ChartHole], float]) -> None:
    holes, length = flute
    plan = plan_of(holes, length)
    tops = [spot.y - plan.spots[0].y for spot in plan.spots]
    true = [hole.at - holes[0].at for hole in holes]
    assert tops == pytest.approx([tops[-1] / true[-1] * at for at in true])
    sizes = {
        round(spot.tall / hole.diameter, 3)
        for spot, hole in zip(plan.spots, holes, strict=True)
        if spot.tall > 3
    }
    assert len(sizes) <= 1
    radius = {spot: max(spot.tall, spot.wide) for spot in plan.spots}
    for one, other in combinations(plan.spots, 2):
        assert hypot(one.x - other.x, one.y - other.y) >= radius[one] + radius[other] + min(BETWEEN, 1.0)
    for spot in plan.spots:
        assert radius[spot] <= spot.x <= plan.width - radius[spot]
        assert radius[spot] <= spot.y <= plan.height - radius[spot]


def test_thumb_beside_and_hands_parted() -> None:
    held = chart("dust-lark")
    plan = plan_of(held.holes, held.length)
    assert [spot.x < plan.left for spot in plan.spots] == [True, *[False] * 6]
    (_, _, upper_end), (_, lower_begin, _) = plan.hands
    assert upper_end < lower_begin


def test_large_print_is_larger() -> None:
    held = chart("marsh-wren")
    assert Read(web_page(held, replace(USUAL, large=True))).of("html") == [{"lang": "en", "class": "large"}]


def test_the_chart_asks_for_no_script() -> None:
    """What needs the script is hidden until the script shows it."""
    page = web_page(chart("dust-lark"), USUAL).decode()
    assert re.search(r'id="player"[^>]* hidden>', page)
    assert re.search(r'id="hint" hidden>', page)


@pytest.mark.parametrize(
    ("names", "keys"),
    [("english", "acdegacde"), ("german", "acdegacde"), ("french", "ldrmsldrm"), ("portuguese", "ldrmsldrm"),
     ("numbers", "134571345"), ("do-re-mi", "dmfstdmfs")],
)  # fmt: skip
def test_keys_go_to_notes_as_they_are_called(names: str, keys: str) -> None:
    held = chart("marsh-wren")
    scale = replace(held, notes=tuple(note for note in held.notes if note.role == "scale"))
    called = read(scale, names=names).of("button", "note")
    assert "".join(given["data-key"] for given in called) == keys
