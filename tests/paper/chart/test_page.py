"""The printed chart: everything on the page once, nothing over anything, holes as they are, in every look."""

from __future__ import annotations

import hashlib
import io
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

import scaledesign
from scaledesign.errors import EditError
from scaledesign.model.document import Finger, HoleState, Mouth
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.outputs.trills import chart_trills
from scaledesign.paper.chart.content import Chart, ChartHole, ChartNote, ChartTrill, Way, chart_of
from scaledesign.paper.chart.marks import Ellipse, Mark, Outline, Picture, Text
from scaledesign.paper.chart.page import SIDE, chart_marks, chart_pages, marks_pressed
from scaledesign.paper.chart.style_words import STYLE_WORDS
from scaledesign.paper.chart.styles import STYLES
from scaledesign.paper.chart_text import NO_NOTES
from scaledesign.paper.choices import PAPERS, Paper, PaperChoices

EXAMPLES = ("dust-lark", "grey-heron", "marsh-wren", "night-heron", "reed-bunting")
MM = 72 / 25.4
"""Points."""
Box = tuple[float, float, float, float]
"""Left, top, right, bottom, mm from the page's top left."""
DOT = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 6 4"><circle cx="3" cy="2" r="2"/></svg>'


@cache
def example(name: str) -> Chart:
    design = scaledesign.load(Path(scaledesign.__file__).parent / "examples" / f"{name}.toml")
    return chart_of(design, scaledesign.predict(design))


def made_up(
    fingers: str, notes: int, *, trills: int = 0, off: float = 0.0, mouth: Mouth = "duct", ways: int = 1
) -> Chart:
    """A chart of our own invention, chromatic from D4, with fingerings that mean nothing."""
    holes = tuple(
        ChartHole(
            finger=_finger(finger),
            at=0.15 + 0.021 * i + (0.02 if finger.startswith("R") else 0.0),
            diameter=0.006 + 0.001 * (i % 4),
            across=(0.006 + 0.001 * (i % 4)) * (1.4 if i == 1 else 1.0),
            side=180.0 if finger.endswith("T") else 30.0 if finger.endswith("4") else 0.0,
        )
        for i, finger in enumerate(fingers.split())
    )
    names = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"]
    made = []
    for k in range(notes):
        octave, place = divmod(k + 62, 12)
        note = parse_note(f"{names[place]}{octave - 1}")
        register = 1 + k * 3 // max(notes, 20)
        each = tuple(
            Way(_states(len(holes), k, w), register, 0.1 + 0.15 * (k % 4))
            for w in range(ways if k % 3 == 0 else 1)
        )
        cents = off * (k % 5 - 2)
        pitch = note_frequency(note, 442.0) * 2 ** (cents / 1200)
        made.append(ChartNote(note, cents, pitch, "scale" if k % 2 == 0 else "chromatic", each))
    moves = tuple(
        ChartTrill(
            low.note,
            high.note,
            low.ways[0].states,
            high.ways[0].states,
            low.register,
            tuple(
                hole.finger
                for hole, a, b in zip(holes, low.ways[0].states, high.ways[0].states, strict=True)
                if a != b
            ),
        )
        for low, high in list(pairwise(made))[:trills]
    )
    name = "A flute whose name is long, for its maker is fond of it and of long names too"
    return Chart(
        name, made[0].note, "", 442.0, 0.42, holes, tuple(made), ("F5", "523.3 Hz"), moves, mouth, 0.022
    )


def _finger(name: str) -> Finger:
    return name


