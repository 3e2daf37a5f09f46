"""What is written is MusicXML 4.0 as the published schema defines it (tests/data/musicxml)."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from scaledesign.cli import main
from scaledesign.cli.options import example_names
from scaledesign.model.pitch import parse_note
from scaledesign.sounding.musicxml import musicxml_text
from scaledesign.sounding.score import Score, in_turn, over, pitched, together

XSD = Path(__file__).parents[1] / "data/musicxml/musicxml_4_0.xsd"
SHORT = ("--example", "marsh-wren", "--rows", "1-3")


@cache
def schema() -> Any:
    """The published schema; only what lies on this disk is read."""
    import xmlschema

    return xmlschema.XMLSchema(str(XSD), allow="local")


def faults(text: str) -> list[str]:
    """What the schema says against a text."""
    return [f"{error.path}: {error.reason}" for error in schema().iter_errors(text)]


@pytest.mark.parametrize(
    "words",
    [
        *(("--example", name, "--rows", "all") for name in example_names()),
        (*SHORT, "--what", "both"),
        (*SHORT, "--what", "both", "--whole"),
        (*SHORT, "--what", "wanted", "--scale", "just major", "--scale", "blues"),
        (*SHORT, "--together"),
        (*SHORT, "--what", "both", "--together", "--drone", "tonic"),
        (*SHORT, "--drone", "1/2", "--order", "up-down", "--tempo", "72.5"),
        ("--scale", "19 equal", "--tonic", "D3"),
        ("--scale", "major", "--scale", "just major", "--tonic", "D7", "--whole"),
    ],
    ids=" ".join,
)
def test_every_way_to_write_it_is_valid(words: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "notes.musicxml"
    assert main(["hear", *words, "-o", str(path)]) == 0
    assert faults(path.read_text(encoding="utf-8")) == []


def test_notes_of_every_kind_are_valid() -> None:
    """All signs, ties over bars, chords, halves, titles with signs of XML, another A4."""
    holes = (("LT", "H"), ("L1", "X"), ("R3", "O"))
    signs = ("", "b", "#", "~", "`", "b`", "#~", "bb", "##")
    notes = [
        pitched(430.0 + i, 415.3, parse_note(f"A{sign}4"), "plays", holes) for i, sign in enumerate(signs)
    ]
    for played in (in_turn([notes, notes]), in_turn([notes], "whole"), over(together([notes], 7), notes[0])):
        assert faults(musicxml_text(Score(played, 'Reed & "rush" <♯>', 33.3, 415.3))) == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("<hole-closed>half</hole-closed>", "<hole-closed>partly</hole-closed>", "hole-closed"),
        ("<step>A</step>", "<step>H</step>", "step"),
        ("<technical>", "<technical><cents>3</cents>", "cents"),
        ("<duration>1</duration>", "", "duration"),
    ],
)
def test_the_schema_sees_a_fault(old: str, new: str, said: str) -> None:
    holes = (("L1", "H"),)
    text = musicxml_text(Score(in_turn([[pitched(440.0, 440.0, parse_note("A4"), "", holes)]])))
    assert faults(text) == []
    assert old in text
    found = faults(text.replace(old, new))
    assert found
    assert any(said in fault for fault in found)


def test_words_of_a_maker_that_xml_has_no_place_for() -> None:
    notes = in_turn([[pitched(440.0, 440.0, parse_note("A4"), "one\x07scale")]])
    text = musicxml_text(Score(notes, "bell\x07 and \x00\ufffe \U0001f426 <&>"))
    assert faults(text) == []
    assert "bell" in text
    assert "\U0001f426" in text
