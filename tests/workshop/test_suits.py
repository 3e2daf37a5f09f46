"""Which scales a flute plays: against a plain loop, against what it was solved for, and mode by mode."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import EditError, QuantityError
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Tuning
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.model.scale import EQUAL, Scale
from scaledesign.workshop import ask
from scaledesign.workshop.playable import Playable, playable
from scaledesign.workshop.suits import CLEAN, TONICS, VERDICTS, effort, matched, nearest, suits, with_rows
from tests.reference import suits as reference

REFERENCE = 440.0
TUNING = Tuning(reference=REFERENCE, tonic="A4", scale="fifths")
FINGERS = ("L1", "L2", "L3", "R1", "R2", "R3")


def flute_of(pitches: dict[str, float]) -> Playable:
    """Something that plays so many cents above A4 with each fingering."""
    letters = tuple(pitches)
    frequency = np.array([REFERENCE * 2 ** (cents / 1200) for cents in pitches.values()])
    share = np.array([["XHO".index(letter) / 2 for letter in each] for each in letters]).T
    return Playable(
        FINGERS[: len(letters[0])], letters, share, np.ones(len(letters), np.intp), frequency, 0.5
    )


def everything(found: Playable) -> np.ndarray:
    return np.isfinite(found.frequency)


def no_effort(found: Playable) -> np.ndarray:
    return np.zeros(found.count)


def plain(
    pitches: dict[str, float], efforts: list[float], scale: Scale, tonic: float, within: float
) -> tuple[list[float], list[str]]:
    """Cents off and fingerings of the notes of one octave, by loops; ``tonic`` in cents above A4."""
    fingerings = [
        (cents, letters.count("H"), effort)
        for (letters, cents), effort in zip(pitches.items(), efforts, strict=True)
    ]
    notes = reference.octave(scale.cents, scale.period)
    rooms = [reference.room(note, scale.cents, scale.period) for note in notes]
    found = [
        reference.taken(tonic + note, fingerings, CLEAN, within, room)
        for note, room in zip(notes, rooms, strict=True)
    ]
    return [off for off, _ in found], [list(pitches)[place] for _, place in found]


def random_scale(draw: random.Random) -> Scale:
    period = draw.choice([1200.0, 1200.0, 1196.0, 1901.955, 702.0])
    degrees = sorted(draw.sample(range(30, int(period) - 20, 7), draw.randint(3, 8)))
    return Scale("any", (0.0, *map(float, degrees)), period=period)


@pytest.mark.parametrize("seed", range(25))
def test_a_plain_loop_finds_the_same(seed: int) -> None:
    draw = random.Random(seed)
    letters = ["".join(each) for each in product("XOH", repeat=4)]
    pitches = {each: draw.uniform(0, 2400) for each in draw.sample(letters, draw.randint(5, 81))}
    pitches["XXXX"] = 0.0
    scales = [random_scale(draw) for _ in range(4)]
    within = draw.choice([10.0, 25.0, 60.0])
    found = flute_of(pitches)
    efforts = [reference.effort(each, FINGERS[:4], own=draw.random() < 0.2) for each in pitches]
    result = matched(found, everything(found), np.array(efforts), TUNING, scales, TONICS, within)
    assert result.worst.shape == (4, 12)
    for (s, scale), (t, tonic) in product(enumerate(scales), enumerate(result.tonics)):
        start = 100.0 * (tonic.midi - 69)
        assert start == reference.root(start + 2400, 0.0)
        offs, taken = plain(pitches, efforts, scale, start, within)
        suit = result.suit(s, t)
        assert suit.notes == len(offs)
        assert abs(suit.worst) == pytest.approx(max(map(abs, offs)), abs=1e-6)
        assert suit.rms == pytest.approx(math.sqrt(sum(off**2 for off in offs) / len(offs)), abs=1e-6)
        assert suit.halves == sum("H" in each for each in taken)
        assert suit.doubled == sum(a == b for a, b in pairwise(taken))
        judged = [note for note in result.notes(s, t) if note.judged]
        assert [note.letters for note in judged] == taken
        assert [note.cents for note in judged] == pytest.approx(offs, abs=1e-6)
        low, high = (1200 * math.log2(hertz / REFERENCE) for hertz in (suit.low, suit.high))
        assert low <= start + 1e-6
        assert high >= start + scale.period - 1e-6


def test_nearest_is_the_nearest() -> None:
    rng = np.random.default_rng(3)
    pitch = rng.uniform(0, 2000, 60)
    columns = rng.permutation(60)[:40]
    wanted = rng.uniform(-100, 2100, (5, 7))
    found, off = nearest(pitch, columns, wanted)
    expected = np.abs(pitch[columns] - wanted[..., None]).min(axis=-1)
    assert np.abs(off) == pytest.approx(expected)
    assert pitch[found] - wanted == pytest.approx(off)
    alone, _ = nearest(pitch, columns[:1], wanted)
    assert (alone == columns[0]).all()


def test_a_hole_partly_open_is_taken_only_where_it_helps_by_a_step() -> None:
    scale = Scale("two", (0.0, 600.0))
    for plain_off, half_off, taken in (
        (9, 0, "O"),
        (12, 11, "O"),
        (12, 9, "H"),
        (26, 24, "H"),
        (40, 30, "H"),
    ):
        found = flute_of({"X": 0.0, "O": 600.0 + plain_off, "H": 600.0 + half_off})
        result = matched(found, everything(found), no_effort(found), TUNING, [scale], ["A"])
        middle = result.notes(0, 0)[1]
        assert middle.letters == taken, (plain_off, half_off)


def test_among_clean_fingerings_a_row_of_the_flute_wins_then_the_easiest_then_the_nearest() -> None:
    found = flute_of({"XXX": 0.0, "XOX": 600.0, "XOO": 605.0, "OOO": 594.0, "OXO": 609.0, "OOX": 612.0})
    two, close = Scale("two", (0.0, 600.0)), Scale("close", (0.0, 600.0, 630.0))
    for efforts, taken in (
        ((0, 3, 0, 0, 5, 0), "XOO"),
        ((0, 3, 2, 1, 5, 0), "OOO"),
        ((0, 3, 2, 1, -999, -999), "OXO"),
        ((0, 0, 0, 0, 0, 0), "XOX"),
    ):
        result = matched(found, everything(found), np.array(efforts, float), TUNING, [two, close], ["A"])
        assert result.notes(0, 0)[1].letters == taken
        assert result.notes(1, 0)[1].letters == "XOX", "too near to the next note to choose"


def test_effort_is_that_of_the_hand_and_least_for_rows_of_the_flute(wren: Design) -> None:
    found = with_rows(wren, playable(wren))
    rows = {("".join(row.holes), row.register) for row in wren.rows if "H" not in row.holes}
    own = [each in rows for each in zip(found.letters, found.register.tolist(), strict=True)]
    own[-1] = True
    expected = [
        reference.effort(letters, found.fingers, mine)
        for letters, mine in zip(found.letters, own, strict=True)
    ]
    assert effort(wren, found).tolist() == pytest.approx(expected)


def test_a_flute_takes_its_own_rows_where_they_are_clean() -> None:
    """However it was retuned a little: G5 of a wren with another hole 1 is still its own fingering."""
    wren = scaledesign.load(EXAMPLES / "marsh-wren.toml")
    holes = (replace(wren.holes[0], diameter=wren.holes[0].diameter * 0.99), *wren.holes[1:])
    other = replace(wren, holes=holes)
    for note in suits(other, [ask.scale_of(other)], ["A4"]).notes(0, 0):
        if note.judged:
            assert any("".join(row.holes) == note.letters for row in other.rows)


def test_clean_ones_come_by_kind_then_own_tonic_then_cents() -> None:
    pitches = {"XXX": 0.0, "XXO": 200.0, "XOO": 403.0, "OOO": 700.0, "OXX": 1200.0, "OXO": 1402.0}
    found = flute_of({**pitches, "OOX": 1600.0, "XOX": 1900.0})
    scales = [
        Scale("strange", (0.0, 200.0), kind="measured flutes and pipes"),
        Scale("no kind", (0.0, 200.0)),
        Scale("mode", (0.0, 200.0, 700.0), kind="modes"),
        Scale("five", (0.0, 403.0), kind="five notes"),
        Scale("far", (0.0, 300.0), kind="five notes"),
    ]

    def order(own: str) -> list[str]:
        tuning = replace(TUNING, scale=own)
        result = matched(found, everything(found), no_effort(found), tuning, scales, ["B", "A"])
        pairs = [pair for pair in result.ranked() if result.verdict[pair] == 0]
        return [f"{result.scales[s].name} {result.tonics[t].name}" for s, t in pairs]

    assert order("") == ["five A4", "mode A4", "strange A4", "strange B4", "no kind A4", "no kind B4"]
    assert order("strange")[:3] == ["strange A4", "strange B4", "five A4"]


def test_notes_that_cannot_be_told_apart_do_not_suit() -> None:
    found = flute_of({"XX": 0.0, "XO": 400.0, "OO": 1200.0})
    scale = Scale("close", (0.0, 391.0, 409.0))
    suit = matched(found, everything(found), no_effort(found), TUNING, [scale], ["A"]).suit(0, 0)
    assert abs(suit.worst) < CLEAN
    assert (suit.doubled, suit.suits) == (1, False)


def test_what_goes_on_in_tune_beyond_the_octave_is_told() -> None:
    found = flute_of({"XXX": 0.0, "XXO": 700.0, "XOO": 1200.0, "OOO": 1900.0, "OXX": 2400.0, "OXO": 3140.0})
    result = matched(
        found, everything(found), no_effort(found), TUNING, [Scale("fifths", (0.0, 700.0))], ["A", "E"]
    )
    on_a, on_e = result.suit(0, 0), result.suit(0, 1)
    assert (on_a.low, on_a.high) == pytest.approx((440, 1760))
    assert on_a.suits
    assert not on_e.suits
    named = {(found.scale, found.tonic) for found in (on_a, on_e)}
    assert named == {("fifths", "A4"), ("fifths", "E5")}


def test_a_tonic_is_the_lowest_of_its_name_or_as_written() -> None:
    found = flute_of({"XX": 40.0, "XO": 700.0, "OO": 1300.0, "OX": 2400.0})

    def tonic(text: str) -> str:
        return matched(found, everything(found), no_effort(found), TUNING, [EQUAL], [text]).tonics[0].name

    assert [tonic(text) for text in ("A", "Ab", "Bb", "A5", "F#")] == ["A4", "Ab5", "Bb4", "A5", "F#5"]
    for below in ("D4", "A3", "C9"):
        with pytest.raises(EditError, match="A4 to A6"):
            tonic(below)
    with pytest.raises(QuantityError):
        tonic("H")


def test_nothing_that_speaks_is_said_so() -> None:
    found = flute_of({"X": 0.0})
    with pytest.raises(EditError, match="speaks"):
        matched(found, np.zeros(1, bool), no_effort(found), TUNING, [EQUAL])


@pytest.fixture(scope="module")
def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


@pytest.mark.parametrize("name", sorted(path.stem for path in EXAMPLES.glob("*.toml")))
def test_a_flute_suits_the_scale_it_was_made_for(name: str) -> None:
    """At least as well as its own rows play it: they are among what is tried."""
    design = scaledesign.load(EXAMPLES / f"{name}.toml")
    prediction = ask.predict(design)
    rows = [i for i, row in enumerate(design.rows) if row.counts and row.register == 1]
    halves = any("H" in design.rows[i].holes for i in rows)
    own = max(abs(float(prediction.cents[i])) for i in rows)
    found = suits(design, [ask.scale_of(design)], [design.tuning.tonic], halves=halves)
    suit = found.suit(0, 0)
    played = {round(float(prediction.target[i]), 3) for i in rows}
    octave = [note for note in found.notes(0, 0) if note.judged and round(note.wanted, 3) in played]
    assert len(octave) >= len(rows) - 2
    assert max(abs(note.cents) for note in octave) <= max(own, CLEAN) + 1e-6
    if not halves:
        assert max(abs(note.cents) for note in octave) <= own + 1e-6
    assert suit.scale == ask.scale_of(design).name


def test_every_mode_of_the_same_notes_takes_the_same_fingerings(wren: Design) -> None:
    offers = ask.offers()
    minor, major = offers.scale("pentatonic minor"), offers.scale("pentatonic major")
    found = suits(wren, [minor, major], ["A4", "C5"], halves=False)
    assert found.suit(0, 0).verdict == VERDICTS[0]
    assert found.suit(1, 1).suits
    one, two = ({round(note.wanted, 3): note.letters for note in found.notes(s, s)} for s in (0, 1))
    assert one == two
    ranked = found.ranked()
    assert ranked.index((0, 0)) < ranked.index((1, 0))


def test_rows_that_open_a_hole_otherwise_are_tried_too(wren: Design) -> None:
    """B4 of the wren is a sliver of hole 6; the scales on A want it."""
    found = playable(wren, halves=False)
    more = with_rows(wren, found)
    assert more.count == found.count + 1
    assert more.letters[-1] == "XXXXXH"
    assert more.share[5, -1] == pytest.approx(0.1)
    scale = Scale("second", (0.0, 200.0))
    wanted = note_frequency(parse_note("B4"), 440)
    note = next(
        n for n in suits(wren, [scale], ["A"], found=found).notes(0, 0) if abs(n.wanted - wanted) < 0.1
    )
    assert note.letters == "XXXXXH"
    assert abs(note.cents) < 25
    plain_note = suits(wren, [scale], ["A"], halves=False).notes(0, 0)[1]
    assert "H" not in plain_note.letters
