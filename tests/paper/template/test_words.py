"""What is written on the sheets: nothing on anything else, nothing where a printer leaves white."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import numpy as np
import pypdfium2
import pytest

from scaledesign.errors import DesignError
from scaledesign.model.document import Design
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.page import laid, template_pages
from scaledesign.paper.template.strip import strip_of
from scaledesign.physics.arrays import Floats
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
    choices = PaperChoices(paper=paper, large=large)  # type: ignore[arg-type]
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
    (pdf,) = template_pages(design, PaperChoices(**choices), "pdf")  # type: ignore[arg-type]
    return " ".join(page.get_textpage().get_text_bounded().replace("\r\n", " ") for page in pages(pdf))


def test_a_label_says_number_finger_bit_and_place_in_the_maker_s_units() -> None:
    wren = said_by(example("marsh-wren"))
    for words in ("1 L1", "6.5 mm", "at 164.4", "from the sounding edge", "tube 23.5 mm outside"):
        assert words in wren
    inches = said_by(example("grey-heron"))
    for words in ("25/64 in", "at 6 31/64", "Inches; holes are measured"):
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
            "Cut along the outer lines", "wear eye protection", "Safety data sheets, local rules",
        ):  # fmt: skip
            assert words in text


def test_a_flute_without_name_or_holes_has_a_template_too() -> None:
    bare = replace(example("night-heron"), name="", holes=(), rows=())
    text = said_by(bare)
    assert "There are no holes yet." in text
    assert "foot: cut here" in text
