"""Scales and tunings, held against published temperaments and measured scales."""

from __future__ import annotations

import csv
from itertools import accumulate
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError
from scaledesign.model.document import Design, Row, Station, Tube, Tuning
from scaledesign.model.pitch import cents_between, note_frequency, parse_note
from scaledesign.model.scale import (
    EQUAL,
    Scale,
    Tuned,
    parse_degree,
    retuned_rows,
    row_targets,
    scale_of_degrees,
)

DATA = Path(__file__).parents[1] / "data" / "scales"
PENTATONIC = Scale("pentatonic minor", (0, 300, 500, 700, 1000))
MAJOR = Scale("major", (0, 200, 400, 500, 700, 900, 1100))
MINOR = Scale("minor", (0, 200, 300, 500, 700, 800, 1000))


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def temperament(name: str) -> list[dict[str, str]]:
    return [row for row in table("temperaments.csv") if row["temperament"] == name]


NAMES = sorted({row["temperament"] for row in table("temperaments.csv")})


@pytest.mark.parametrize("name", NAMES)
def test_notes_of_historic_temperaments(name: str) -> None:
    """Hz of every written note on C4 = 261.6256; temperaments computed from the fifths they temper."""
    rows = temperament(name)
    scale = Scale(name, tuple(float(row["cents_from_C"]) for row in rows))
    tuned = Tuned(scale, parse_note("C4"), 440.0)
    for row in rows:
        frequency = tuned.target(f"{row['note']}4")
        assert frequency == pytest.approx(float(row["hz_with_C4_261.6256"]), abs=0.01)
        equal = note_frequency(parse_note(f"{row['note']}4"), 440.0)
        assert cents_between(equal, frequency) == pytest.approx(float(row["offset_from_equal"]), abs=0.01)


@pytest.mark.parametrize("row", table("scales-measured.csv"), ids=lambda row: row["row"])
def test_measured_scales_steps_to_degrees(row: dict[str, str]) -> None:
    """McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851; primary source in each row."""
    degrees = tuple(accumulate(map(float, row["intervals_cents"].split()), initial=0.0))
    assert degrees == tuple(map(float, row["degrees_cents"].split()))
    scale = Scale(row["row"], degrees[:-1], period=degrees[-1], source=row["source"])
    tuned = Tuned(scale, parse_note("D4"), 440.0)
    tonic = note_frequency(parse_note("D4"), 440.0)
    assert len(set(scale.places)) == len(degrees) - 1
    for index, cents in enumerate(degrees[:-1]):
        for period in (0, 1):
            note = tuned.written(scale.place_of(index + period * len(scale.cents)))
            wanted = cents + period * scale.period
            assert cents_between(tonic, tuned.target(note.name)) == pytest.approx(wanted, abs=1e-9)


def test_measured_scales_are_all_there() -> None:
    assert len(table("scales-measured.csv")) == 117


def test_shruti_have_22_places() -> None:
    """H. Bakshi's list of 22 ratios: rising, and each can be written (in quarter tones)."""
    rows = table("shruti.csv")
    scale = scale_of_degrees(tuple(row["ratio"] for row in rows), "shruti")
    assert scale.cents == pytest.approx([float(row["cents"]) for row in rows], abs=1e-4)
    assert len(set(scale.places)) == 22
    assert max(scale.places) < 12


def test_steps_of_named_scales_sum_to_an_octave() -> None:
    rows = [row for row in table("scales-steps.csv") if row["unit"] == "semitones"]
    assert len(rows) == 13
    assert all(sum(map(int, row["steps"].split())) == 12 for row in rows)


def test_a_note_of_the_scale_has_its_degree_and_another_its_equal_place() -> None:
    just = scale_of_degrees(("1", "6/5", "4/3", "3/2", "9/5"), "just")
    tuned = Tuned(just, parse_note("A4"), 442.0)
    assert tuned.target("C5") == pytest.approx(442.0 * 6 / 5)
    assert tuned.target("C6") == pytest.approx(442.0 * 12 / 5)
    assert tuned.target("G4") == pytest.approx(442.0 * 9 / 10)
    assert tuned.target("B4") == pytest.approx(442.0 * 2 ** (2 / 12))
    assert tuned.target("B#4") == tuned.target("C5")
    assert tuned.target("C5", cents=10) == pytest.approx(442.0 * 6 / 5 * 2 ** (10 / 1200))


