"""The tube in the hand as the screen asks for it and lists what it can become."""

from __future__ import annotations

from functools import cache

import pytest

from scaledesign.view.lines import DRAWN, text_of
from scaledesign.view.listing import Listing
from scaledesign.view.tube_list import lists
from scaledesign.view.tube_questions import TubeInHand
from scaledesign.workshop import ask
from scaledesign.workshop.tube_advice_verdict import Choice


def asked(**answers: str) -> TubeInHand:
    tube = TubeInHand(ask.offers())
    for name, text in answers.items():
        tube = tube.answered(name, text)
    return tube


@cache
def shown() -> tuple[Listing, ...]:
    want = asked(tube="1/2 in x 1/8 in x 30 in", key="d4").wanted()
    assert want is not None
    return lists(want, DRAWN)


def test_the_tube_alone_must_be_answered() -> None:
    assert asked().wanted() is None
    assert asked().preview() == "First, your tube."
    want = asked(tube="16 x 3 x 420").wanted()
    assert want is not None
    assert (want.mouth, want.scale, want.hand, want.key) == ("duct", "pentatonic minor", "medium", "")
    assert want.length == pytest.approx(0.42)
    names = ("tube", "mouth", "scale", "hand", "avoid", "key")
    assert tuple(each.name for each in asked().questions()) == names


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({"tube": "16"}, "that is not a tube"),
        ({"tube": "80 x 3"}, "makes no flute"),
        ({"tube": "16 x 3", "avoid": "177..171"}, "ends before it starts"),
        ({"tube": "16 x 3", "key": "H4"}, "H4"),
        ({"tube": "16 x 3", "hand": "huge"}, "huge"),
    ],
)
def test_a_wrong_answer_is_told_and_nothing_worked_out(answers: dict[str, str], said: str) -> None:
    tube = asked(**answers)
    assert tube.wanted() is None
    assert said in tube.preview()


def test_keys_are_listed_with_verdict_and_reason_and_the_one_in_mind_is_in_hand() -> None:
    keys, bores = shown()
    assert "Too slender uncut" in keys.said
    lines = [text_of(each.line) for each in keys.entries]
    assert lines[0].split()[0] in keys.said
    assert lines[keys.start].startswith("D4")
    assert "too slender" in lines[keys.start]
    assert all(len(line) <= 73 for line in lines)
    assert bores.name == "bores for D4"
    assert all(isinstance(each.value, Choice) for each in bores.entries[:3])


def test_what_makes_no_flute_cannot_be_begun_and_says_why() -> None:
    keys, _ = shown()
    last = keys.entries[-1]
    assert last.value is None
    assert last.refusal.startswith("No flute comes of that: ")
    about = [text_of(line) for line in keys.entries[0].about(72, keys.about)]
    assert about[0].startswith("Cut to ")
    assert "until you have blown the bare tube" in about[0]
