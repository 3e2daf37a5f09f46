"""What is seen of each kind in each form before it is written."""

from __future__ import annotations

import numpy as np
import pytest

from scaledesign.outputs.kinds import OUTPUTS, Form, Kind
from scaledesign.outputs.make import Work, make
from scaledesign.paper.choices import PAPERS, PaperChoices
from scaledesign.view import print_look
from scaledesign.view.print_look import Looked, Page, look_at
from tests.view.pages import page
from tests.view.working import opened

SHEET = opened().sheet
SORTS = [(output.kind, form) for output in OUTPUTS for form in output.forms]


def light_of(seen: Page) -> np.ndarray:
    """How light each pixel is, of the sums that are kept."""
    return np.diff(np.diff(seen.sums.astype(int), axis=0), axis=1)


@pytest.fixture(scope="module")
def work() -> Work:
    prediction = SHEET.answer.prediction
    assert prediction is not None
    return Work(SHEET.design, prediction)


@pytest.mark.parametrize(("kind", "form"), SORTS)
def test_there_is_something_to_see(
    work: Work, kind: Kind, form: Form, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(print_look, "pictures", lambda *_, **__: (page(), page()))
    looked = look_at(work, kind, form, PaperChoices())
    paged = form in ("pdf", "svg", "png", "dxf")
    assert len(looked.pictures) == (2 if paged else 0)
    assert paged or looked.text or looked.said


@pytest.mark.parametrize(("kind", "form"), [("holes", "txt"), ("holes", "csv"), ("chart", "txt")])
def test_a_text_is_seen_as_it_is_written(work: Work, kind: Kind, form: Form) -> None:
    (made,) = make(work, kind, form, PaperChoices())
    assert look_at(work, kind, form, PaperChoices()).text == tuple(made.data.decode().splitlines())


def test_columns_of_tabs_stand_under_one_another(work: Work) -> None:
    lines = look_at(work, "chart", "tsv", PaperChoices()).text
    assert not any("\t" in line for line in lines)
    assert len(lines) == len(SHEET.design.rows) + 1
    assert lines[0].index("cents") == 12


def test_notes_are_those_that_sound(work: Work) -> None:
    looked = look_at(work, "notes", "mid", PaperChoices())
    assert [line.split()[0] for line in looked.text] == [row.note for row in SHEET.design.rows]
    assert "not seen" in looked.said


@pytest.mark.parametrize(("kind", "paper"), [("template", "letter"), ("sheet", "a4"), ("chart", "letter")])
def test_pages_are_as_large_as_the_paper(work: Work, kind: Kind, paper: str) -> None:
    looked = look_at(work, kind, "pdf", PaperChoices(paper=paper))
    seen = looked.page(0)
    assert sorted(seen.size) == pytest.approx(
        [side / 0.0254 for side in sorted(PAPERS[paper])],
        abs=0.02,
    )
    light = light_of(seen)
    assert 0.001 < np.mean(light < 128) < 0.5
    assert light[0].min() == light[-1].min() == 255  # nothing runs over the edge


def test_a_page_is_read_when_it_is_turned_to() -> None:
    looked = Looked((page((0, 0, 72, 144)), b"no picture at all"))
    assert looked.page(0).size == (1.0, 2.0)
    light = light_of(looked.page(0))
    assert light[:144, :72].max() == 0
    assert light[:, 72:].min() == 255
