"""What is written on the sheets: nothing on anything else, nothing where a printer leaves white."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

import numpy as np
import pypdfium2
import pytest

import scaledesign
from scaledesign.errors import DesignError
from scaledesign.model.document import Design
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.page import laid, template_pages
from scaledesign.paper.template.strip import strip_of
from scaledesign.physics.arrays import Floats
from scaledesign.workshop.drilling import drill_steps
from tests.paper.template.flutes import ALL, example, odd, tiny

WHITE = 8.0
"""mm at the edges that common printers leave white."""


def letters(page: pypdfium2.PdfPage) -> tuple[str, Floats]:
    """Text of a page and the tight boxes (N, 4) of its visible letters, mm from the upper left corner."""
    text = page.get_textpage()
    height = page.get_height()
    kept, boxes = [], []
    for index in range(text.count_chars()):
        letter = text.get_text_range(index, 1)
        left, bottom, right, top = text.get_charbox(index)
        if letter.strip() and right > left:
            kept.append(letter)
            boxes.append((left, height - top, right, height - bottom))
    text.close()
    return "".join(kept), np.array(boxes) / 72 * 25.4


def pages(pdf: bytes) -> Iterator[pypdfium2.PdfPage]:
    file = pypdfium2.PdfDocument(pdf)
    for page in file:
        yield page
        page.close()
    file.close()


def touching(one: Floats, other: Floats, slack: float) -> Floats:
    """(N, M) whether boxes overlap by more than ``slack`` in both directions."""
    across = np.minimum(one[:, None, 2], other[None, :, 2]) - np.maximum(one[:, None, 0], other[None, :, 0])
    down = np.minimum(one[:, None, 3], other[None, :, 3]) - np.maximum(one[:, None, 1], other[None, :, 1])
    return np.asarray((across > slack) & (down > slack))


CASES = [(name, paper, False) for name in ALL for paper in ("a4", "letter")]
CASES += [(name, "a4", True) for name in ("dust-lark", "marsh-wren", "odd")]


@pytest.mark.parametrize(("name", "paper", "large"), CASES)
def test_no_letter_lies_on_another_on_a_line_or_in_the_margin(name: str, paper: str, large: bool) -> None:
    design: Design = ALL[name]()
    choices = PaperChoices(paper=paper, large=large)
    strip = strip_of(design)
    plan, marks = laid(design, strip, choices)
    (pdf,) = template_pages(design, choices, "pdf")
    for number, page in enumerate(islice(pages(pdf), 3)):
        said, boxes = letters(page)
        assert f"Sheet{number + 1}of{plan.sheets}" in said
        size = np.array(page.get_size()) / 72 * 25.4
        assert boxes[:, :2].min() >= WHITE
        assert (boxes[:, 2:] <= size - WHITE).all()
        for drawn in page.get_objects():
            left, bottom, right, top = (side / 72 * 25.4 for side in drawn.get_bounds())
            assert min(left, bottom) >= WHITE
            assert (np.array([right, top]) <= size - WHITE).all()
        over = touching(boxes, boxes, 0.05)
        # Letters of one word may reach under each other, and three may be one sign.
        far = np.abs(np.subtract.outer(np.arange(len(boxes)), np.arange(len(boxes)))) > 2
        assert not (over & far).any()
        strokes = [
            (*np.minimum(a, b), *np.maximum(a, b))
            for placed in plan.placed
            if placed.sheet == number
            for stroke in marks.on(placed.piece.start, placed.piece.end)
            for box in stroke.boxes()
            for a, b in [(placed.at(box[:2]), placed.at(box[2:]))]
        ]
        assert not touching(boxes, np.array(strokes), -0.1).any()


def said_by(design: Design, **choices: object) -> str:
    (pdf,) = template_pages(design, PaperChoices(**choices), "pdf")
    return " ".join(page.get_textpage().get_text_bounded().replace("\r\n", " ") for page in pages(pdf))


def test_a_label_says_number_finger_bit_and_place_in_the_maker_s_units() -> None:
    wren = said_by(example("marsh-wren"))
    for words in ("1 L1", "6.5 mm", "at 164.4", "from the sounding edge", "tube 23.5 mm outside"):
        assert words in wren
    inches = said_by(example("grey-heron"))
    for words in (
        "25/64 in",
        "at 6 31/64",
        "Inches, from the sounding edge to the middle of each hole",
        "F♯4 pentatonic minor",
    ):
        assert words in inches
    assert "at 5 21/32" in said_by(example("marsh-wren"), units="in")


def test_distances_run_from_the_end_that_was_chosen() -> None:
    assert "at 217.0" in said_by(example("marsh-wren"), origin="foot")  # 360.52 - 143.5
    cut = said_by(example("marsh-wren"), origin="cut-end")
    assert "at 303.3" in cut  # 150 chamber + 5 plug + 4.8 window + 143.5
    assert "the cut end, 159.8 mm from the edge" in cut
    with pytest.raises(DesignError, match=r"tube\.chamber"):
        said_by(example("reed-bunting"), origin="cut-end")


def test_what_is_unusual_about_a_hole_is_said() -> None:
    text = said_by(odd())
    for words in ("9.0 × 7.0 mm", "bit 8 mm", "25° to the foot", "30° to the mouth", "tuning", "drilled"):
        assert words in text
    assert "foot: cut here" not in text  # it is cut
    assert "no hole here" in text


def test_what_has_no_room_beside_its_hole_is_said_under_the_strip() -> None:
    design, choices = tiny(), PaperChoices(large=True)
    text = said_by(design, large=True)
    _, marks = laid(design, strip_of(design), choices)
    assert len(marks.crowded) > 3
    for hole in marks.crowded:
        assert f"hole {hole + 1}" in text
        assert any(word.text == str(hole + 1) for word in marks.words)


def test_every_sheet_tells_how_to_check_and_what_can_hurt() -> None:
    (pdf,) = template_pages(example("dust-lark"), PaperChoices(paper="letter"), "pdf")
    for page in pages(pdf):
        text = " ".join(page.get_textpage().get_text_bounded().split())
        for words in (
            "not 100 mm and 4 in long, print again on Letter at 100 %, not fitted to the page",
            "2. Cut along the thick outer lines", "cut one at its dotted line", "on the dashed line",
            "wear eye protection", "Safety data sheets, local rules",
        ):  # fmt: skip
            assert words in text


def test_a_flute_without_name_or_holes_has_a_template_too() -> None:
    bare = replace(example("night-heron"), name="", holes=(), rows=())
    text = said_by(bare)
    assert "There are no holes yet." in text
    assert "foot: do not cut yet" in text
    assert "Unnamed flute" in text


@pytest.mark.parametrize("name", ["marsh-wren", "night-heron"])
def test_a_flute_that_was_not_blown_yet_is_neither_cut_nor_drilled_to_size(name: str) -> None:
    """On every sheet; and no longer once the tuner's reading is in."""
    design = example(name)
    (pdf,) = template_pages(design, PaperChoices(), "pdf", doubt=83.6)
    for page in pages(pdf):
        text = " ".join(page.get_textpage().get_text_bounded().split())
        assert "Not blown yet: notes may be ± 84 cents off. Cut the tube" in text
        assert "print again. Drill nothing to size before." in text
    assert "Not blown yet: notes may be far off." in said_by(design)
    learnt = said_by(scaledesign.calibrate(design, f"{design.tuning.tonic} -4").design)
    assert "blown yet" not in learnt
    assert "foot: cut here" in learnt


