"""The maker's book as lists, and what it is worth to a new flute, without a screen."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from scaledesign import locations
from scaledesign.errors import EditError
from scaledesign.files import document_file
from scaledesign.model.document import Instrument, Units
from scaledesign.model.edits import apply
from scaledesign.view import book_list
from scaledesign.view.lines import text_of
from scaledesign.view.new_flute import NewFlute, made
from scaledesign.workshop import ask
from scaledesign.workshop.book import Book, read_book
from tests.view.working import opened, words
from tests.workshop.makers import Maker, filled, tube

NOW = datetime(2026, 3, 1, 12, 30, 15, 77)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """Four flutes that were blown and one that was not."""
    folder = tmp_path_factory.mktemp("flutes")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(locations.HOME_VARIABLE, str(folder / "home"))
        filled(folder, Maker(0.22, 0.0, 0.0, 0.05), 4, np.random.default_rng(1))
        document_file.save(replace(tube(np.random.default_rng(2)), name="Only planned"), folder / "plan.toml")
        return read_book(folder)


def test_every_flute_stands_with_what_it_taught_and_what_was_done_on_it(book: Book) -> None:
    found, _ = book_list.lists(opened().sheet, book, None)
    assert len(found.entries) == 5
    assert all(len(text_of(entry.line)) <= 73 for entry in found.entries)
    assert len(text_of(found.head)) <= 73
    assert found.said.startswith("Your windows add ")
    first, last = found.entries[0], found.entries[-1]
    assert first.value == book.taught[0].path
    assert "not blown yet" in text_of(last.line)
    said = words(*first.about(76, found.about))
    assert "its log\n2026-01-05 measured the bare tube" in said
    assert "metric 0.5 bits, medium hand" in said


@pytest.mark.parametrize("units", ["mm", "in"])
def test_columns_stand_apart_in_both_units(book: Book, units: Units) -> None:
    sheet = opened().sheet
    found = book_list.flutes(replace(sheet, design=replace(sheet.design, units=units)), book)
    for entry in found.entries:
        assert len(text_of(entry.line)) <= 73
        assert all(span.text[:1] == " " or before.text[-1:] == " " for before, span in pairwise(entry.line))


def test_readings_that_nothing_was_learnt_from_are_told_from_a_flute_never_blown(book: Book) -> None:
    planned = next(flute for flute in book.flutes if not flute.blown)
    found = book_list.flutes(opened().sheet, replace(book, flutes=(replace(planned, rows_read=3),)))
    assert found.said.startswith("Flutes in ")
    assert "nothing was learnt from them" in found.said
    assert text_of(found.entries[0].line).endswith("readings not learnt from: F1")
    assert any("scaledesign calibrate" in part for part in found.help)


def test_what_it_says_of_the_flute_in_hand_is_one_step(book: Book) -> None:
    sheet = opened().sheet
    _, found = book_list.lists(sheet, book, None)
    assert "cents from 4 flutes of yours, ± 59 without: its mouth adds 3" in found.said
    assert len(found.entries) == 4
    edit = book_list.put_in(sheet.design, found.entries[0].value, NOW)
    done = apply(sheet.design, edit)
    assert edit.label == "take the mouth from the book"
    assert done.voicing.added_length is not None
    assert done.log[-1].when == NOW.replace(microsecond=0)


def test_a_flute_that_was_blown_and_one_that_is_like_none(book: Book) -> None:
    sheet = opened().sheet
    blown = replace(sheet, design=document_file.load(book.taught[1].path))
    _, found = book_list.lists(blown, book, book.taught[1].path)
    assert "own readings say more" in found.said
    assert [entry.value for entry in found.entries] == [None] * 3
    assert all(entry.refusal for entry in found.entries)
    for mouth, said in (("rim", "nothing like this flute"), ("open", "ideal open end")):
        design = replace(sheet.design, instrument=Instrument(mouth=mouth))
        _, other = book_list.lists(replace(sheet, design=design), book, None)
        assert said in other.said
        assert other.entries == ()


def test_a_flute_that_went_away_meanwhile_is_said(book: Book, tmp_path: Path) -> None:
    gone = replace(book, flutes=(replace(book.flutes[0], path=tmp_path / "gone.toml"),))
    found, _ = book_list.lists(opened().sheet, gone, None)
    assert "there is no such file" in words(*found.entries[0].about(76, found.about))


def test_a_new_flute_says_what_the_book_is_worth_and_begins_with_it(book: Book) -> None:
    waited: list[bool] = []

    def reading(wait: bool) -> Book | None:
        waited.append(wait)
        return book if wait or len(waited) > 1 else None

    flute = NewFlute(ask.offers(), book=reading).answered("tube", "16 x 3.5")
    assert flute.preview().endswith("comfortable.")  # it is not read yet
    assert "Lowest note ± " in flute.preview()
    assert "from 4 flutes of yours, ± 49 without." in flute.preview()
    design = made(flute).design
    assert waited[-1]
    assert design.voicing.added_length is not None
    assert "4 flutes of yours" in design.log[-1].note


def test_a_book_that_cannot_be_read_is_said_and_missed_by_nobody() -> None:
    def reading(wait: bool) -> Book | None:
        raise EditError("flutes is no folder", "name another")

    flute = NewFlute(ask.offers(), book=reading).answered("tube", "16 x 3.5")
    assert flute.preview().endswith("flutes is no folder; name another.")
    assert flute.wanted() is not None
