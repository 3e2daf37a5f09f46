"""Retuning as plain data: every answer by itself and together, what comes of it, what is wrong with it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.files import document_file, midi_tuning, scale_file
from scaledesign.model.edits import Retune, apply
from scaledesign.model.key_table import table_of
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale, Tuned
from scaledesign.view.lines import DRAWN
from scaledesign.view.scale_retuning import Retuning
from scaledesign.workshop import ask
from tests.view.working import example, words

DESIGN = example()
"""A4 pentatonic minor."""
START = Retuning(DESIGN, ask.offers())


def edit(asked: Retuning) -> Retune:
    made = asked.edit
    assert isinstance(made, Retune), made
    return made


def notes(asked: Retuning) -> list[str]:
    return [row.note for row in apply(DESIGN, edit(asked)).rows]


def problem(asked: Retuning, name: str) -> str:
    return next(question.problem for question in asked.questions() if question.name == name)


def test_left_empty_nothing_changes() -> None:
    assert (START.edit, START.ready, START.said()) == ("", False, "Nothing changes yet.")
    assert [question.usual for question in START.questions()] == ["pentatonic minor", "A4", "1", "none", "0"]
    assert all(not question.problem for question in START.questions())
    with pytest.raises(KeyError):
        START.answered("colour", "red")


def test_a_scale_of_the_catalogue_is_taken_by_its_name() -> None:
    asked = replace(START, scale="Just Pentatonic minor")
    assert edit(asked).tuning.scale == "just pentatonic minor"
    assert edit(asked).tuning.degrees == ()
    assert edit(asked).label == "retune to A4 just pentatonic minor"


def test_another_tonic_takes_the_rows_along() -> None:
    asked = replace(START, tonic="g4")
    assert edit(asked).tuning.tonic == "G4"
    assert notes(asked)[0] == "G4"
    assert "then  G4" in words(*asked.lines(DRAWN, 76))


def test_begun_elsewhere() -> None:
    asked = replace(START, begin="2")
    assert edit(asked).tuning.degrees == ("1", "200 c", "400 c", "700 c", "900 c")
    assert words(*asked.lines(DRAWN, 76)).splitlines()[2].split() == [
        "then", "A4", "0", "200", "400", "700", "900", "1200",
    ]  # fmt: skip
    choices = next(question.choices for question in asked.questions() if question.name == "tonic")
    assert (choices[1].answer, choices[1].words) == ("C5", "its 2nd: the notes stay the same")


def test_stretched() -> None:
    assert edit(replace(START, stretch="12 c")).tuning.degrees == (
        "1", "303 c", "505 c", "707 c", "1010 c", "1212 c",
    )  # fmt: skip
    assert edit(replace(START, scale="major", stretch="+6")).tuning.degrees[-1] == "1206 c"


def test_mixed_half_way_or_by_a_share() -> None:
    half = edit(replace(START, mix="pentatonic jue"))
    assert half.tuning.degrees == ("1", "300 c", "500 c", "750 c", "1000 c")
    some = edit(replace(START, mix="pentatonic jue 10 %"))
    assert some.tuning.degrees[3] == "710 c"
    offered = next(question.choices for question in START.questions() if question.name == "mix")
    assert {len(ask.offers().scale(choice.answer).cents) for choice in offered[1:]} == {5}


def test_all_at_once_in_the_order_of_the_lines() -> None:
    asked = replace(START, scale="pentatonic major", begin="5", stretch="12", tonic="D5")
    assert edit(asked).tuning.tonic == "D5"
    assert edit(asked).tuning.degrees == ("1", "303 c", "505 c", "707 c", "1010 c", "1212 c")


def test_a_scale_with_other_notes_says_which_rows_stay() -> None:
    assert "No note for rows 5, 7, 10: as before." in replace(START, scale="major").said()


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("scale", "moonlit", "moonlit"),
        ("tonic", "H9", "H9"),
        ("begin", "9", "write 1 to 5"),
        ("begin", "1.5", "write 1 to 5"),
        ("mix", "major", "mix scales with the same number"),
        ("mix", "pentatonic jue 130 %", "no share"),
        ("stretch", "700", "a few cents"),
        ("stretch", "wide", "wide"),
    ],
)
def test_what_is_wrong_is_said_beside_its_answer(name: str, text: str, said: str) -> None:
    asked = START.answered(name, text)
    assert said in problem(asked, name)
    assert not asked.ready
    assert all(
        not problem(asked, other) for other in ("scale", "tonic", "begin", "mix", "stretch") if other != name
    )


def test_a_period_below_the_octave_has_to_be_kept_first() -> None:
    asked = replace(START, stretch="-6")
    assert not asked.ready
    assert "scaledesign tuning --mine" in asked.said()


def test_scales_from_files(tmp_path: Path) -> None:
    river = Scale("river", (0.0, 290.0, 510.0, 690.0, 980.0))
    (tmp_path / "river.toml").write_text(scale_file.dumps(river), encoding="utf-8")
    table = table_of(Tuned(river, parse_note("A4"), 440.0))
    (tmp_path / "river.syx").write_bytes(midi_tuning.bulk_dump(table))
    own = replace(
        DESIGN, tuning=replace(DESIGN.tuning, scale="", degrees=("1", "290 c", "510 c", "690 c", "980 c"))
    )
    (tmp_path / "flute.toml").write_text(document_file.dumps(own), encoding="utf-8")
    asked = replace(START, folder=tmp_path)
    for name in ("river.toml", "flute.toml", str(tmp_path / "river.toml")):
        assert edit(replace(asked, scale=name)).tuning.degrees == own.tuning.degrees
    keys = replace(asked, scale="river.syx").wanted
    assert not isinstance(keys, str)
    assert len(keys.tuned.scale.cents) == 12
    assert keys.tuned.scale.cents[3] == pytest.approx(290.0, abs=0.01)
    assert "cannot be read" in problem(replace(asked, scale="gone.syx"), "scale")
    assert "gone.toml" in problem(replace(asked, scale="gone.toml"), "scale")


def test_many_degrees_are_cut_with_a_mark() -> None:
    lines = replace(START, scale="31 equal").lines(DRAWN, 76)
    assert all(len(words(line)) <= 76 for line in lines)
    assert words(lines[2]).endswith("…")


def test_a_scale_that_nobody_offers_can_be_left() -> None:
    lost = replace(DESIGN, tuning=replace(DESIGN.tuning, scale="moonlit", degrees=()))
    asked = Retuning(lost, ask.offers())
    assert "nobody offers" in asked.said()
    assert edit(replace(asked, scale="pentatonic minor")).tuning.scale == "pentatonic minor"
