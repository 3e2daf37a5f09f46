"""The library of scales: each against its published row, its ratios, its fifths or the scale it turns."""

from __future__ import annotations

import csv
import math
import re
from fractions import Fraction
from itertools import accumulate, pairwise
from pathlib import Path

import pytest

import scaledesign
from scaledesign.errors import QuantityError, ScaleError, UnknownNameError
from scaledesign.extend.catalogue import EQUAL_STEPS, KINDS, Catalogue
from scaledesign.extend.conformance import scale_problems
from scaledesign.extend.registry import catalogue
from scaledesign.files import scale_file
from scaledesign.model.document import Tuning
from scaledesign.model.pitch import cents_between, note_frequency, parse_note
from scaledesign.model.retune import rotated
from scaledesign.model.scale import Scale, Tuned

FOUND = catalogue(folders=())
SCALES = {scale.name: scale for scale in FOUND.scales()}
DATA = Path(__file__).parents[1] / "data" / "scales"
PURE = 1200 * math.log2(3 / 2)
SYNTONIC = 1200 * math.log2(81 / 80)
PYTHAGOREAN = 12 * PURE - 8400


def table(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def steps_of(scale: Scale) -> list[float]:
    return [high - low for low, high in pairwise((*scale.cents, scale.period))]


MEASURED = {
    row["row"]: tuple(map(float, row["degrees_cents"].split())) for row in table("scales-measured.csv")
}
UNITS = {"semitones": 100.0, "cents": 1.0}
STEPS = {
    row["row"]: tuple(UNITS[row["unit"]] * float(step) for step in row["steps"].split())
    for row in table("scales-steps.csv")
}
CITED = {
    name: match[1] for name, scale in SCALES.items() if (match := re.search(r"row ([MT]\d{4})", scale.source))
}
"""Scales of McBride, Passmore & Tlusty 2023, PLoS ONE 18(12) e0284851, and the row each is said to be."""
CHOSEN = {
    "pelog 1972 bem": ((0, 1, 2, 4, 5), 1202.0),
    "pelog 1972 barang": ((1, 2, 4, 5, 6), 1202.0),
    "jiahu eight-hole": (tuple(range(8)), 1200.0),
}
"""Those that are not the first degrees of their row: which, and what they repeat at; the sources say so."""


@pytest.mark.parametrize("name", SCALES)
def test_every_scale_is_fit_to_choose_from(name: str) -> None:
    scale = SCALES[name]
    assert scale_problems(scale) == ()
    assert scale.kind in KINDS
    assert len(scale.words) <= 100
    assert FOUND.scale(name) is scale


def test_there_are_many_and_of_every_kind() -> None:
    assert len(SCALES) >= 75
    assert {scale.kind for scale in SCALES.values()} == set(KINDS)
    order = [KINDS.index(scale.kind) for scale in FOUND.scales()]
    assert order == sorted(order)
    assert FOUND.scales()[0].name == "pentatonic minor"


@pytest.mark.parametrize("name", [name for name, row in CITED.items() if row.startswith("M")])
def test_measured_scales_are_their_published_row(name: str) -> None:
    """Integer cents, so exactly; the primary source is in the row."""
    scale, degrees = SCALES[name], MEASURED[CITED[name]]
    which, period = CHOSEN.get(name, (tuple(range(len(scale.cents))), degrees[len(scale.cents)]))
    assert scale.cents == tuple(degrees[i] - degrees[which[0]] for i in which)
    assert scale.period == period


@pytest.mark.parametrize("name", [name for name, row in CITED.items() if row.startswith("T")])
def test_scales_from_steps_are_their_published_row(name: str) -> None:
    scale, steps = SCALES[name], STEPS[CITED[name]]
    assert scale.cents == tuple(accumulate(steps[:-1], initial=0.0))
    assert scale.period == sum(steps) == 1200.0


def test_many_rows_are_held_to_their_source() -> None:
    assert sum(row.startswith("M") for row in CITED.values()) == 29
    assert sum(row.startswith("T") for row in CITED.values()) == 27
    assert set(CHOSEN) <= set(CITED)


def test_the_jiahu_flute_is_its_first_octave() -> None:
    """Zhang, Xiao & Lee 2004, flute M341:2: 203 197 304 201 295, then 405."""
    assert (*SCALES["jiahu"].cents, SCALES["jiahu"].period) == MEASURED["M0146"][:6]


def test_the_even_slendro_is_the_most_even_one() -> None:
    """Of the slendro rows of Ellis 1885 and Surjodiningrat et al. 1972: no step of it is far from 240."""

    def uneven(degrees: tuple[float, ...]) -> float:
        return max(abs(high - low - 240) for low, high in pairwise(degrees))

    rows = [row["row"] for row in table("scales-measured.csv") if row["kind"] == "slendro"]
    assert min(rows, key=lambda row: uneven(MEASURED[row])) == CITED["slendro 1972 even"]
    assert len(rows) == 32


@pytest.mark.parametrize(
    ("row", "name"),
    [("T0076", "ryo"), ("T0077", "ritsu"), ("T0078", "minyo"), ("T0337", "gong"), ("T0341", "yu")],
)
def test_other_names_are_published_too(row: str, name: str) -> None:
    """Hewitt 2013 has the steps of three Chinese modes under Japanese names."""
    assert tuple(steps_of(FOUND.scale(name))) == STEPS[row]


PUBLISHED = {
    "equal": "chromatic",
    "pythagorean Eb-G#": "pythagorean chromatic",
    "quarter-comma meantone Eb-G#": "quarter-comma meantone",
    "Werckmeister III": "Werckmeister III",
    "Kirnberger III": "Kirnberger III",
    "Vallotti (1/6 Pythagorean comma)": "Vallotti",
    "just, C major": "just chromatic",
}


@pytest.mark.parametrize(("published", "name"), PUBLISHED.items())
def test_temperaments_are_the_published_ones(published: str, name: str) -> None:
    """``temperaments.csv``: to 0.01 cent, and 0.01 Hz on C4 = 261.6256."""
    rows = [row for row in table("temperaments.csv") if row["temperament"] == published]
    assert SCALES[name].cents == pytest.approx([float(row["cents_from_C"]) for row in rows], abs=0.01)
    tuned = Tuned(SCALES[name], parse_note("C4"), 440.0)
    for row in rows:
        assert tuned.target(f"{row['note']}4") == pytest.approx(float(row["hz_with_C4_261.6256"]), abs=0.01)


def test_every_published_temperament_is_offered() -> None:
    assert set(PUBLISHED) == {row["temperament"] for row in table("temperaments.csv")}


NARROW = {
    "quarter-comma meantone": [SYNTONIC / 4] * 11,
    "sixth-comma meantone": [SYNTONIC / 6] * 11,
    "two-sevenths-comma meantone": [SYNTONIC * 2 / 7] * 11,
    "Young": [0.0] * 3 + [PYTHAGOREAN / 6] * 6 + [0.0] * 2,
    "Kirnberger II": [0.0] * 5 + [SYNTONIC / 2] * 2 + [0.0] * 2 + [PYTHAGOREAN - SYNTONIC, 0.0],
}
"""How far each fifth of the circle from Eb to G# is narrow, in cents; which they are is from memory."""


@pytest.mark.parametrize("name", NARROW)
def test_temperaments_have_their_fifths(name: str) -> None:
    circle = [3, 10, 5, 0, 7, 2, 9, 4, 11, 6, 1, 8]
    cents = SCALES[name].cents
    fifths = [(cents[high] - cents[low]) % 1200 for low, high in pairwise(circle)]
    assert fifths == pytest.approx([PURE - narrow for narrow in NARROW[name]], abs=0.001)


def test_what_the_meantones_keep_pure() -> None:
    """Quarter comma: 5/4. Two sevenths: 25/24. Kirnberger II: 5/4 over C, G and D."""
    cents = SCALES["quarter-comma meantone"].cents
    assert cents[4] == pytest.approx(1200 * math.log2(5 / 4), abs=0.001)
    cents = SCALES["two-sevenths-comma meantone"].cents
    assert cents[1] == pytest.approx(1200 * math.log2(25 / 24), abs=0.001)
    cents = SCALES["Kirnberger II"].cents
    thirds = [cents[4], cents[11] - cents[7], cents[6] - cents[2]]
    assert thirds == pytest.approx([1200 * math.log2(5 / 4)] * 3, abs=0.001)


def fractions_of(name: str, largest: int = 65536) -> list[Fraction]:
    """Degrees as the ratios that their cents are to a billionth of a cent."""
    found = [Fraction(2 ** (cents / 1200)).limit_denominator(largest) for cents in SCALES[name].cents]
    assert SCALES[name].cents == pytest.approx([1200 * math.log2(ratio) for ratio in found], abs=1e-9)
    return found


KNOWN = {Fraction(row["ratio"]) for row in (*table("ratios.csv"), *table("shruti.csv"))}


@pytest.mark.parametrize(
    "name",
    [name for name in SCALES if name.startswith("just ")]
    + ["drone mixolydian", "septimal pentatonic", "overtone pentatonic", "shruti"],
)
def test_pure_scales_are_made_of_published_ratios(name: str) -> None:
    """``ratios.csv``: Helmholtz/Ellis, Appendix XX; ``shruti.csv``: H. Bakshi's list."""
    assert set(fractions_of(name)) <= {Fraction(1), *KNOWN}


def test_published_ratios_in_cents() -> None:
    for row in table("ratios.csv"):
        scale = scale_file.loads(f'[scale]\nname = "a"\ndegrees = ["1", "{row["ratio"]}"]\nperiod = "4"')
        assert scale.cents[1] == pytest.approx(float(row["cents"]), abs=1e-6)
    assert fractions_of("shruti") == [Fraction(row["ratio"]) for row in table("shruti.csv")]


@pytest.mark.parametrize("name", [name for name in SCALES if name.startswith("pythagorean ")])
def test_pythagorean_scales_are_unbroken_chains_of_fifths(name: str) -> None:
    places = {Fraction(3, 2) ** k / Fraction(2) ** math.floor(k * math.log2(1.5)): k for k in range(-6, 12)}
    chain = sorted(places[ratio] for ratio in fractions_of(name, 10**7))
    assert chain == list(range(chain[0], chain[0] + len(chain)))


def test_overtones_and_their_mirror() -> None:
    assert fractions_of("overtones 8 to 16") == [Fraction(8 + k, 8) for k in range(8)]
    assert fractions_of("overtones 6 to 12") == [Fraction(6 + k, 6) for k in range(6)]
    assert fractions_of("overtone pentatonic") == [Fraction(k, 8) for k in (8, 9, 10, 12, 14)]
    assert fractions_of("undertones 16 to 8") == [Fraction(16, 16 - k) for k in range(8)]
    assert fractions_of("undertones 12 to 6") == [Fraction(12, 12 - k) for k in range(6)]


def test_ptolemy_s_even_steps() -> None:
    """Two fourths of 12:11, 11:10, 10:9, a whole tone of 9:8 between (from memory)."""
    ratios = [*fractions_of("equable diatonic"), Fraction(2)]
    steps = [high / low for low, high in pairwise(ratios)]
    fourth = [Fraction(12, 11), Fraction(11, 10), Fraction(10, 9)]
    assert steps == [*fourth, Fraction(9, 8), *fourth]


def test_the_lute_s_middle_finger_lies_where_ellis_has_it() -> None:
    """Ellis 1885 has Zalzal's third at 355 cents (from memory)."""
    assert SCALES["zalzal"].cents[2] == pytest.approx(355, abs=0.5)


def test_thirteen_steps_to_the_twelfth() -> None:
    """Bohlen 1978 (from memory): steps of 146.3 cents; the pure ones are their own mirror in the twelfth."""
    even = SCALES["Bohlen-Pierce"]
    assert even.period == pytest.approx(1200 * math.log2(3))
    assert steps_of(even) == pytest.approx([1200 * math.log2(3) / 13] * 13, abs=1e-4)
    assert steps_of(even)[0] == pytest.approx(146.3, abs=0.05)
    ratios = [*fractions_of("Bohlen-Pierce just"), Fraction(3)]
    assert [low * high for low, high in zip(ratios, reversed(ratios), strict=True)] == [Fraction(3)] * 14
    assert len(even.cents) == len(SCALES["Bohlen-Pierce just"].cents) == 13


@pytest.mark.parametrize(
    ("home", "degree", "mode"),
    [
        ("gong", 1, "shang"), ("gong", 2, "jue"), ("gong", 3, "zhi"), ("gong", 4, "yu"),
        ("dominant pentatonic", 3, "dorian pentatonic"),
        ("hirajoshi", 1, "iwato"), ("hirajoshi", 3, "kumoi joshi"), ("kumoi", 1, "in sen"),
        ("major", 1, "dorian"), ("major", 2, "phrygian"), ("major", 3, "lydian"), ("major", 4, "mixolydian"),
        ("major", 5, "minor"), ("major", 6, "locrian"),
        ("melodic minor", 1, "dorian flat second"), ("melodic minor", 2, "lydian augmented"),
        ("melodic minor", 3, "lydian dominant"), ("melodic minor", 4, "mixolydian flat sixth"),
        ("melodic minor", 5, "half-diminished"), ("melodic minor", 6, "altered"),
        ("harmonic minor", 3, "dorian raised fourth"), ("harmonic minor", 4, "phrygian dominant"),
        ("double harmonic", 3, "hungarian minor"),
        ("octatonic whole-half", 1, "octatonic half-whole"),
        ("quarter-tone rast", 1, "quarter-tone husayni"), ("quarter-tone rast", 2, "quarter-tone sikah"),
    ],
)  # fmt: skip
def test_modes_are_their_home_begun_elsewhere(home: str, degree: int, mode: str) -> None:
    assert rotated(FOUND.scale(home), degree).cents == FOUND.scale(mode).cents


@pytest.mark.parametrize(
    ("name", "semitones"),
    [
        ("whole tone", 2), ("octatonic half-whole", 3), ("octatonic whole-half", 3), ("augmented", 4),
        ("Messiaen 3", 4),
    ],
)  # fmt: skip
def test_even_patterns_come_again_within_the_octave(name: str, semitones: int) -> None:
    cents = SCALES[name].cents
    assert {(value + 100 * semitones) % 1200 for value in cents} == set(cents)
    assert not any(
        {(value + 100 * less) % 1200 for value in cents} == set(cents) for less in range(1, semitones)
    )


@pytest.mark.parametrize("count", range(EQUAL_STEPS[0], EQUAL_STEPS[1] + 1))
def test_equal_steps_of_any_number_by_their_name(count: int) -> None:
    scale = FOUND.scale(f"{count} equal")
    assert scale.name == f"{count} equal"
    assert scale.cents == pytest.approx([1200 * k / count for k in range(count)])
    assert scale_problems(scale) == ()
    assert bool(scale.places) == (count <= 24)
    assert scale == FOUND.scale(f" {count}  Equal steps") == FOUND.scale_of(Tuning(scale=scale.name))


@pytest.mark.parametrize(
    ("name", "meant"), [("4 equal", "5 equal"), ("73 equal", "72 equal"), ("0 equal", "5 equal")]
)
def test_equal_steps_beyond_the_rule_get_the_nearest(name: str, meant: str) -> None:
    with pytest.raises(UnknownNameError, match=f"did you mean '{meant}'"):
        FOUND.scale(name)


DESIGN = """\
name = "wren"
[instrument]
mouth = "duct"
[tube]
length = 350
bore = 16
wall = 3
[tuning]
tonic = "A4"
scale = "{scale}"
[[holes]]
at = 260
diameter = 7
finger = "R1"
[[rows]]
note = "A4"
holes = "X"
[[rows]]
note = "{note}"
holes = "O"
"""


@pytest.mark.parametrize(
    ("scale", "note", "cents"),
    [
        ("19 equal", "C5", 6000 / 19),
        ("7 equal", "B4", 1200 / 7),
        ("53 equal", "317 c", 317),
        ("53 equal", "C5", 300),
    ],
)
def test_a_design_may_be_tuned_to_equal_steps(scale: str, note: str, cents: float) -> None:
    design = scaledesign.loads(DESIGN.format(scale=scale, note=note))
    low, high = scaledesign.predict(design).target
    assert cents_between(low, high) == pytest.approx(cents, abs=1e-6)


def test_a_flute_of_seven_equal_steps_has_its_fingerings() -> None:
    rows = FOUND.rows("six-hole diatonic", FOUND.scale("7 equal"), parse_note("D5"), 440.0)
    tuned = Tuned(FOUND.scale("7 equal"), parse_note("D5"), 440.0)
    start = note_frequency(parse_note("D5"), 440.0)
    played = [cents_between(start, tuned.target(row.note)) for row in rows if row.role == "scale"]
    assert played == pytest.approx([1200 * k / 7 for k in range(len(played))])
    assert len(played) >= 7


def test_scales_of_your_own_come_last_unless_they_say_a_kind() -> None:
    mine = Scale("mine", (0.0, 700.0))
    near = Scale("near", (0.0, 600.0), kind="modes")
    odd = Scale("odd", (0.0, 500.0), kind="of the marsh")
    major, slendro = FOUND.scale("major"), FOUND.scale("slendro")
    names = [scale.name for scale in Catalogue((mine, odd, slendro, near, major)).scales()]
    assert names == ["near", "major", "slendro", "odd", "mine"]


def test_the_kind_goes_out_and_comes_back() -> None:
    scale = Scale("a", (0.0, 500.0), kind="modes")
    assert scale_file.loads(scale_file.dumps(scale)) == scale
    with pytest.raises(ScaleError, match=r"scale\.kind.*is no text"):
        scale_file.loads('[scale]\nname = "a"\ndegrees = ["1", "3/2"]\nkind = 5')
    with pytest.raises(QuantityError, match="kind"):
        Scale("a", (0.0,), kind=5)
