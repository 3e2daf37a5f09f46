"""Signs and tones: each says one thing."""

from __future__ import annotations

import pytest

from scaledesign.view.lines import DRAWN, TYPED, Signs, cut, key_line, text_of, tone_of, wrapped


@pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=lambda signs: signs.name)
def test_what_was_cut_has_a_sign_of_its_own(signs: Signs) -> None:
    others = [getattr(signs, name) for name in Signs.__dataclass_fields__ if name not in ("name", "dots")]
    assert others.count(signs.ellipsis) == 1
    assert len(signs.ellipsis) == 1


@pytest.mark.parametrize(
    ("cents", "tone"),
    [(0.0, "true"), (5.0, "true"), (-5.0, "true"), (5.1, "sharp"), (-5.1, "flat"), (float("nan"), "true")],
)
def test_the_tone_of_an_error(cents: float, tone: str) -> None:
    assert tone_of(cents, 5.0) == tone


@pytest.mark.parametrize(
    ("text", "width", "shown"),
    [
        ("Undo", 4, "Undo"),
        ("Undo it", 6, "Undo…"),
        ("Undo it", 7, "Undo it"),
        ("Undo", 1, "…"),
        ("Undo", 0, ""),
    ],
)
def test_what_is_cut_says_so(text: str, width: int, shown: str) -> None:
    assert cut(text, width) == shown


def test_no_name_is_parted_in_a_sentence_that_is_laid_out() -> None:
    lines = [text_of(line) for line in wrapped("Writes marsh-wren-template.pdf.", 26, "plain", "  ", "1 ")]
    assert lines == ["1 Writes", "  marsh-wren-template.pdf."]
    assert wrapped("", 40) == ()


def test_keys_are_shown_as_far_as_there_is_room() -> None:
    keys = (("Enter", "take it"), ("F6", "something else was done"), ("F1", "help"))
    assert text_of(key_line(keys, 25)) == " Enter take it  F1 help "
    assert text_of(key_line(keys, 14)) == " F1 help "  # what is too long is passed over
