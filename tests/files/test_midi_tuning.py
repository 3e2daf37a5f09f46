"""MIDI tunings: published bytes, tables out and back, scales to keys and back, and files that are none."""

from __future__ import annotations

import contextlib
import csv
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.errors import QuantityError, ScaleError
from scaledesign.files import midi_tuning
from scaledesign.files.midi_tuning import bulk_dump, loads, note_changes, pitch_bytes, pitch_of
from scaledesign.model.key_table import (
    HIGHEST,
    KEYS,
    STEPS,
    KeyTable,
    height_of,
    hertz,
    key_name,
    keys_of,
    table_of,
    tuned_of,
)
from scaledesign.model.pitch import cents_between, parse_note
from scaledesign.model.retune import equal_division, stretched
from scaledesign.model.scale import EQUAL, Scale, Tuned

PUBLISHED = Path(__file__).parents[1] / "data" / "midi-tuning.csv"
with PUBLISHED.open(encoding="utf-8", newline="") as file:
    VALUES = list(csv.DictReader(line for line in file if not line.startswith("#")))
RESOLUTION = 100.0 / STEPS
JUST = Scale("just minor", tuple(1200 * math.log2(r) for r in (1, 9 / 8, 6 / 5, 4 / 3, 3 / 2, 8 / 5, 9 / 5)))
QUARTERS = Scale("rast", (0.0, 200.0, 350.0, 500.0, 700.0, 900.0, 1050.0))
A4, C4 = parse_note("A4"), parse_note("C4")


def test_every_published_value_is_there() -> None:
    assert len(VALUES) == 14


@pytest.mark.parametrize("row", VALUES, ids=[row["bytes_hex"] for row in VALUES])
def test_published_bytes_and_frequencies(row: dict[str, str]) -> None:
    """MIDI Tuning Standard, frequency data format (see the data file): bytes exactly, Hz to 1e-6."""
    three = bytes.fromhex(row["bytes_hex"])
    height = pitch_of(three)
    assert height is not None
    assert hertz(height) == pytest.approx(float(row["hz"]), abs=1e-6)
    assert height == pytest.approx(float(row["note_number"]), abs=5e-7)
    assert pitch_bytes(height) == three
    assert pitch_bytes(height_of(float(row["hz"]))) == three


def test_442_hz() -> None:
    """The same source: 45 0A 06, which is read back as 441.999414 Hz."""
    assert pitch_bytes(height_of(442.0)) == bytes.fromhex("450A06")
    assert hertz(pitch_of(bytes.fromhex("450A06")) or 0) == pytest.approx(441.999414, abs=1e-6)


@given(st.floats(0, HIGHEST))
def test_a_pitch_comes_back_within_half_a_step(height: float) -> None:
    back = pitch_of(pitch_bytes(height))
    assert back is not None
    assert abs(cents_between(hertz(height), hertz(back))) <= 0.0031


def test_pitches_that_no_bytes_can_say() -> None:
    assert pitch_of(b"\x7f\x7f\x7f") is None
    assert pitch_bytes(None) == b"\x7f\x7f\x7f"
    for height in (-0.1, 128.0, HIGHEST + 1 / STEPS):
        with pytest.raises(QuantityError, match="beyond the keys"):
            pitch_bytes(height)


@st.composite
def tables(draw: st.DrawFn) -> KeyTable:
    """Any pitches at all, some keys left as they are."""
    told = (
        draw(st.lists(st.booleans(), min_size=KEYS, max_size=KEYS)) if draw(st.booleans()) else [True] * KEYS
    )
    data = bytes(byte & 0x7F for byte in draw(st.binary(min_size=3 * KEYS, max_size=3 * KEYS)))
    heights = [pitch_of(data[3 * key : 3 * key + 3]) if told[key] else None for key in range(KEYS)]
    name = draw(st.text("abc XYZ-09", min_size=1, max_size=16).map(str.strip).filter(bool))
    return KeyTable(name, tuple(heights), draw(st.integers(0, 127)))


