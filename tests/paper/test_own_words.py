"""Words of the maker's own on template, sheet and chart: shown as they are, on one line, and never obeyed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pypdfium2
import pytest

from scaledesign import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.outputs.make import Work
from scaledesign.paper.chart.page import chart_pages
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.sheet.page import sheet_pages
from scaledesign.paper.template.page import template_pages
from scaledesign.paper.text import NAME, on_one_line

ASKING = {
    "code": '#panic("x") #read("a") \\',
    "markup": "*b* _c_ $x^2$ @ref <label> = h // x",
    "template": "${name} {0} %s <b>&amp;",
    "lines": "a\nb\tc\r\n\u2028d\x01\u202ee",
}
PLAIN = {"lines": "a b c d e"}
PAGES: dict[str, Callable[[Work, PaperChoices], tuple[bytes, ...]]] = {
    "template": lambda work, choices: template_pages(work.design, choices, "pdf"),
    "sheet": lambda work, choices: sheet_pages(work.design, work.prediction, (), work.steps, choices, "pdf"),
    "chart": lambda work, choices: chart_pages(work.plain_chart, choices, "pdf"),
}


@pytest.fixture(scope="module")
def work() -> Work:
    made = Work(load(EXAMPLES / "grey-heron.toml"))
    return Work(made.design, made.prediction)


def renamed(design: Design, words: str) -> Design:
    instrument = replace(design.instrument, material=words)
    return replace(design, name=words, notes=words, instrument=instrument)


@pytest.mark.parametrize("kind", PAGES)
@pytest.mark.parametrize("key", ASKING)
def test_words_are_shown_as_they_are(kind: str, key: str, work: Work) -> None:
    words = ASKING[key]
    design = renamed(work.design, words)
    choices = PaperChoices(maker=words)
    (pdf,) = PAGES[kind](Work(design, work.prediction), choices)
    text = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()
    assert PLAIN.get(key, words) in text.replace("\r\n", "\n")


def test_a_line_is_a_line() -> None:
    assert on_one_line("a\nb\u2029\u200c c") == "a b \u200c c"
    assert on_one_line("x" * NAME, NAME) == "x" * NAME
    assert on_one_line("x" * (NAME + 1), NAME) == "x" * (NAME - 1) + "…"
