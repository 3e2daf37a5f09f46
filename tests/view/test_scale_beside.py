"""One flute under several tunings: which are offered, and what the list says of each."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from scaledesign.model.document import Design
from scaledesign.view.lines import text_of
from scaledesign.view.listing import Listing
from scaledesign.view.scale_beside import Tunings, beside_list
from scaledesign.workshop import ask
from scaledesign.workshop.asked import asked
from scaledesign.workshop.beside import beside, one_by_one
from tests.view import small_flute
from tests.view.working import example, opened, words

START = Tunings(example(), ask.offers())


@cache
def listing() -> Listing:
    desk = opened()
    texts = ("just pentatonic minor", "pentatonic jue on B4", "major")
    wishes = [asked(text, desk.design.tuning, ask.offers()) for text in texts]
    return beside_list(desk.sheet, beside(desk.design, wishes))


def test_the_nearest_scales_come_first_and_two_are_usual() -> None:
    questions = START.questions()
    assert [question.taken for question in questions] == [
        "pythagorean pentatonic minor", "just pentatonic minor", "", "",
    ]  # fmt: skip
    assert [wish.words for wish in START.wishes()] == [
        "pythagorean pentatonic minor on A4", "just pentatonic minor on A4",
    ]  # fmt: skip
    assert START.ready
    offered = [ask.offers().scale(choice.answer) for choice in questions[0].choices]
    assert {len(scale.cents) for scale in offered} == {5}


def test_each_tuning_counts_once_and_may_have_a_tonic() -> None:
    asked_for = replace(START, first="hirajoshi on G4", second="hirajoshi on G4", third="kumoi")
    assert [wish.words for wish in asked_for.wishes()] == ["hirajoshi on G4", "kumoi on A4"]


@pytest.mark.parametrize("text", ["moonlit", "kumoi on H9"])
def test_what_cannot_be_read_is_said(text: str) -> None:
    questions = replace(START, third=text)
    assert questions.questions()[2].problem
    assert not questions.ready
    with pytest.raises(KeyError):
        START.answered("fifth", text)


def test_the_list_says_what_each_is_worth_and_what_moves_most() -> None:
    first, second, third, fourth = listing().entries
    assert text_of(first.line).startswith("as it stands")
    assert first.value is None
    assert "choose a tuning" in first.refusal
    assert text_of(second.line).startswith("just pentatonic minor  ")
    assert "hole 6, 3" in text_of(second.line)
    assert isinstance(second.value, Design)
    assert second.value.tuning.scale == "just pentatonic minor"
    assert listing().start == 1
    assert text_of(third.line).startswith("pentatonic jue on B4  ")
    assert "cannot be tried" in text_of(fourth.line)
    assert fourth.value is None


def test_beneath_stands_everything_that_moves_or_why_it_cannot_be_tried() -> None:
    first, second, _, fourth = listing().entries
    assert "The flute as it stands." in words(*first.about(76, 10))
    assert "just pentatonic minor on A4: hole 1 moves " in words(*second.about(76, 10))
    assert len(second.about(76, 6)) == 6
    assert "7 notes" in words(*fourth.about(76, 10))


def test_lines_have_room_at_80() -> None:
    assert all(len(text_of(entry.line)) <= 73 for entry in listing().entries)
    assert len(text_of(listing().head)) <= 75


def test_who_has_seen_enough_need_not_wait() -> None:
    design = small_flute.flute()
    wishes = [asked("kumoi", design.tuning, ask.offers())] * 100
    tried = one_by_one(design, wishes)
    assert next(tried).words == "as it stands"
    tried.close()