@settings(max_examples=25)
@given(tables())
def test_a_bulk_dump_comes_back_as_it_was(table: KeyTable) -> None:
    data = bulk_dump(table)
    assert len(data) == 408
    assert data[:5] == b"\xf0\x7e\x7f\x08\x01"
    assert max(data[1:-1]) < 0x80
    assert data[-1] == 0xF7
    assert loads(data) == midi_tuning.Found((table,), ())


@settings(max_examples=25)
@given(tables())
def test_note_changes_come_back_as_they_were(table: KeyTable) -> None:
    data = note_changes(table)
    told = sum(value is not None for value in table.semitones)
    if not told:
        assert data == b""
        return
    assert data[:5] == b"\xf0\x7f\x7f\x08\x02"
    assert data.count(b"\xf0") == math.ceil(told / 64)
    (found,) = loads(data, "mine.syx").tables
    assert (found.semitones, found.program, found.name) == (table.semitones, table.program, "mine")


def test_the_checksum_covers_everything_before_it() -> None:
    """Exclusive or of every byte after F0, to 7 bits (from memory)."""
    data = bulk_dump(KeyTable("A name", tuple(map(float, range(KEYS))), 3))
    total = 0
    for byte in data[1:-2]:
        total ^= byte
    assert data[-2] == total & 0x7F
    assert data[6:22] == b"A name          "


def test_another_checksum_is_read_and_said() -> None:
    data = bytearray(bulk_dump(KeyTable("A", tuple(map(float, range(KEYS))))))
    right = data[-2]
    data[-2] ^= 0x55
    found = loads(bytes(data), "a.syx")
    assert found.tables[0].semitones[69] == 69.0
    (said,) = found.remarks
    assert said.startswith(f"a.syx, message 1: the checksum is {right ^ 0x55:02X}, not {right:02X}; read all")
    del data[-2]
    assert loads(bytes(data), "a.syx").remarks == (
        "a.syx, message 1: the checksum is missing; read all the same.",
    )


def test_several_messages_in_one_file() -> None:
    first = KeyTable("one", tuple(map(float, range(KEYS))), 0)
    second = KeyTable("two", tuple(min(key + 0.5, HIGHEST) for key in range(KEYS)), 1)
    change = bytes.fromhex("F07F7F08020001 45450A06 F7".replace(" ", ""))
    unchanged = bytes.fromhex("F07F000802000146 7F7F7F F7".replace(" ", ""))
    unknown = bytes.fromhex("F0410110421240007F0041F7")
    data = bulk_dump(first) + b"\x00\xf8" + unknown + bulk_dump(second) + change + unchanged
    found = loads(data, "all.syx")
    assert [(table.name, table.program) for table in found.tables] == [("one", 0), ("two", 1)]
    assert found.tables[0].frequency(69) == pytest.approx(441.999414, abs=1e-6)
    assert found.tables[0].semitones[70] == 70.0
    assert found.remarks == (
        "all.syx, message 2: no bulk tuning dump and no single-note tuning change; skipped.",
        "all.syx: 2 bytes outside of messages skipped.",
    )


def test_clock_bytes_within_a_message_do_no_harm() -> None:
    data = bulk_dump(KeyTable("A", tuple(map(float, range(KEYS)))))
    assert loads(data[:100] + b"\xf8\xfe" + data[100:]) == loads(data)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "a.syx: holds no MIDI tuning; name"),
        (b"[scale]\n", "holds no MIDI tuning (8 bytes outside of messages skipped"),
        (b"MThd\x00\x00\x00\x06", "is a MIDI file of music and no tuning"),
        (b"\xf0\x7e\x7f\x08\x01\x00abc\xf7", "a bulk dump of 10 bytes, where 408 make one"),
        (b"\xf0\x7f\x7f\x08\x02\x00\x02\x45\x45\x00\x00\xf7", "note changes of another number than it says"),
        (b"\xf0\x7f\x7f\x08\x02\x00\x01\x90\x45\x00\x00\xf7", "cut off by another one"),
        (b"\xf0" * 3, "no bulk tuning dump"),
        (bytes(midi_tuning.LARGEST_FILE + 1), "far larger than a tuning"),
    ],
    ids=["empty", "text", "music", "short dump", "wrong count", "broken", "begun only", "huge"],
)
def test_what_is_no_tuning_is_one_sentence(data: bytes, said: str) -> None:
    with pytest.raises(ScaleError) as caught:
        loads(data, "a.syx")
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    for path in (tmp_path / "none.syx", tmp_path):
        with pytest.raises(ScaleError, match="cannot be read"):
            midi_tuning.load(path)