def test_targets_that_are_no_notes() -> None:
    tuned = Tuned(PENTATONIC, parse_note("A4"), 440.0)
    assert tuned.target("523.3 Hz") == 523.3
    assert tuned.target("3/2") == pytest.approx(660.0)
    assert tuned.target("702 c") == pytest.approx(660.0, rel=1e-4)
    assert tuned.target("1", cents=1200.0) == pytest.approx(880.0)


def test_a_stretched_octave_stretches_the_written_octave() -> None:
    """Ellis 1885, slendro of a gender: 191 251 249 261 220, together 1172 cents."""
    scale = Scale("slendro", (0, 191, 442, 691, 952), period=1172.0)
    tuned = Tuned(scale, parse_note("C4"), 440.0)
    assert scale.span == 12
    assert cents_between(tuned.target("C4"), tuned.target("C5")) == pytest.approx(1172.0)
    assert cents_between(tuned.target("C4"), tuned.target("D5")) == pytest.approx(1172.0 + 191.0)


def test_degrees_as_written() -> None:
    assert parse_degree("498 c") == 498.0
    assert parse_degree("1") == 0.0
    assert scale_of_degrees(("1", "3/2", "2")).cents == pytest.approx((0.0, 701.955), abs=1e-3)
    assert scale_of_degrees(("1", "9/7", "7/5", "3")).period == pytest.approx(1901.955, abs=1e-3)
    with pytest.raises(QuantityError, match="below the tonic"):
        parse_degree("3/4")


@pytest.mark.parametrize(
    ("cents", "period", "steps", "problem"),
    [
        ((), 1200.0, None, "no tuple of numbers"),
        ((0.0, float("nan")), 1200.0, None, "no tuple of numbers"),
        ((0.0, True), 1200.0, None, "no tuple of numbers"),
        ((0.0, "3/2"), 1200.0, None, "no tuple of numbers"),
        ((100.0, 200.0), 1200.0, None, "begin at 100"),
        ((0.0, 500.0, 300.0), 1200.0, None, "do not rise at number 3"),
        ((0.0, 1200.0), 1200.0, None, "not below the period, 1200"),
        ((0.0,), float("inf"), None, "period that is no number"),
        ((0.0,), 50.0, None, "less than a semitone"),
        ((0.0, 700.0), 1200.0, (0.0,), "2 degrees and 1 steps"),
        ((0.0, 700.0), 1200.0, (0.0, 7.25), "half a semitone"),
        ((0.0, 700.0), 1200.0, (0.0, 12.0), "not below the period in semitones, 12"),
    ],
)
def test_what_is_no_scale_says_so(
    cents: tuple[float, ...], period: float, steps: tuple[float, ...] | None, problem: str
) -> None:
    with pytest.raises(QuantityError, match=problem):
        Scale("odd", cents, period, steps)


@given(st.lists(st.floats(1.0, 1199.0), max_size=23, unique=True))
def test_every_degree_has_a_place_of_its_own(cents: list[float]) -> None:
    scale = Scale("any", (0.0, *sorted(cents)))
    assert len(scale.places) == len(cents) + 1
    assert list(scale.places) == sorted(set(scale.places))
    assert scale.places[-1] < 12
    assert [scale.degree_at(place) for place in scale.places] == [(i, 0) for i in range(len(cents) + 1)]


def test_more_degrees_than_quarter_tones_have_no_places() -> None:
    scale = Scale("thirty-one equal", tuple(1200.0 * step / 31 for step in range(31)))
    assert scale.places == ()
    assert scale.degree_at(3.0) is None


def design(*rows: Row, tonic: str = "A4") -> Design:
    return Design(
        tube=Tube(length=0.35, bore=(Station(0.0, 0.016),), wall=(Station(0.0, 0.003),)),
        tuning=Tuning(tonic=tonic, scale="pentatonic minor"),
        rows=rows,
    )


