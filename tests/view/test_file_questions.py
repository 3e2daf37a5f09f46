"""Where to save and what to export, checked as it is typed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.errors import EditError
from scaledesign.locations import EXAMPLES
from scaledesign.view.file_questions import (
    FORM_WORDS,
    WHAT_WORDS,
    Export,
    SaveAs,
    design_place,
    file_name,
    place_of,
    trouble_with,
)
from tests.view.working import answered, desk_of, nameless_scale, opened, words

START = opened()


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Marsh wren", "marsh-wren.toml"),
        ("  Nº 3 / elder!", "nº-3-elder.toml"),
        ("", "flute.toml"),
        ("???", "flute.toml"),
        ("../../etc", "etc.toml"),
    ],
)
def test_a_file_is_named_after_its_flute(title: str, name: str, tmp_path: Path) -> None:
    assert file_name(title, tmp_path) == name


def test_a_name_that_is_taken_gets_a_number(tmp_path: Path) -> None:
    for count in ("", "-2"):
        (tmp_path / f"wren{count}.toml").touch()
    assert file_name("Wren", tmp_path) == "wren-3.toml"


def test_a_home_that_nobody_has_is_a_name(tmp_path: Path) -> None:
    assert place_of("~nobody-of-that-name/wren.toml", tmp_path).name == "wren.toml"


def test_a_typed_place(tmp_path: Path) -> None:
    assert place_of("wren.toml", tmp_path) == tmp_path / "wren.toml"
    assert place_of(" /a/b.toml ", tmp_path) == Path("/a/b.toml")
    assert place_of("~/b.toml", tmp_path) == Path.home() / "b.toml"


def test_what_is_in_the_way(tmp_path: Path) -> None:
    assert trouble_with(tmp_path / "new.toml") == ""
    assert "is a folder" in trouble_with(tmp_path)
    assert "There is no folder" in trouble_with(tmp_path / "nowhere" / "new.toml")
    assert trouble_with(tmp_path / ("x" * 300 + ".toml")).endswith("choose another name.")


# Save as


def test_a_name_gets_its_ending(tmp_path: Path) -> None:
    asked = SaveAs(tmp_path, "wren")
    assert asked.path == tmp_path / "wren.toml"
    assert asked.ready
    assert words(*asked.tail(200)) == f"Writes {tmp_path / 'wren.toml'}."
    assert asked.answered("file", "other.flute").path == tmp_path / "other.flute"


def test_what_would_be_replaced_is_said(tmp_path: Path) -> None:
    there = tmp_path / "wren.toml"
    there.touch()
    asked = SaveAs(tmp_path, "wren.toml")
    assert words(*asked.tail(200)) == f"Replaces {there}."
    assert asked.tail(200)[0][0].tone == "reach"
    assert asked.questions()[0].note == "replaces the file that is there"
    assert words(*replace(asked, own=there).tail(200)) == f"Writes {there}."


@pytest.mark.parametrize("typed", ["", "  ", "nowhere/wren.toml", ".", "/", "x" * 300])
def test_no_place_no_saving(tmp_path: Path, typed: str) -> None:
    asked = SaveAs(tmp_path, typed)
    (question,) = asked.questions()
    assert question.problem.endswith(".")
    assert not asked.ready
    assert words(*asked.tail(80)) == ""


# Export


def export(folder: Path, **answers: str) -> Export:
    asked = Export(START.sheet, folder)
    for name, text in answers.items():
        asked = asked.answered(name, text)
    return asked


def test_nothing_needs_to_be_answered(tmp_path: Path) -> None:
    asked = export(tmp_path)
    assert asked.chosen == ("holes", "text")
    assert asked.ready
    assert asked.path.parent == tmp_path
    assert words(*asked.tail(200)) == f"Writes {asked.path}."
    assert [question.name for question in asked.questions()] == ["what", "form", "file"]


@pytest.mark.parametrize("what", ["holes", "chart"])
@pytest.mark.parametrize("form", FORM_WORDS)
def test_lists_can_be_written_in_every_form(tmp_path: Path, what: str, form: str) -> None:
    asked = export(tmp_path, what=what, form=form)
    assert asked.chosen == (what, form)
    text = asked.made()
    assert isinstance(text, str)
    if what == "chart":
        assert all(row.note in text for row in START.design.rows if row.role == "scale")
    else:
        assert len(text.splitlines()) > len(START.design.holes)
    assert ("\t" in text) == (form == "tsv")


@pytest.mark.parametrize(
    ("form", "ending", "begins"),
    [("", ".wav", b"RIFF"), ("midi", ".mid", b"MThd"), ("musicxml", ".musicxml", b"<?xml")],
)
def test_notes_can_be_written_as_sound_and_notation(
    tmp_path: Path, form: str, ending: str, begins: bytes
) -> None:
    asked = export(tmp_path, what="notes", form=form)
    assert asked.ready
    assert asked.path.suffix == ending
    made = asked.made()
    assert (made if isinstance(made, bytes) else made.encode()).startswith(begins)
    if form == "musicxml":
        assert isinstance(made, str)
        assert made.count("<note>") - made.count("<rest") == len(START.design.rows)


def test_notes_have_forms_of_their_own(tmp_path: Path) -> None:
    asked = export(tmp_path, what="notes", form="csv")
    assert [question.name for question in asked.questions() if question.problem] == ["form"]
    assert [choice.answer for choice in asked.questions()[1].choices] == ["wav", "midi", "musicxml"]
    assert [choice.answer for choice in asked.questions()[0].choices] == list(WHAT_WORDS)


def test_places_are_exported_as_they_are_measured(tmp_path: Path) -> None:
    texts = {
        measure: Export(replace(START, measure=measure).sheet, tmp_path, form="tsv").made()  # type: ignore[arg-type]
        for measure in ("edge", "foot", "cut-end", "gap")
    }
    assert texts["gap"] == texts["edge"]
    assert len(set(texts.values())) == 3


@pytest.mark.parametrize(
    ("name", "typed"), [("what", "flute"), ("form", "pdf"), ("file", "nowhere/x.txt"), ("file", "x" * 300)]
)
def test_what_cannot_be_exported(tmp_path: Path, name: str, typed: str) -> None:
    asked = export(tmp_path, **{name: typed})
    assert [question.name for question in asked.questions() if question.problem] == [name]
    assert not asked.ready


def test_a_file_that_is_there_is_named(tmp_path: Path) -> None:
    (tmp_path / "list.txt").touch()
    assert export(tmp_path, file="list.txt").questions()[2].note == "replaces the file that is there"


def test_a_flute_of_which_nothing_is_known_is_not_exported(tmp_path: Path) -> None:
    asked = Export(answered(desk_of(nameless_scale())).sheet, tmp_path)
    assert not asked.ready
    assert "nothing can be written" in words(*asked.tail(200))
    with pytest.raises(EditError):
        asked.made()


# Open and save as


@pytest.mark.parametrize(
    ("typed", "there", "meant"),
    [
        ("wren", (), "wren.toml"),
        ("wren", ("wren",), "wren"),
        ("wren", ("wren.toml",), "wren.toml"),
        ("wren", ("wren", "wren.toml"), "wren"),
        ("wren.flute", (), "wren.flute"),
        (" wren ", (), "wren.toml"),
    ],
)
def test_open_and_save_as_mean_the_same_file(
    tmp_path: Path, typed: str, there: tuple[str, ...], meant: str
) -> None:
    for name in there:
        (tmp_path / name).touch()
    assert design_place(typed, tmp_path) == tmp_path / meant
    assert SaveAs(tmp_path, typed).path == tmp_path / meant


@pytest.mark.parametrize("typed", ["", ".", "/", "x" * 300, "~nobody-of-that-name"])
def test_what_is_no_name_is_no_crash(tmp_path: Path, typed: str) -> None:
    assert isinstance(design_place(typed, tmp_path), Path)
    assert isinstance(SaveAs(tmp_path, typed).ready, bool)


def test_the_examples_are_not_written_to() -> None:
    for asked in (SaveAs(EXAMPLES, "marsh-wren"), SaveAs(EXAMPLES, "mine"), export(EXAMPLES)):
        assert any("never written to" in question.problem for question in asked.questions())
        assert not asked.ready


def test_a_list_does_not_replace_its_design(tmp_path: Path) -> None:
    own = tmp_path / "wren.toml"
    own.touch()
    asked = replace(export(tmp_path, file="./wren.toml"), own=own)
    assert "is the design itself" in asked.questions()[2].problem
    assert not asked.ready
    assert replace(asked, file="other.toml").ready


def test_what_is_being_worked_out_is_waited_for(tmp_path: Path) -> None:
    asked = replace(export(tmp_path), waiting=True)
    assert not asked.ready
    assert words(*asked.tail(80)) == "A moment: the holes are being worked out."