@pytest.mark.parametrize(
    ("name", "words"),
    [("marsh-wren", "the sounding edge"), ("dust-lark", "the blown rim"),
     ("night-heron", "the rim with the notch"), ("reed-bunting", "the middle of the mouth hole")],
)  # fmt: skip
def test_where_lengths_begin_is_said_as_this_flute_has_it(name: str, words: str) -> None:
    text = said_by(example(name))
    assert f"from {words} to the middle of each hole" in text
    assert words.removeprefix("the ") in text.partition("each hole")[2], "on the strip too"


def test_the_bit_to_begin_with_stands_in_the_label() -> None:
    design = example("marsh-wren")
    (pdf,) = template_pages(design, PaperChoices(), "pdf", steps=drill_steps(design))
    text = " ".join(page.get_textpage().get_text_bounded() for page in pages(pdf))
    assert text.count("begin ") == len(design.holes)
    assert "begin 7.5" in text
    drilled = replace(design, holes=tuple(replace(hole, drilled=True) for hole in design.holes))
    (pdf,) = template_pages(drilled, PaperChoices(), "pdf", steps=drill_steps(design))
    assert not any("begin " in page.get_textpage().get_text_bounded() for page in pages(pdf))


@pytest.mark.parametrize(
    ("name", "paper"), [("marsh-wren", "a4"), ("marsh-wren", "letter"), ("dust-lark", "letter")]
)
def test_labels_side_by_side_do_not_read_as_one_line(name: str, paper: str) -> None:
    """Words of two labels, or of a label and a joint, that stand on a height are three millimetres apart."""
    design = example(name)
    choices = PaperChoices(paper=paper, large=True)
    for begun in ({}, {step.hole: step.start for step in drill_steps(design)}):
        _, marks = laid(design, strip_of(design), choices, begun)
        words = [word for word in marks.words if word.face in ("figure", "number") and len(word.text) > 1]
        letters = [word for word in marks.words if word.face == "number" and word.text.isalpha()]
        for one, other in combinations([*words, *letters], 2):
            (u0, v0, u1, v1), (a0, b0, a1, b1) = one.box, other.box
            if min(v1, b1) - max(v0, b0) > 0 and {one.text, other.text} - {"A", "B"}:
                assert max(u0, a0) - min(u1, a1) > 3.0, (one.text, other.text)