def notes(*names: str) -> tuple[Row, ...]:
    return tuple(Row(note=name, holes=("X", "O"), cents=3.0) for name in names)


def test_targets_of_rows() -> None:
    flute = design(*notes("A4", "C5"))
    assert row_targets(flute, EQUAL) == pytest.approx([440 * 2 ** (3 / 1200), 440 * 2 ** (303 / 1200)])


def test_another_tonic_moves_every_note_and_spells_it() -> None:
    flute = design(*notes("A4", "C5", "D5", "E5", "G5", "A5", "B4", "702 c", "523.3 Hz"))
    rows, flagged = retuned_rows(flute, PENTATONIC, PENTATONIC, Tuning(tonic="F4"))
    assert [row.note for row in rows] == ["F4", "Ab4", "Bb4", "C5", "Eb5", "F5", "G4", "702 c", "523.3 Hz"]
    assert flagged == (8,)
    assert all(row.cents == 3.0 and row.holes == ("X", "O") for row in rows)


def test_another_scale_moves_notes_degree_by_degree() -> None:
    flute = design(*notes("A4", "B4", "C#5", "D5", "E5", "F#5", "G#5", "A5", "A#4", "D#5", "G5"))
    rows, flagged = retuned_rows(flute, MAJOR, MINOR, Tuning(tonic="A4"))
    assert [row.note for row in rows] == ["A4", "B4", "C5", "D5", "E5", "F5", "G5", "A5", "A#4", "D#5", "F#5"]
    assert flagged == ()


def test_a_note_between_degrees_that_have_closed_up_is_flagged() -> None:
    flute = design(*notes("Bb4", "B4", "C#5", "G#5"))
    rows, flagged = retuned_rows(flute, PENTATONIC, MAJOR, Tuning(tonic="A4"))
    assert [row.note for row in rows] == ["Bb4", "Bb4", "C5", "G#5"]
    assert flagged == (0, 3), "Bb4 would fall on the tonic, G#5 on the major seventh"


def test_plain_semitones_where_a_degree_is_near_one() -> None:
    """Ellis 1885: slendro 228 256 244 232 240; Cairo congress 1932: quarter tones (from memory)."""
    assert Scale("slendro", (0, 228, 484, 728, 960)).places == (0, 2, 5, 7, 10)
    assert Scale("with neutral degrees", (0, 200, 350, 500, 700, 900, 1050)).places == (
        0,
        2,
        3.5,
        5,
        7,
        9,
        10.5,
    )


def test_a_scale_with_fewer_notes_flags_what_it_lacks() -> None:
    flute = design(*notes("A4", "B4", "C#5", "D5", "E5", "F#5", "G#5", "A5"))
    rows, flagged = retuned_rows(flute, MAJOR, PENTATONIC, Tuning(tonic="A4"))
    assert [row.note for row in rows] == ["A4", "C5", "D5", "E5", "G5", "F#5", "G#5", "A5"]
    assert flagged == (5, 6)


def test_the_same_tuning_keeps_the_makers_spelling() -> None:
    flute = design(*notes("A4", "B#4", "A#4"))
    assert retuned_rows(flute, PENTATONIC, PENTATONIC, Tuning(tonic="A4", reference=442)) == (flute.rows, ())


@given(st.sampled_from(["C4", "F#4", "Bb3", "Eb5", "G4", "Ab4"]), st.sampled_from([PENTATONIC, MAJOR, MINOR]))
def test_retuning_there_and_back_gives_the_same_notes(tonic: str, scale: Scale) -> None:
    home = Tuned(scale, parse_note("A4"), 440.0)
    names = [home.written(place).name for place in range(-12, 25)]
    flute = design(*notes(*names))
    away, flagged = retuned_rows(flute, scale, scale, Tuning(tonic=tonic))
    assert flagged == ()
    back, flagged = retuned_rows(design(*away, tonic=tonic), scale, scale, Tuning(tonic="A4"))
    assert flagged == ()
    assert [row.note for row in back] == names
