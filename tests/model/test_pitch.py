"""Written notes, tuner readings and cents, held against published figures."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scaledesign.errors import QuantityError
from scaledesign.model.pitch import (
    Hertz,
    Interval,
    Note,
    cents_between,
    format_reading,
    nearest_note,
    note_frequency,
    parse_interval,
    parse_note,
    parse_reading,
    parse_target,
    reading_frequency,
)

DATA = Path(__file__).parents[1] / "data" / "scales"


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", table("ratios.csv"), ids=lambda row: row["ratio"])
def test_cents_of_ratios(row: dict[str, str]) -> None:
    """Helmholtz and Ellis, On the Sensations of Tone, 1885, Appendix XX (ratios; cents to 1e-6)."""
    assert parse_interval(row["ratio"]).cents == pytest.approx(float(row["cents"]), abs=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "cents"), [(435, 440, 19.785747), (440, 442, 7.851415), (440, 441, 3.930158)]
)
def test_cents_between_pitch_standards(low: float, high: float, cents: float) -> None:
    """Ellis 1885: cents = 1200 log2(f2/f1)."""
    assert cents_between(low, high) == pytest.approx(cents, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "midi"),
    [
        ("A4", 69),
        ("Bb4", 70),
        ("F#4", 66),
        ("Cb5", 71),
        ("B#3", 60),
        ("e`5", 75.5),
        ("A~4", 69.5),
        ("F#~4", 66.5),
        ("Eb`4", 62.5),
        ("B-`4", 69.5),
        ("G##4", 69),
        ("B♭4", 70),
        (" C0 ", 12),
    ],
)
def test_notes_are_read(text: str, midi: float) -> None:
    assert parse_note(text).midi == midi


@pytest.mark.parametrize("text", ["", "H4", "A", "4", "Bb", "A4 4", "A-4", "A10", "A#b4", "B-4", "A4.5"])
def test_what_is_no_note_says_so(text: str) -> None:
    with pytest.raises(QuantityError, match="write a letter"):
        parse_note(text)


def test_quarter_tones_are_written_as_music21_writes_them() -> None:
    from music21 import pitch

    for sign in ("~", "#~", "`"):
        assert pitch.Pitch(f"A{sign}4").ps == parse_note(f"A{sign}4").midi
    assert pitch.Pitch("A-`4").ps == parse_note("A-`4").midi == parse_note("Ab`4").midi


@given(
    st.sampled_from("CDEFGAB"),
    st.sampled_from([value / 2 for value in range(-5, 7)]),
    st.integers(0, 9),
)
def test_a_note_is_read_back_as_it_was_written(letter: str, alter: float, octave: int) -> None:
    note = Note(letter, alter, octave)
    assert parse_note(note.name) == note


@given(st.floats(30.0, 8000.0), st.sampled_from([415.0, 440.0, 442.0]))
def test_nearest_note_and_back(frequency: float, reference: float) -> None:
    note, cents = nearest_note(frequency, reference)
    assert -50.0 <= cents <= 50.0
    assert reading_frequency(f"{note.name} {cents:+.9f}", reference) == pytest.approx(frequency, rel=1e-9)
    shown = reading_frequency(format_reading(frequency, reference), reference)
    assert abs(cents_between(frequency, shown)) <= 0.5 + 1e-9


def test_equal_temperament_agrees_with_music21() -> None:
    from music21 import pitch

    for midi in range(24, 108):
        theirs = pitch.Pitch(midi)
        mine = parse_note(theirs.nameWithOctave.replace("-", "b"))
        assert note_frequency(mine, 440.0) == pytest.approx(theirs.frequency, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("523.3 Hz", Hertz(523.3)),
        ("523.3hz", Hertz(523.3)),
        ("702 c", Interval(702.0)),
        ("-50 c", Interval(-50.0)),
        ("2", Interval(1200.0)),
        ("Bb4", Note("B", -1.0, 4)),
    ],
)
def test_targets(text: str, target: Hertz | Interval | Note) -> None:
    assert parse_target(text) == target


@pytest.mark.parametrize(
    "text", ["", "3/0", "0", "5 Hz", "nan Hz", "1e3 Hz", "90000 Hz", "3:2", "1.5", "c", "702 x"]
)
def test_what_is_no_target_says_so(text: str) -> None:
    with pytest.raises(QuantityError, match="write"):
        parse_target(text)


def test_cents_without_their_unit_are_no_ratio() -> None:
    for text in ("702", "1/702"):
        with pytest.raises(QuantityError, match="write cents with a c"):
            parse_target(text)
    assert parse_interval("64").cents == 7200.0


def test_readings() -> None:
    assert reading_frequency("A4", 442.0) == 442.0
    assert reading_frequency("438.9 Hz", 442.0) == 438.9
    assert (
        reading_frequency("A4 −4", 440.0)
        == reading_frequency("A4 -4 c", 440.0)
        == reading_frequency("A4-4", 440)
    )
    assert format_reading(reading_frequency("A4 -4", 440.0), 440.0) == "A4 -4"
    assert format_reading(440.0, 440.0) == "A4 +0"
    for nothing in ("A4 0", "A4 0.0", "A4 0 cents", "A4 +0"):
        assert reading_frequency(nothing, 440.0) == 440.0
    with pytest.raises(QuantityError, match=r"has no sign; write A#4 \+3 or A#4 -3"):
        parse_reading("A#4 3")
    for bad in ("A4 4", "A40", "A4 440", "-4", "A4 -4 -4", "4 Hz", "3/2"):
        with pytest.raises(QuantityError, match="write"):
            parse_reading(bad)