def _states(holes: int, note: int, way: int) -> tuple[HoleState, ...]:
    letters: tuple[HoleState, ...] = ("X", "O", "H")
    return tuple(
        letters[(i * (note + 1) + way + note // 5) % (3 if (i + note) % 4 == 0 else 2)] for i in range(holes)
    )


ODD = {
    "five notes": made_up("L1 L2 R1 R2", 5),
    "no holes": made_up("", 3, mouth="rim"),
    "ten holes": made_up("LT L1 L2 L3 L4 RT R1 R2 R3 R4", 24, trills=6, mouth="transverse", ways=3),
    "sixty notes": made_up("LT L1 L2 L3 R1 R2 R3 R4", 60, off=7.0, mouth="notch", ways=2),
    "six holes": made_up("L1 L2 L3 R1 R2 R3", 26, trills=5, off=16.0),
}


def box(mark: Mark) -> Box:
    """Of everything but text, which only the press can measure."""
    if isinstance(mark, Ellipse):
        x, y = mark.rx + mark.line / 2, mark.ry + mark.line / 2
        return mark.x - x, mark.y - y, mark.x + x, mark.y + y
    if isinstance(mark, Picture):
        return mark.x, mark.y, mark.x + mark.width, mark.y + mark.height
    assert isinstance(mark, Outline)
    xs = [mark.x + x for x, _ in mark.points]
    ys = [mark.y + y for _, y in mark.points]
    return min(xs), min(ys), max(xs), max(ys)


def texts(pdf: bytes, page: int) -> list[tuple[Box, str]]:
    """Boxes of the text on a page of the PDF, as its reader finds them."""
    with pypdfium2.PdfDocument(pdf) as document:
        one = document[page]
        height = one.get_height()
        found = one.get_textpage()
        boxes = [found.get_rect(i) for i in range(found.count_rects())]
        return [
            ((left / MM, (height - top) / MM, right / MM, (height - bottom) / MM),
             found.get_text_bounded(left, bottom, right, top).strip())
            for left, bottom, right, top in boxes
        ]  # fmt: skip


def touch(one: Box, other: Box, least: float = 0.0) -> bool:
    """Whether two boxes are nearer than ``least`` mm."""
    return (
        one[0] < other[2] + least
        and other[0] < one[2] + least
        and one[1] < other[3] + least
        and other[1] < one[3] + least
    )


def around(outer: Box, inner: Box) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def all_in_order(chart: Chart, choices: PaperChoices) -> None:
    """Nothing beyond the margins, nothing over anything, every note once."""
    pages, pictures = chart_marks(chart, choices)
    (pdf,) = marks_pressed(chart, choices, pages, pictures, "pdf")
    width, height = (side * 1000 for side in PAPERS[choices.paper])
    # a leaning letter ends a little beyond its line, and so does the space at which a line is broken
    inside = (SIDE - 0.2, 12.0, width - SIDE + 0.7, height - 12.0)
    for number, page in enumerate(pages):
        written = texts(pdf, number)
        drawn = [(box(mark), mark) for mark in page if isinstance(mark, Ellipse | Picture | Outline)]
        for one in [b for b, _ in written] + [b for b, _ in drawn]:
            assert around(inside, one), one
        for (one, said), (other, also) in combinations(written, 2):
            assert not touch(one, other, -0.15), (said, also)
        for one, said in written:
            for other, mark in drawn:
                if isinstance(mark, Outline) and mark.closed and mark.fill is None and around(other, one):
                    continue  # a frame about a note
                assert not touch(one, other, -0.15), (said, mark)
        solid = [
            (b, m)
            for b, m in drawn
            if isinstance(m, Picture) or (isinstance(m, Ellipse) and not m.dashed and m.line)
        ]
        for (one, mark), (other, also) in combinations(solid, 2):
            assert not touch(one, other), (mark, also)
        rings = [(b, m) for b, m in drawn if isinstance(m, Ellipse) and m.dashed]
        for one, ring in rings:
            own = [other for other, m in solid if (m.x, m.y) == (ring.x, ring.y)]
            assert len(own) == 1
            assert all(other in own or not touch(one, other) for other, _ in solid), ring
    shown = [
        mark.text + mark.small for page in pages for mark in page if isinstance(mark, Text) and mark.small
    ]
    for note in chart.notes:
        called = f"{note.note.letter}{_sign(note.note.alter)}{note.note.octave}"
        trilled = sum(called == _called(n) for t in chart.trills for n in (t.low, t.high))
        assert shown.count(called) in (1, 1 + trilled), called


def _sign(alter: float) -> str:
    return {0.0: "", 1.0: "♯", -1.0: "♭"}[alter]


def _called(note: object) -> str:
    return f"{note.letter}{_sign(note.alter)}{note.octave}"


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_is_in_order(name: str, style: str) -> None:
    papers: tuple[Paper, ...] = ("a4", "letter")
    for paper in papers:
        for large in (False, True):
            all_in_order(
                example(name),
                PaperChoices(paper=paper, style=style, large=large, maker="Willow Marsh", picture=DOT),
            )


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", ODD)
def test_few_and_many_notes_and_holes_are_in_order(name: str, style: str) -> None:
    all_in_order(ODD[name], PaperChoices(style=style, trills=True))


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", ["five notes", "ten holes"])
def test_so_they_are_in_large_print(name: str, style: str) -> None:
    choices = PaperChoices(paper="letter", style=style, large=True, trills=True, maker="Marsh " * 15)
    all_in_order(ODD[name], choices)


def fingerings(chart: Chart, page: tuple[Mark, ...], first: bool) -> Iterator[list[Ellipse]]:
    """The holes of each fingering on a page, in the order they are drawn; without keys and other pictures."""
    many = len(chart.holes)
    holes = [m for m in page if isinstance(m, Ellipse) and not m.dashed and m.tone == 0]
    if first:
        at_the_back = any(hole.behind for hole in chart.holes)
        partly = any("H" in way.states for note in chart.notes for way in note.ways)
        holes = holes[many + 2 + at_the_back + partly :]
    for i in range(0, len(holes), many):
        yield holes[i : i + many]


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", EXAMPLES)
def test_holes_are_filled_as_the_fingers_lie_and_stand_as_on_the_flute(name: str, style: str) -> None:
    """Read from the pixels of the page, for every note."""
    chart, choices, ppi = example(name), PaperChoices(style=style), 150.0
    pages, files = chart_marks(chart, choices)
    pngs = marks_pressed(chart, choices, pages, files, "png", ppi=ppi)
    pictures = [Image.open(io.BytesIO(png)).convert("L") for png in pngs]
    wanted = [way.states for note in chart.notes for way in note.ways]
    places = [hole.at for hole in chart.holes]
    seen = []
    for number, (page, picture) in enumerate(zip(pages, pictures, strict=True)):
        for holes in fingerings(chart, page, number == 0):
            if style == "along" and min(hole.x for hole in holes) < SIDE + 18:
                continue  # the flute that stands at the left of each line

            def dark(x: float, y: float, picture: Image.Image = picture) -> bool:
                return int(picture.getpixel((int(x * ppi / 25.4), int(y * ppi / 25.4)))) < 128

            states = []
            for hole in holes:
                left, right = (dark(hole.x + side * 0.4 * hole.rx, hole.y) for side in (-1, 1))
                states.append({(True, True): "X", (False, False): "O", (True, False): "H"}[left, right])
            seen.append(tuple(states))
            along = [hole.x if style == "rows" else hole.y for hole in holes]
            scale = (along[-1] - along[0]) / (places[-1] - places[0])
            assert scale > 0
            for i, place in enumerate(places):
                assert along[i] - along[0] == pytest.approx(scale * (place - places[0]), abs=0.01)
            widths = [
                (hole.rx + hole.line / 2) / own.across for hole, own in zip(holes, chart.holes, strict=True)
            ]
            assert max(widths) == pytest.approx(min(widths), rel=1e-3)
    assert seen == wanted


def test_an_oval_and_a_hole_at_an_angle_are_drawn_so() -> None:
    chart = ODD["ten holes"]
    page = chart_marks(chart, PaperChoices(alternates=False))[0][0]
    holes = next(fingerings(chart, page, True))
    tube = [hole.x for hole, own in zip(holes, chart.holes, strict=True) if own.side == 0.0]
    assert max(tube) == pytest.approx(min(tube))
    for drawn, own in zip(holes, chart.holes, strict=True):
        across = (drawn.rx + drawn.line / 2) / (drawn.ry + drawn.line / 2)
        assert across == pytest.approx(own.across / own.diameter, rel=1e-3)
        assert (drawn.x < tube[0]) == (own.side in (30.0, 180.0))  # clockwise, seen from the mouth
        assert (drawn.x < tube[0] - 4) == own.behind
    rings = [m for m in page if isinstance(m, Ellipse) and m.dashed]
    backs = [hole for hole, own in zip(holes, chart.holes, strict=True) if own.behind]
    for hole in backs:
        assert any((ring.x, ring.y) == (hole.x, hole.y) for ring in rings)


def words(chart: Chart, choices: PaperChoices) -> str:
    (pdf,) = chart_pages(chart, choices, "pdf")
    with pypdfium2.PdfDocument(pdf) as document:
        said = " ".join(page.get_textpage().get_text_range() for page in document)
    return " ".join(said.split())


def test_registers_alternates_and_trills_are_shown_as_chosen() -> None:
    chart = ODD["ten holes"]
    every = words(chart, PaperChoices(trills=True))
    for part in (
        "First register",
        "blow gently",
        "Second register",
        "blow harder",
        "Third register",
        "Trills",
    ):
        assert part in every
    assert "or" in every.split()
    low = words(chart, PaperChoices(registers=False, alternates=False))
    for part in ("Second register", "Third register", "blow harder", "Trills"):
        assert part not in low
    assert "or" not in low.split()


def test_the_page_says_whose_it_is_and_nothing_about_acoustics() -> None:
    for name in EXAMPLES:
        said = words(example(name), PaperChoices(maker="Willow Marsh"))
        for part in (
            example(name).name,
            example(name).scale,
            "Willow Marsh",
            "mouth",
            "upper hand",
            "closed",
        ):
            assert part in said
        for part in ("Hz", "cents", "±", "impedance", "cutoff", "resonance", "mm"):
            assert part not in said
    odd = words(ODD["six holes"], PaperChoices())
    assert "442 Hz" in odd
    assert "Left out" in odd
    assert "F5, 523.3 Hz" in odd
    assert "−32" in odd
    assert "page 2 of" in words(ODD["sixty notes"], PaperChoices())


def test_notes_are_called_as_chosen() -> None:
    chart = example("dust-lark")
    assert "in Sol" in words(chart, PaperChoices(names="italian"))
    german = words(chart, PaperChoices(names="german")).split()
    assert {"As", "Des", "Es"} <= {word.rstrip("0123456789") for word in german}
    assert "1 is G" in words(chart, PaperChoices(names="numbers"))


def test_svg_and_png_have_a_piece_for_each_page() -> None:
    choices = PaperChoices(style="bold")
    pages = len(chart_marks(example("grey-heron"), choices)[0])
    assert pages > 1
    for piece in (svgs := chart_pages(example("grey-heron"), choices, "svg")):
        assert piece.startswith(b"<svg")
    pngs = chart_pages(example("grey-heron"), choices, "png", ppi=40)
    assert len(svgs) == len(pngs) == pages
    assert Image.open(io.BytesIO(pngs[0])).size == (331, 468)


def test_the_same_bytes_twice_and_in_another_process() -> None:
    source = """
import hashlib, sys, scaledesign
from scaledesign.paper.chart.content import chart_of
from scaledesign.paper.chart.page import chart_pages
from scaledesign.paper.choices import PaperChoices
design = scaledesign.load(sys.argv[1])
chart = chart_of(design, scaledesign.predict(design))
for form in ("pdf", "svg", "png"):
    print(hashlib.sha256(b"".join(chart_pages(chart, PaperChoices(), form, ppi=40))).hexdigest())
"""
    path = Path(scaledesign.__file__).parent / "examples" / "marsh-wren.toml"
    command = [sys.executable, "-c", source, str(path)]
    other = subprocess.run(command, capture_output=True, check=True, text=True).stdout.split()
    for _ in range(2):
        here = [
            hashlib.sha256(
                b"".join(chart_pages(example("marsh-wren"), PaperChoices(), form, ppi=40))
            ).hexdigest()
            for form in ("pdf", "svg", "png")
        ]
        assert here == other


UNKNOWN = {
    "style": (PaperChoices(style="fancy"), "'fancy' is no style of chart; choose one of plain, along"),
    "names": (PaperChoices(names="latin"), "'latin' is no way to call notes; choose one of english, german"),
    "kind": (PaperChoices(picture=b"GIF89a"), "your own picture is no PNG, JPEG or SVG; give a file of one"),
    "png": (
        PaperChoices(picture=b"\x89PNG\r\n\x1a\n gone"),
        "your own picture cannot be read; give a PNG",
    ),
    "jpeg": (PaperChoices(picture=b"\xff\xd8\xff rubbish"), "your own picture cannot be read; give a PNG"),
    "svg": (PaperChoices(picture=b"<svg this is none"), "your own picture cannot be read; give a PNG"),
}


@pytest.mark.parametrize("what", UNKNOWN)
def test_what_cannot_be_is_one_clear_sentence(what: str) -> None:
    choices, sentence = UNKNOWN[what]
    with pytest.raises(EditError) as told:
        chart_pages(example("marsh-wren"), choices, "svg")
    assert str(told.value).startswith(sentence)
    assert str(told.value).endswith(".")


def test_a_picture_stands_at_the_top_right() -> None:
    blot = Image.new("RGB", (60, 40), (0, 0, 0))
    for kind in ("PNG", "JPEG"):
        stream = io.BytesIO()
        blot.save(stream, kind)
        choices = PaperChoices(picture=stream.getvalue())
        (png,) = chart_pages(example("marsh-wren"), choices, "png", ppi=50)
        page = Image.open(io.BytesIO(png)).convert("L")
        assert page.getpixel((int((210 - SIDE - 3) * 50 / 25.4), int(18 * 50 / 25.4))) == 0


def test_large_print_is_larger() -> None:
    for style in STYLES:
        sizes = []
        for large in (False, True):
            pages, _ = chart_marks(example("reed-bunting"), PaperChoices(style=style, large=large))
            names = [m.size for page in pages for m in page if isinstance(m, Text) and m.small]
            holes = [m.rx for page in pages for m in page if isinstance(m, Ellipse) and m.tone == 0]
            sizes.append((min(names), sorted(holes)[len(holes) // 2]))
        assert sizes[1][0] > 1.25 * sizes[0][0]
        assert sizes[1][1] > 1.05 * sizes[0][1]


def test_print_is_never_too_small_to_read() -> None:
    """6 point for what stands beside, 9 for names (common practice, no source)."""
    for name, style in ((name, style) for name in EXAMPLES for style in STYLES):
        for page in chart_marks(example(name), PaperChoices(style=style))[0]:
            for mark in page:
                if isinstance(mark, Text):
                    assert mark.size >= (9.0 if mark.small else 7.5)


def test_the_looks_have_their_words() -> None:
    assert list(STYLES) == list(STYLE_WORDS)


def test_a_chart_without_a_name_or_notes_is_still_a_page() -> None:
    bare = replace(example("marsh-wren"), name="", notes=(), scale="")
    for style in STYLES:
        assert "Flute in A" in words(bare, PaperChoices(style=style))
    assert "Flute in Fa♯" in words(replace(example("grey-heron"), name=""), PaperChoices(names="french"))
    assert "Flute in F♯ 1 is F♯" in words(
        replace(example("grey-heron"), name=""), PaperChoices(names="numbers")
    )


@pytest.mark.parametrize("style", STYLES)
def test_notes_clearly_off_have_a_sign_and_the_key_says_what_to_do(style: str) -> None:
    """Reed bunting: D6 is predicted 46 cents flat; dust lark: A5 and another way to play G5 are sharp."""
    for name, sign, other, many, told in (
        ("reed-bunting", "↑", "↓", 1, "flat: lift it"),
        ("dust-lark", "↓", "↑", 2, "sharp: ease it"),
    ):
        said = words(example(name), PaperChoices(style=style))
        assert said.count(sign) == many + 1
        assert other not in said
        assert told in said
    low = words(example("dust-lark"), PaperChoices(style=style, registers=False))
    assert "↓" not in low
    assert "ease it" not in low


@pytest.mark.parametrize("style", STYLES)
def test_another_way_says_how_it_is_blown(style: str) -> None:
    said = words(example("dust-lark"), PaperChoices(style=style))
    assert said.split().count("or") == 2
    assert said.split().count("or,") == said.split().count("blown") == 1
    for trills in (False, True):  # with them, columns are narrower
        (pdf,) = chart_pages(trilled("dust-lark"), PaperChoices(style=style, trills=trills), "pdf")
        with pypdfium2.PdfDocument(pdf) as document:
            pages = len(document)
        heights = [
            bottom - top
            for page in range(pages)
            for (_, top, _, bottom), text in texts(pdf, page)
            if "blown" in text or text.startswith("harder")
        ]
        assert min(heights) > 1.4  # mm: of a letter with its rise


@cache
def trilled(name: str) -> Chart:
    design = scaledesign.load(Path(scaledesign.__file__).parent / "examples" / f"{name}.toml")
    return replace(example(name), trills=chart_trills(design, example(name)))


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("style", STYLES)
def test_arrows_of_trills_have_heads_that_nothing_hides(style: str, large: bool) -> None:
    for chart in (trilled("dust-lark"), trilled("reed-bunting")):
        found = 0
        for page in chart_marks(chart, PaperChoices(style=style, large=large, trills=True))[0]:
            heads = [m for m in page if isinstance(m, Outline) and m.closed and m.fill == 0]
            assert all(len(head.points) == 3 for head in heads)
            found += len(heads)
            tubes = [m for m in page if isinstance(m, Outline) and m.closed and m.fill == 255]
            for head in heads:
                left, top, right, bottom = box(head)
                assert max(right - left, bottom - top) >= 0.75
                for mark in page:
                    if isinstance(mark, Ellipse) and mark.tone == 0 and (mark.line or mark.dashed):
                        assert not touch(box(head), box(mark)), mark
                if style != "along":  # where the flute stands at the left only
                    assert not any(touch(box(head), box(tube)) for tube in tubes)
        assert found == 2 * sum(len(trill.moving) for trill in chart.trills) > 0


@cache
def whistle() -> Chart:
    """A tube too short and too narrow for its key: nothing of the scale sounds as it should."""
    design = scaledesign.load(Path(scaledesign.__file__).parent / "examples" / "marsh-wren.toml")
    narrow = replace(design, tube=replace(design.tube, length=0.6 * design.tube.length))
    holes = tuple(replace(hole, at=0.6 * hole.at) for hole in design.holes)
    narrow = replace(narrow, holes=holes)
    return chart_of(narrow, scaledesign.predict(narrow))


@pytest.mark.parametrize("style", STYLES)
def test_a_flute_that_plays_no_note_promises_none_and_says_so(style: str) -> None:
    chart = whistle()
    assert chart.notes == ()
    for paper, large in (("a4", False), ("letter", True)):
        choices = PaperChoices(style=style, paper=paper, large=large)
        assert len(chart_marks(chart, choices)[0]) == 1
        said = words(chart, choices)
        assert NO_NOTES in said
        assert "Left out, because this flute does not play them: A4, B4, C5" in said
        all_in_order(chart, choices)


def one_register(notes: int) -> Chart:
    chart = made_up("L1 L2 L3 R1 R2 R3", notes)
    low = (replace(note, ways=(replace(note.ways[0], register=1),)) for note in chart.notes)
    return replace(chart, notes=tuple(low), left_out=())


def holes_on(page: tuple[Mark, ...]) -> list[Ellipse]:
    return [mark for mark in page if isinstance(mark, Ellipse) and mark.tone == 0]


@pytest.mark.parametrize("notes", [5, 8, 11])
def test_few_notes_fill_their_page(notes: int) -> None:
    """In large cells on more lines rather than in one row of small ones, over the whole width."""
    (page,) = chart_marks(one_register(notes), PaperChoices())[0]
    holes = holes_on(page)
    assert max(hole.y for hole in holes) > 297 * 0.75
    assert max(hole.x for hole in holes) > 210 * 0.78
    names = [mark.size for mark in page if isinstance(mark, Text) and mark.small]
    assert min(names) > 15.0  # pt


@pytest.mark.parametrize("name", EXAMPLES)
def test_bold_pages_are_about_evenly_full(name: str) -> None:
    pages, _ = chart_marks(example(name), PaperChoices(style="bold"))
    assert len(pages) == 2
    for page in pages:
        assert max(hole.y for hole in holes_on(page)) > 297 * 0.6


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", EXAMPLES)
def test_heads_on_a_wall_are_large(name: str, paper: Paper) -> None:
    """Staff spaces of 1.2 mm at least, else another page."""
    for page in chart_marks(example(name), PaperChoices(style="rows", paper=paper))[0]:
        staves = [mark for mark in page if isinstance(mark, Picture)]
        assert min(mark.width for mark in staves) >= 17 * 1.2 - 0.01
