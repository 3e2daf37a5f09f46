"""Staff pieces: heads at their steps, accidentals where they are needed, nothing cut, the same bytes."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from itertools import pairwise

import pytest
from PIL import Image

from scaledesign.model.pitch import parse_note
from scaledesign.paper.engraving import MOST_LEDGERS, Clef, Frame, frame_of, framed, staff_svg

# Lines of each clef from the top, as every primer of notation has them (common practice, no source).
LINES: dict[Clef, str] = {
    "treble": "F5 D5 B4 G4 E4",
    "treble-8": "F6 D6 B5 G5 E5",
    "bass": "A3 F3 D3 B2 G2",
}
SPACES: dict[Clef, str] = {"treble": "E5 C5 A4 F4", "treble-8": "E6 C6 A5 F5", "bass": "G3 E3 C3 A2"}
GLYPH = re.compile(r'<path transform="translate\(([-\d.]+) ([-\d.]+)\) scale\([^)]*\)" d="([^"]+)"/>')
PIXELS = 24
"""A staff space in a raster."""


def glyphs(svg: bytes) -> list[tuple[float, float, str]]:
    """Places (spaces from the top left) and outlines."""
    return [(float(x), float(y), outline) for x, y, outline in GLYPH.findall(svg.decode())]


def raster(svg: bytes) -> Image.Image:
    """In grey, ``PIXELS`` a staff space."""
    import typst

    source = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("piece.svg")'
    png = typst.compile({"main.typ": source, "piece.svg": svg}, format="png", ppi=72 * PIXELS / 0.75)
    return Image.open(io.BytesIO(png)).convert("L")


def ink(image: Image.Image) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of what is dark."""
    box = image.point(lambda tone: 255 if tone < 128 else 0).getbbox()
    assert box
    return box


HEAD = glyphs(staff_svg([parse_note("B4")], Frame(), clef=False, lines=False))[0][2]


@pytest.mark.parametrize("clef", LINES)
def test_heads_stand_on_the_lines_and_in_the_spaces_of_their_clef(clef: Clef) -> None:
    frame = Frame(clef, 6.0, 6.0)
    places = [(name, i) for i, name in enumerate(LINES[clef].split())]
    places += [(name, i + 0.5) for i, name in enumerate(SPACES[clef].split())]
    for name, place in places:
        ((_, y, outline),) = glyphs(staff_svg([parse_note(name)], frame, clef=False, lines=False))
        assert outline == HEAD
        assert y == pytest.approx(6.0 + place, abs=0.01), name


@pytest.mark.parametrize(
    ("name", "ledgers", "place"),
    [
        ("D4", 0, 4.5),
        ("C4", 1, 5.0),
        ("B3", 1, 5.5),
        ("A3", 2, 6.0),
        ("G5", 0, -0.5),
        ("A5", 1, -1.0),
        ("E6", 3, -3.0),
    ],
)
def test_ledger_lines(name: str, ledgers: int, place: float) -> None:
    svg = staff_svg([parse_note(name)], Frame("treble", 6.0, 6.0), clef=False, lines=False)
    heights = [float(y) for y in re.findall(r'<path d="M[-\d.]+ ([-\d.]+)H', svg.decode())]
    assert len(heights) == ledgers
    for above, below in pairwise(sorted(heights)):
        assert below - above == pytest.approx(1.0, abs=0.01)
    assert glyphs(svg)[0][1] == pytest.approx(6.0 + place, abs=0.01)


def test_in_pixels_too_a_head_lies_about_its_line() -> None:
    for name, place in (("E4", 4.0), ("A4", 2.5), ("F5", 0.0)):
        _, top, _, bottom = ink(raster(staff_svg([parse_note(name)], Frame(), clef=False, lines=False)))
        assert (top + bottom) / 2 / PIXELS == pytest.approx(2.0 + place, abs=0.06)
        assert (bottom - top) / PIXELS == pytest.approx(1.0, abs=0.15)


def test_each_accidental_has_its_own_sign_and_a_natural_none() -> None:
    signs = {}
    for accidental in ("#", "##", "b", "bb", "~", "#~", "`", "b`"):
        drawn = glyphs(staff_svg([parse_note(f"B{accidental}4")], Frame(), clef=False, lines=False))
        assert len(drawn) == 2
        (x, y, outline), (left, up, sign) = sorted(drawn, reverse=True)
        assert outline == HEAD
        assert left < x
        assert y == pytest.approx(up, abs=0.6)
        signs[accidental] = sign
    assert len(set(signs.values())) == 8
    assert [g[2] for g in glyphs(staff_svg([parse_note("B4")], Frame(), clef=False, lines=False))] == [HEAD]


