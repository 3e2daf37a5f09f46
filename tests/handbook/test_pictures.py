"""Every picture of the handbook is drawn again, and every figure of the pages that say why worked out."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from scaledesign.files.handbook import page, pages
from scaledesign.paper.page_blocks import Picture, blocks_of
from tests.handbook.pictures import FOLDER, PAGES

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
PIXEL = 0.6
"""How far a point may lie off: another computer's arithmetic, rounded."""
OWN = re.compile(r"^#[^\n]*|^!\[[^\n]*|^```(?:sh|text)\n.*?^```$", re.MULTILINE | re.DOTALL)
NOTE = re.compile(r"\b[A-G]\d\b")
"""What may have digits that nobody works out; what is typed and answered, ``test_handbook.py`` types."""


@pytest.mark.parametrize("name", list(PAGES))
def test_the_pictures_are_as_the_engine_draws_them(name: str) -> None:
    drawn = PAGES[name].pictures()
    shown = [block for block in blocks_of(page(name).text) if isinstance(block, Picture)]
    assert {block.file for block in shown} == {f"pictures/{each}.svg" for each in drawn}
    for each, text in drawn.items():
        kept = (FOLDER / f"{each}.svg").read_text(encoding="utf-8")
        ElementTree.fromstring(kept)
        assert NUMBER.sub("#", kept) == NUMBER.sub("#", text), (
            f"{each}: python -m tests.handbook.pictures --write"
        )
        for old, new in zip(NUMBER.findall(kept), NUMBER.findall(text), strict=True):
            assert abs(float(old) - float(new)) <= PIXEL, (each, old, new)


@pytest.mark.parametrize("name", list(PAGES))
def test_every_figure_is_worked_out(name: str) -> None:
    """Each phrase stands there as it comes out now, and no number stands there that is in none of them."""
    text = OWN.sub("", page(name).text.partition("\n## Sources")[0])
    plain = " ".join(text.split())
    phrases = sorted(PAGES[name].phrases(), key=len, reverse=True)
    for phrase in phrases:
        assert phrase in plain, phrase
        plain = plain.replace(phrase, "")
    assert not re.findall(r".{0,40}\d.{0,20}", NOTE.sub("", plain))


def test_every_picture_is_on_a_page() -> None:
    shown = {
        block.file.removeprefix("pictures/")
        for each in pages()
        for block in blocks_of(each.text)
        if isinstance(block, Picture)
    }
    assert {path.name for path in FOLDER.iterdir()} == shown
