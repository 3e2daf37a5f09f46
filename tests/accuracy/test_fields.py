"""Field solutions are read, played and judged as the page says."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from scaledesign.accuracy import fields
from scaledesign.accuracy.fields import FieldTube, Group, Note, field_tubes, groups


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(fields, "FIELDS", tmp_path)
    return tmp_path


def solved(holes: list[dict[str, Any]], foot: float | None, frequency: dict[str, list[float]]) -> str:
    """A file as ``tests.fields.make`` writes it."""
    geometry = {"length": 400, "bore": 16, "wall": 4, "holes": holes, "foot_bore": foot}
    fingerings = {name: {"fine": {"frequency_hz": hz}} for name, hz in frequency.items()}
    return json.dumps({"sound_mm_s": 343370.0, "geometry_mm": geometry, "fingerings": fingerings})


def hole(at: float, diameter: float, **other: float) -> dict[str, Any]:
    return {"at": at, "diameter": diameter, "across": None, "undercut": 0, "slant": 0, **other}


def test_a_file_is_a_tube_with_its_notes(folder: Path) -> None:
    """An unflanged tube would sound 424.0 Hz; a wall of 4 mm at the foot takes 0.9 Hz."""
    text = solved([hole(300, 7)], None, {"X": [422.5, 847.0], "O": [514.0, 989.0]})
    (folder / "one.json").write_text(text, encoding="utf-8")
    (tube,) = field_tubes()
    assert tube.name == "one"
    assert tube.geometry == "400 mm, bore of 16, wall of 4; holes at place (width) 300 (7)"
    assert [(note.fingering, note.register) for note in tube.notes] == [
        ("X", 1),
        ("O", 1),
        ("X", 2),
        ("O", 2),
    ]
    assert max(abs(note.off) for note in tube.notes) < 15
    opened = {note.fingering: note.ours for note in tube.notes if note.register == 1}
    assert opened["O"] > opened["X"] + 80


def test_what_is_unusual_is_said_and_heard(folder: Path) -> None:
    plain, taper = ([hole(300, 7)], None), ([hole(300, 7)], 13)
    oval = ([hole(300, 9, across=6)], None)
    heard = {}
    for name, (holes, foot) in {"plain": plain, "taper": taper, "oval": oval}.items():
        (folder / f"{name}.json").write_text(solved(holes, foot, {"O": [514.0, 989.0]}), encoding="utf-8")
    for tube in field_tubes():
        heard[tube.name] = (tube.notes[0].ours, tube.geometry)
    assert len({hertz for hertz, _ in heard.values()}) == 3
    assert "bore of 16 to 13" in heard["taper"][1]
    assert "(9 x 6)" in heard["oval"][1]
    assert {tube.name: tube.shaped for tube in field_tubes()} == {
        "plain": False,
        "taper": False,
        "oval": True,
    }


def note(fingering: str, register: int, off: float) -> Note:
    return Note(fingering, register, 500.0, 500.0 * 2 ** (off / 1200))


def test_notes_are_judged_together() -> None:
    notes = (
        note("XO", 1, 1.2),
        note("OO", 1, -0.6),
        note("XO", 2, 3.0),
        note("OO", 2, 0.0),
        note("XH", 1, 4.0),
    )
    found = {group.what: group for group in groups([FieldTube("one", "", False, notes)])}
    assert list(found) == ["register 1", "register 2", "half-covered"]
    assert found["register 1"].rms == pytest.approx(0.9487, abs=1e-4)
    assert found["register 1"].worst.fingering == "XO"
    assert [group.outcome for group in found.values()] == ["met", "missed", "met"]


@pytest.mark.parametrize(("what", "off", "met"), [
    ("register 1", (0.9, 0.9), True), ("register 1", (1.1, 1.1), False), ("register 1", (0.1, 1.6), False),
    ("register 2", (0.1, -4.1), False), ("half-covered", (4.9, -4.9), True),
    ("half-covered", (0.0, 5.1), False),
])  # fmt: skip
def test_root_mean_square_and_worst_both_count(what: str, off: tuple[float, ...], met: bool) -> None:
    notes = tuple(note("O", 1, cents) for cents in off)
    assert Group("", what, False, notes).outcome == ("met" if met else "missed")
    assert Group("", what, True, notes).outcome == "no limit"


def test_without_fields_there_is_nothing(folder: Path) -> None:
    assert field_tubes() == ()
