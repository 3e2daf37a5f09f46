"""The questions of carrying a pattern over: its own answers are usual, what cannot be read is said."""

from __future__ import annotations

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.view.carry_questions import ASKED, CarryOver
from scaledesign.workshop.carry import Other

WREN = CarryOver(load(EXAMPLES / "marsh-wren.toml"))


def test_the_patterns_own_answers_are_usual() -> None:
    questions = WREN.questions()
    names = ("tube", "key", "scale", "hand", "avoid", "habits", "name")
    assert tuple(question.name for question in questions) == names
    usual = [question.usual for question in questions[:ASKED]]
    assert usual == ["15.9 x 3.8 mm, alike", "A4", "pentatonic minor", "medium"]
    assert WREN.wanted() == Other()


def test_what_is_typed_is_wanted() -> None:
    typed = WREN.answered("tube", "17.5 x 4 x 450 mm").answered("key", "g4").answered("avoid", "171..176")
    want = typed.answered("habits", "as it plays").answered("hand", "small").wanted()
    assert want is not None
    assert want.tube is not None
    assert (want.tube.bore, want.key, want.avoid, want.hand) == (0.0175, "G4", ((0.171, 0.176),), "small")
    assert want.as_it_plays
    assert "In proportion G4 +34" in typed.preview()


def test_what_cannot_be_read_is_said_and_nothing_is_wanted() -> None:
    for name, text in (
        ("tube", "wide"),
        ("key", "H9"),
        ("hand", "paw"),
        ("avoid", "176..171"),
        ("habits", "no"),
    ):
        wrong = WREN.answered(name, text)
        assert wrong.wanted() is None
        assert wrong.preview()
