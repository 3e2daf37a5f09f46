"""Looking things up: names, other names, nearest names; rows of every system for every scale that fits."""

from __future__ import annotations

import pytest

from scaledesign.errors import EditError, QuantityError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.model.document import Tuning
from scaledesign.model.pitch import Note, cents_between, note_frequency, parse_note
from scaledesign.model.scale import EQUAL, Scale, Tuned

FOUND = catalogue(folders=())
FITTING = [
    (system.name, scale.name) for system in FOUND.systems() for scale in FOUND.scales() if system.fits(scale)
]


def test_names_count_without_case_and_blanks() -> None:
    assert FOUND.scale(" Pentatonic  MINOR ").name == "pentatonic minor"
    assert FOUND.system("Six-Hole Diatonic").name == "six-hole diatonic"


@pytest.mark.parametrize(
    ("other", "name"),
    [
        ("yu", "pentatonic minor"),
        ("gong", "pentatonic major"),
        ("ionian", "major"),
        ("natural minor", "minor"),
    ],
)
def test_other_names(other: str, name: str) -> None:
    assert FOUND.scale(other).name == name


def test_a_scale_is_found_by_the_words_of_its_name_in_any_order() -> None:
    assert FOUND.scale("minor pentatonic").name == "pentatonic minor"
    for scale in FOUND.scales():
        for name in (scale.name, *scale.also):
            turned = " ".join(reversed(name.split()))
            assert FOUND.scale(turned).name == scale.name, turned


def test_words_that_two_scales_share_choose_neither() -> None:
    fourths, fifths = Scale("low bright one", (0.0, 500.0)), Scale("one low bright", (0.0, 700.0))
    both = Catalogue(_scales=(fourths, fifths))
    assert both.scale("one low bright") is fifths, "a name as it is written comes first"
    with pytest.raises(UnknownNameError, match="did you mean"):
        both.scale("bright low one")


def test_unknown_names_get_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="named 'pentatonic minr'; did you mean 'pentatonic minor'"):
        FOUND.scale("pentatonic minr")
    with pytest.raises(UnknownNameError, match="did you mean 'six-hole diatonic'"):
        FOUND.system("six hole diatonic")
    with pytest.raises(UnknownNameError, match=r"known: pentatonic minor, "):
        FOUND.scale("qqq")
    with pytest.raises(UnknownNameError, match="known: none"):
        Catalogue().system("x")


def test_the_scale_that_a_tuning_means() -> None:
    assert FOUND.scale_of(Tuning()) is EQUAL
    assert FOUND.scale_of(Tuning(scale="dorian")).name == "dorian"
    assert FOUND.scale_of(Tuning(scale="dorian", degrees=("1", "3/2"))).cents[1] == pytest.approx(
        701.955, abs=1e-3
    )
    with pytest.raises(QuantityError):
        FOUND.scale_of(Tuning(degrees=("3/2", "1")))


def test_a_scale_that_does_not_fit_names_the_systems_that_do() -> None:
    with pytest.raises(EditError) as caught:
        FOUND.rows("five-hole pentatonic", FOUND.scale("major"), parse_note("D5"), 440.0)
    assert "'major' has 7 notes" in str(caught.value)
    assert "six-hole diatonic, six-hole-and-thumb" in str(caught.value)
    with pytest.raises(EditError, match="choose a scale of 5 notes"):
        FOUND.rows("five-hole pentatonic", EQUAL, parse_note("D5"), 440.0)


def test_there_is_much_to_choose_from() -> None:
    assert len(FITTING) > 150
    assert {name for name, _ in FITTING} == {system.name for system in FOUND.systems()}
    assert FOUND.systems_for(FOUND.scale("blues")) == ("six-hole diatonic",)


@pytest.mark.parametrize(("system", "scale"), FITTING)
def test_rows_of_every_system_for_every_scale_that_fits(system: str, scale: str) -> None:
    for tonic in ("A4", "F#4", "Bb3"):
        _rows_are_the_scale(system, FOUND.scale(scale), parse_note(tonic))


def _rows_are_the_scale(system: str, chosen: Scale, start: Note) -> None:
    rows = FOUND.rows(system, chosen, start, 440.0)
    tuned = Tuned(chosen, start, 440.0)
    bottom = note_frequency(start, 440.0)
    targets = [tuned.target(row.note) for row in rows]
    assert targets == sorted(targets)
    played = [cents_between(bottom, tuned.target(row.note)) for row in rows if row.role == "scale"]
    degrees = [*chosen.cents, chosen.period][: len(played)]
    assert played == pytest.approx(degrees, abs=1e-6)
    degree_notes = {row.note for row in rows if row.role == "scale"}
    for row in rows:
        assert len(row.holes) == len(FOUND.system(system).slots)
        assert parse_note(row.note).name == row.note
        if row.role == "chromatic":
            assert row.note not in degree_notes