GOOD = bulk_dump(KeyTable("good", tuple(map(float, range(KEYS))))) + note_changes(
    KeyTable("good", (None,) * 60 + (60.25,) + (None,) * 67)
)


@given(st.data())
def test_no_bytes_break_the_reader(data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(GOOD)))
    cut = data.draw(st.integers(0, 40))
    bent = GOOD[:at] + data.draw(st.binary(max_size=12)) + GOOD[at + cut :]
    try:
        found = loads(bent)
    except ScaleError:
        return
    for table in found.tables:
        assert len(table.semitones) == KEYS
        with contextlib.suppress(QuantityError):
            tuned_of(table, data.draw(st.sampled_from((C4, A4))), "")


def test_each_degree_of_seven_has_the_key_it_is_written_at() -> None:
    table = table_of(Tuned(JUST, A4, 442.0))
    ratios = {0: 1, 2: 9 / 8, 3: 6 / 5, 5: 4 / 3, 7: 3 / 2, 8: 8 / 5, 10: 9 / 5, 12: 2, -2: 9 / 10}
    for key, ratio in ratios.items():
        assert abs(cents_between(442.0 * ratio, table.frequency(69 + key))) <= 0.0031
    assert abs(cents_between(442.0 * 2 ** (4 / 12), table.frequency(73))) <= 0.0031  # between: equal-tempered


def test_a_key_sounds_what_its_note_means_in_the_tuning() -> None:
    tuned = Tuned(JUST, A4, 442.0)
    table = table_of(tuned)
    for key in range(49, 95):
        wanted = tuned.target(tuned.written(float(key - 69)).name)
        assert abs(cents_between(wanted, table.frequency(key))) <= 0.0031


def test_a_quarter_tone_has_a_key_of_its_own() -> None:
    assert keys_of(QUARTERS) == (0, 2, 4, 5, 7, 9, 11)
    low = Scale("low", (0.0, 200.0, 341.0, 500.0), steps=(0, 2, 3.5, 5))
    assert keys_of(low) == (0, 2, 3, 5)
    beside = Scale("beside", (0.0, 350.0, 400.0))
    assert keys_of(beside) == (0, 3, 4)
    assert keys_of(Scale("crowded", tuple(10.0 * n for n in range(12)))) == tuple(range(12))
    assert keys_of(Scale("late", (0.0, 1110.0, 1150.0, 1190.0))) == (0, 9, 10, 11)


@given(
    st.lists(st.floats(1, 1199), max_size=40, unique=True).map(sorted),
    st.sampled_from((1200.0, 1201.5, 1902.0)),
)
def test_no_two_degrees_share_a_key(cents: list[float], period: float) -> None:
    scale = Scale("any", (0.0, *cents), period)
    keys = keys_of(scale)
    assert len(set(keys)) == len(scale.cents)
    assert keys == tuple(sorted(keys))
    assert keys[-1] < max(scale.span, len(scale.cents))


def test_more_degrees_than_semitones_follow_key_by_key() -> None:
    nineteen = equal_division(19)
    table = table_of(Tuned(nineteen, C4, 440.0))
    assert abs(cents_between(table.frequency(60), table.frequency(79)) - 1200) <= 2 * RESOLUTION
    assert abs(cents_between(table.frequency(60), table.frequency(61)) - 1200 / 19) <= 2 * RESOLUTION
    back, said = tuned_of(table, C4, "read")
    assert (len(back.scale.cents), said) == (19, ())
    assert back.scale.cents == pytest.approx(nineteen.cents, abs=2 * RESOLUTION)