def test_a_natural_stands_only_where_the_same_place_was_altered_before() -> None:
    def signs(name: str, *before: str) -> int:
        earlier = [parse_note(one) for one in before]
        svg = staff_svg([parse_note(name)], Frame(), clef=False, lines=False, before=earlier)
        return len(glyphs(svg)) - 1

    assert signs("B4") == signs("B4", "A4") == signs("B4", "Bb5") == signs("B4", "Bb4", "B4") == 0
    assert signs("B4", "Bb4") == signs("B4", "Bb4", "C5") == signs("Bb4", "Bb4") == 1
    trill = staff_svg([parse_note("Bb4"), parse_note("B4")], Frame(), clef=False, lines=False)
    assert len(glyphs(trill)) == 4


def test_a_note_altered_by_more_than_a_tone_is_written_as_another_that_sounds_the_same() -> None:
    for name, same in (("C###4", "D#4"), ("Abbb4", "F#4"), ("C##~4", "D~4")):
        svg = staff_svg([parse_note(name)], Frame(), clef=False, lines=False)
        assert svg == staff_svg([parse_note(same)], Frame(), clef=False, lines=False)


def test_the_clef_is_the_one_that_asks_for_few_ledger_lines() -> None:
    for notes, clef in (
        ("G4 D6", "treble"),
        ("D4 E6", "treble"),
        ("D5 D7", "treble-8"),
        ("C3 E4", "bass"),
        ("D4 A5", "treble"),
    ):
        assert frame_of([parse_note(note) for note in notes.split()]).clef == clef
    assert MOST_LEDGERS == 3


@pytest.mark.parametrize("notes", ["Bb3 F#6", "D5 Eb7", "G2 C#4", "A4", "E`4 F~6"])
def test_nothing_is_cut_off(notes: str) -> None:
    """The ink of each piece is what it is on a larger piece of paper, and does not touch the edge."""
    every = [parse_note(note) for note in notes.split()]
    frame = frame_of(every)
    wide = Frame(frame.clef, frame.above + 3, frame.below + 3)
    for note in every:
        svg = staff_svg([note], frame, lines=False)
        box = ink(raster(svg))
        larger = ink(raster(staff_svg([note], wide, lines=False)))
        moved = (larger[0], larger[1] - 3 * PIXELS, larger[2], larger[3] - 3 * PIXELS)
        assert max(abs(a - b) for a, b in zip(box, moved, strict=True)) <= 1  # of a pixel's rounding
        width, height = raster(svg).size
        assert width == 12 * PIXELS
        assert height == pytest.approx(frame.height * PIXELS, abs=1)
        assert min(box[0], box[1], width - box[2], height - box[3]) > 0


def test_clef_and_widest_accidental_do_not_touch() -> None:
    for sign in ("bb", "b`", "#~"):
        image = raster(staff_svg([parse_note(f"B{sign}4")], Frame(), lines=False))
        columns = [image.crop((x, 0, x + 1, image.height)).getextrema()[0] for x in range(image.width)]
        inked = "".join("#" if tone < 128 else " " for tone in columns)
        assert len(inked.split()) >= 2, sign


def test_the_frame_of_a_line_holds_its_notes_and_its_clef_alone() -> None:
    low = framed([parse_note("A4")], "treble")
    high = framed([parse_note("E6")], "treble")
    assert low.below == high.below
    assert high.above == pytest.approx(3.8)
    assert low.above == pytest.approx(1.7)


def test_the_same_bytes_here_and_in_another_process() -> None:
    source = """
import sys
from scaledesign.model.pitch import parse_note
from scaledesign.paper.engraving import staff_svg
sys.stdout.buffer.write(staff_svg([parse_note("Bb4"), parse_note("C~5")]))
"""
    other = subprocess.run([sys.executable, "-c", source], capture_output=True, check=True).stdout
    notes = [parse_note("Bb4"), parse_note("C~5")]
    assert staff_svg(notes) == staff_svg(notes) == other
