"""The bundled plug-ins: conformance, imports, and the music in them."""

from __future__ import annotations

import ast
import csv
import itertools
from pathlib import Path

import pytest
from music21 import scale as m21

from scaledesign.api import check_plugin
from scaledesign.extend.registry import catalogue
from scaledesign.locations import PLUGINS
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale, Tuned

FOUND = catalogue(folders=())
FILES = sorted(PLUGINS.rglob("*.py"))
DATA = Path(__file__).parents[1] / "data" / "scales"


@pytest.mark.parametrize("name", [plugin.name for plugin in FOUND.plugins()])
def test_conformance(name: str) -> None:
    assert check_plugin(name, FOUND) == ()


def test_every_plug_in_in_the_folder_is_there_and_well() -> None:
    bundled = [plugin for plugin in FOUND.plugins() if plugin.origin == "bundled"]
    assert len(bundled) == len([path for path in PLUGINS.iterdir() if not path.name.startswith(("_", "."))])
    assert [plugin.problem for plugin in FOUND.plugins()] == [""] * len(bundled), (
        "scale files are all well too"
    )


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_plug_ins_import_only_the_api(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert not [alias.name for alias in node.names if alias.name.split(".")[0] == "scaledesign"]
        if isinstance(node, ast.ImportFrom) and not node.level:
            assert node.module == "scaledesign.api" or not str(node.module).startswith("scaledesign")


def test_the_plug_in_folder_is_no_package() -> None:
    """An ``__init__.py`` there would collide with ``scaledesign/bundled/__init__.py`` in the wheel."""
    assert not (PLUGINS / "__init__.py").exists() or PLUGINS.name == "bundled"


def steps_of(scale: Scale) -> list[float]:
    ends = [*scale.cents, scale.period]
    return [(high - low) / 100 for low, high in itertools.pairwise(ends)]


@pytest.mark.parametrize("mode", ["gong", "shang", "jue", "zhi", "yu"])
def test_the_five_modes_are_the_published_ones_and_rotations_of_gong(mode: str) -> None:
    """Ho & Han 1982, through McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851."""
    with (DATA / "scales-steps.csv").open(encoding="utf-8") as file:
        (row,) = (row for row in csv.DictReader(file) if row["name"] == mode)
    steps = steps_of(FOUND.scale(mode))
    assert steps == list(map(float, row["steps"].split()))
    assert sum(steps) == 12
    gong = steps_of(FOUND.scale("gong"))
    assert steps in [gong[turn:] + gong[:turn] for turn in range(5)]


MODES = {
    "lydian": m21.LydianScale,
    "major": m21.MajorScale,
    "mixolydian": m21.MixolydianScale,
    "dorian": m21.DorianScale,
    "minor": m21.MinorScale,
    "phrygian": m21.PhrygianScale,
    "locrian": m21.LocrianScale,
    "harmonic minor": m21.HarmonicMinorScale,
}


@pytest.mark.parametrize("name", MODES)
@pytest.mark.parametrize("tonic", ["C4", "D4", "F4", "A4", "Bb4", "F#4", "Eb4", "G#4"])
def test_diatonic_scales_are_those_of_music21(name: str, tonic: str) -> None:
    tuned = Tuned(FOUND.scale(name), parse_note(tonic), 440.0)
    theirs = MODES[name](tonic.replace("b", "-")).getPitches()[:7]
    mine = [tuned.written(tuned.scale.place_of(degree)).name for degree in range(7)]
    assert mine == [pitch.nameWithOctave.replace("-", "b") for pitch in theirs]
    assert [tuned.target(note) for note in mine] == pytest.approx([pitch.frequency for pitch in theirs])


@pytest.mark.parametrize("name", ["hirajoshi", "kumoi joshi", "iwato", "blues", "major blues", "rast"])
def test_scales_from_step_patterns_are_the_published_ones(name: str) -> None:
    """Hewitt 2013 and Ellis 1885, through McBride, Passmore & Tlusty 2023."""
    published = {"blues": "minor blues"}.get(name, name)
    with (DATA / "scales-steps.csv").open(encoding="utf-8") as file:
        (row,) = (row for row in csv.DictReader(file) if row["name"] == published)
    unit = 1.0 if row["unit"] == "semitones" else 0.01
    assert steps_of(FOUND.scale(name)) == pytest.approx([unit * float(step) for step in row["steps"].split()])


@pytest.mark.parametrize("system", FOUND.systems(), ids=lambda system: system.name)
def test_every_system_gives_twelve_rows_with_chromatic_and_overblown_ones(system: object) -> None:
    name, home = system.name, system.home
    rows = FOUND.rows(name, FOUND.scale(home), parse_note("A4"), 440.0)
    assert len(rows) >= 12
    assert sum(row.role == "chromatic" for row in rows) >= 4
    assert sum(row.register == 2 for row in rows) >= 4
    assert all(row.role == "alternate" for row in rows if row.register == 2)


def test_the_held_hole_stays_closed_through_the_scale() -> None:
    """Third hole from the mouth: common practice on six-hole slow-air-chamber flutes, no source."""
    rows = FOUND.rows("six-hole pentatonic", FOUND.scale("pentatonic minor"), parse_note("A4"), 440.0)
    played = {row.note: "".join(row.holes) for row in rows if row.role == "scale"}
    assert played == {
        "A4": "XXXXXX",
        "C5": "XXXXXO",
        "D5": "XXXXOO",
        "E5": "XXXOOO",
        "G5": "XOXOOO",
        "A5": "OOXOOO",
    }
    assert {row.note for row in rows if row.holes == tuple("XXOOOO")} == {"F#5"}


def test_thumb_holes_lie_at_the_back() -> None:
    for name in ("six-hole-and-thumb", "four-hole-and-thumb"):
        slots = FOUND.system(name).slots
        assert (slots[0].finger, slots[0].side) == ("LT", 180.0)
        assert all(slot.side == 0.0 for slot in slots[1:])