def test_a_degree_on_every_key_where_the_octave_does_not_matter() -> None:
    thirteen = equal_division(13, 1901.955)
    spread, close = table_of(Tuned(thirteen, A4, 440.0)), table_of(Tuned(thirteen, A4, 440.0), every=True)
    assert abs(cents_between(440.0 * 3, spread.frequency(69 + 19))) <= 2 * RESOLUTION
    assert abs(cents_between(440.0 * 3, close.frequency(69 + 13))) <= 2 * RESOLUTION
    back, said = tuned_of(close, A4, "read", keys=13)
    assert said == ()
    assert back.scale.cents == pytest.approx(thirteen.cents, abs=2 * RESOLUTION)
    five = Scale("five", (0.0, 231.0, 474.0, 717.0, 955.0), 1208.0)
    back, _ = tuned_of(table_of(Tuned(five, A4, 440.0), every=True), A4, "read")
    assert back.scale.cents == pytest.approx(five.cents, abs=2 * RESOLUTION)


def test_keys_beyond_the_standard_are_left_as_they_are() -> None:
    table = table_of(Tuned(EQUAL, A4, 430.0))
    assert table.semitones[0] is None
    assert table.semitones[1] is not None
    back, _ = tuned_of(table, A4, "read")
    assert len(back.scale.cents) == 12
    assert back.reference == pytest.approx(430.0, abs=0.001)


@pytest.mark.parametrize("tonic", ["C4", "A4", "F#3"])
@pytest.mark.parametrize("scale", [JUST, QUARTERS, EQUAL, stretched(EQUAL, 8)], ids=lambda scale: scale.name)
def test_a_table_becomes_a_scale_with_every_degree(scale: Scale, tonic: str) -> None:
    tuned = Tuned(scale, parse_note(tonic), 441.0)
    back, said = tuned_of(table_of(tuned, "My tuning"), tuned.tonic, "read from a.syx, a MIDI tuning")
    assert said == ()
    assert (back.scale.name, back.scale.source) == ("My tuning", "read from a.syx, a MIDI tuning")
    assert back.scale.period == pytest.approx(scale.period, abs=2 * RESOLUTION)
    assert len(back.scale.cents) == 12
    for cents in scale.cents:
        assert min(abs(cents - found) for found in back.scale.cents) <= 2 * RESOLUTION
    assert abs(cents_between(back.reference, 441.0)) <= 0.0031
    assert back.target(tonic) == pytest.approx(tuned.target(tonic), rel=2e-6)


def test_what_a_table_leaves_open_is_said() -> None:
    five = {60: 60.0, 62: 62.4, 64: 64.8, 67: 67.2, 69: 69.6, 72: 72.0}
    table = KeyTable("slendro", tuple(five.get(key) for key in range(KEYS)))
    tuned, said = tuned_of(table, C4, "read")
    assert len(tuned.scale.cents) == 12
    assert said == ("The file says nothing of C#4, D#4, F4, F#4, G#4, A#4 and B4: taken as equal-tempered.",)
    twice = KeyTable("twice", tuple(float(key - (key == 61)) for key in range(KEYS)))
    tuned, said = tuned_of(twice, C4, "read")
    assert len(tuned.scale.cents) == 11
    assert said == ("Left out: C#4, for it sounds another degree, or lies outside the period.",)


def test_keys_that_make_no_scale_are_one_sentence() -> None:
    flat = KeyTable("flat", (60.0,) * KEYS)
    with pytest.raises(QuantityError, match="is all that the 12 keys above C4 rise"):
        tuned_of(flat, C4, "read", keys=12)
    with pytest.raises(QuantityError, match="is no key of a MIDI keyboard"):
        tuned_of(flat, parse_note("C~4"), "read")
    with pytest.raises(QuantityError, match="there are not so many keys above G9"):
        tuned_of(flat, parse_note("G9"), "read")


def test_keys_have_names() -> None:
    assert [key_name(key) for key in (0, 60, 61, 69, 127)] == ["C-1", "C4", "C#4", "A4", "G9"]


def test_a_name_is_written_in_plain_letters() -> None:
    table = KeyTable("Žluťoučký kůň, the second", tuple(map(float, range(KEYS))))
    assert loads(bulk_dump(table)).tables[0].name == "Zlutoucky kun, t"
