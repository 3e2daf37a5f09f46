"""Keeping a scale as plain data: names that are free, files of each kind, and that they read back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from scaledesign.extend.registry import catalogue
from scaledesign.files import midi_tuning, scale_file
from scaledesign.view.scale_files import keep_own
from scaledesign.view.scale_keeping import Keeping
from scaledesign.workshop import ask
from tests.view.working import example, words

DESIGN = replace(
    example(),
    tuning=replace(example().tuning, scale="", degrees=("1", "6/5", "498 c", "702 c", "1018 c")),
)


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Keeping:
    monkeypatch.setenv("SCALEDESIGN_HOME", str(tmp_path / "home"))
    return Keeping(DESIGN, ask.offers(), tmp_path)


def problem(asked: Keeping, name: str) -> str:
    return next(question.problem for question in asked.questions() if question.name == name)


def test_it_wants_a_name_first(start: Keeping) -> None:
    assert not start.ready
    assert words(*start.tail(76)) == "Type a name for it."
    assert start.answered("name", "river").ready
    with pytest.raises(KeyError):
        start.answered("colour", "red")


def test_among_ones_own_it_is_found_by_its_name(start: Keeping) -> None:
    kept = replace(start, name="  river  fifths ", words="Dark.").kept()
    assert (kept.scale.name, kept.path.name, kept.data) == ("river fifths", "river-fifths.toml", None)
    keep_own(kept.scale, kept.path)
    found = catalogue().scale("River Fifths")
    assert found.cents == pytest.approx((0, 315.641, 498, 702, 1018), abs=1e-3)
    assert (found.kind, found.words, found.source) == ("your own", "Dark.", "degrees of Marsh wren")


@pytest.mark.parametrize("name", ["Major", "19 equal", "equal temperament"])
def test_a_name_that_is_taken_is_refused_in_a_sentence(start: Keeping, name: str) -> None:
    asked = replace(start, name=name)
    assert "is the name of a scale already; give yours another name." in problem(asked, "name")
    assert not asked.ready
    assert replace(asked, where="scale file").ready


def test_a_file_of_ones_own_is_not_written_over(start: Keeping) -> None:
    kept = replace(start, name="river").kept()
    keep_own(kept.scale, kept.path)
    assert "is there already; give it another name." in problem(replace(start, name="river"), "name")


def test_a_scale_file_reads_back(start: Keeping) -> None:
    asked = replace(start, where="scale file")
    kept = asked.kept()
    assert (kept.path.name, kept.scale.name) == ("marsh-wren-scale.toml", "Marsh wren scale")
    assert kept.data is not None
    assert scale_file.loads(kept.data.decode()).cents[1] == pytest.approx(315.641287, abs=1e-6)
    assert "marsh-wren-scale.toml" in words(*asked.tail(300))


@pytest.mark.parametrize(("where", "size"), [("MIDI tuning", 408), ("MIDI notes", 528)])
def test_a_tuning_for_midi_instruments_reads_back(start: Keeping, where: str, size: int) -> None:
    kept = replace(start, where=where, file="keys").kept()
    assert kept.path.name == "keys.syx"
    assert kept.data is not None
    assert len(kept.data) == size
    (table,) = midi_tuning.loads(kept.data).tables
    assert table.frequency(69) == pytest.approx(440.0, abs=0.01)
    assert table.frequency(72) == pytest.approx(528.0, abs=0.02)


@pytest.mark.parametrize(
    ("where", "file", "said"),
    [
        ("scale file", "no/such/river.toml", "There is no folder"),
        ("scale file", "river.syx", "ends in .toml"),
        ("MIDI tuning", "river.toml", "ends in .syx"),
    ],
)
def test_a_file_that_cannot_be_is_said(start: Keeping, where: str, file: str, said: str) -> None:
    asked = replace(start, where=where, file=file)
    assert said in problem(asked, "file")
    assert not asked.ready


def test_another_place_is_refused(start: Keeping) -> None:
    assert "my scales" in problem(replace(start, where="attic", name="river"), "where")


def test_a_file_that_is_there_is_told(start: Keeping, tmp_path: Path) -> None:
    (tmp_path / "river.toml").touch()
    asked = replace(start, where="scale file", file="river.toml")
    assert asked.questions()[3].note == "replaces the file that is there"


def test_letters_that_cannot_be_stored_are_refused(start: Keeping) -> None:
    assert "cannot be stored" in problem(replace(start, name="\ud800"), "name")


def test_a_scale_that_nobody_offers_cannot_be_kept(start: Keeping) -> None:
    lost = replace(DESIGN, tuning=replace(DESIGN.tuning, scale="moonlit", degrees=()))
    asked = replace(start, design=lost, name="river")
    assert not asked.ready
    assert "Nobody offers" in words(*asked.tail(76))
