"""Where to save, checked as it is typed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.locations import EXAMPLES
from scaledesign.view.file_questions import (
    SaveAs,
    design_place,
    file_name,
    place_of,
    trouble_with,
)
from tests.view.working import words


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
    for asked in (SaveAs(EXAMPLES, "marsh-wren"), SaveAs(EXAMPLES, "mine")):
        assert any("never written to" in question.problem for question in asked.questions())
        assert not asked.ready
