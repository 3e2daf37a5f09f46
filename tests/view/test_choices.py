"""What a half typed answer leaves of the choices, and the lines that show them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.view.choices import beside, blank_goes_on, choice_lines, completed, matching
from scaledesign.view.lines import text_of
from scaledesign.view.questions import Choice, Question

SCALES = (
    Choice("major", "seven notes", "usual"),
    Choice("major pentatonic", "five notes", "usual"),
    Choice("just minor", "pure fourths", "pure intervals"),
    Choice("Hirajoshi", "five notes", "others"),
)


def asked(answer: str = "", problem: str = "") -> Question:
    return Question("scale", "Which scale", answer, "just minor", choices=SCALES, problem=problem)


@pytest.mark.parametrize(
    ("typed", "left"),
    [("", 4), ("major", 4), ("maj", 2), ("FIVE", 2), ("pure", 1), ("others", 1), ("dorion", 0)],
)
def test_what_is_typed_leaves_the_choices_that_hold_it(typed: str, left: int) -> None:
    assert len(matching(asked(typed))) == left


def test_a_part_of_an_answer_means_the_first_that_holds_it() -> None:
    assert completed(asked("pent", "none is named so")) == "major pentatonic"
    assert completed(asked("hirajoshi", "none is named so")) == "Hirajoshi"
    assert completed(asked("pent")) == completed(asked("dorion", "none is named so")) == ""


def test_a_blank_goes_on_to_the_next_but_not_within_a_name() -> None:
    assert [blank_goes_on(asked(typed)) for typed in ("", "just minor", "major", "ju")] == [
        True, True, False, False
    ]  # fmt: skip
    assert not blank_goes_on(Question("name", "What you call it", ""))


@given(st.sampled_from(["", "maj", "five", "just minor"]), st.integers(-3, 3))
def test_steps_go_around_and_back(typed: str, by: int) -> None:
    there = beside(asked(typed), by)
    assert there in {choice.answer for choice in matching(asked(typed))}
    if typed in ("", "just minor"):
        assert beside(asked(there), -by) == "just minor"


@given(st.sampled_from(["", "maj", "Hirajoshi"]), st.integers(1, 9), st.integers(30, 90))
def test_the_lines_fit_and_show_the_one_that_is_taken(typed: str, room: int, width: int) -> None:
    lines = [text_of(line) for line in choice_lines(asked(typed), width, room)]
    assert 1 <= len(lines) <= room
    assert all(len(line) <= width for line in lines)
    if typed != "maj":
        (here,) = (line for line in lines if line.startswith(" > "))
        assert asked(typed).taken in here
