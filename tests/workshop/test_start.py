"""Cold starts: from bore, wall, key, scale and system to a flute in tune, or the reason why not."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

import scaledesign
from scaledesign.errors import EditError
from scaledesign.extend.registry import catalogue
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Mouth
from scaledesign.model.pitch import note_frequency, parse_note
from scaledesign.solver.solution import Solution
from scaledesign.workshop.start import Wanted, blank_design, length_for

SYSTEMS = {system.name: system for system in catalogue().systems()}
KEYS = ("D4", "F4", "G4", "A4", "C5", "D5", "F5", "A5")
BORES = (0.012, 0.014, 0.016, 0.019, 0.022, 0.025)
MOUTHS: tuple[Mouth, ...] = ("duct", "notch", "transverse", "rim")
HANDS = ("small", "medium", "large")
EVERY = 37
"""One cold start of so many is tried; prime, so that every system, key, bore, mouth and hand has its turn."""


def bores_long(key: str, bore: float) -> float:
    """About how many bores a flute in a key is long."""
    return (345 / (2 * note_frequency(parse_note(key), 440.0)) - 0.04) / bore


def wanted(system: str, key: str, bore: float, mouth: Mouth = "duct", hand: str = "medium") -> Wanted:
    return Wanted(bore, 0.0035, key, SYSTEMS[system].home, system, mouth=mouth, hand=hand)


MATRIX = [
    wanted(system, key, bore, mouth, hand)
    for system, key, bore, mouth, hand in product(SYSTEMS, KEYS, BORES, MOUTHS, HANDS)
    if 12 < bores_long(key, bore) < 40
]
PLAIN = [
    wanted(system, key, bore, mouth)
    for system, (key, bore), mouth in product(
        SYSTEMS, [("D4", 0.019), ("G4", 0.016), ("A4", 0.016), ("C5", 0.014)], ("duct", "transverse")
    )
]


def ident(want: Wanted) -> str:
    return f"{want.system}-{want.key}-{want.bore * 1e3:.0f}-{want.mouth}-{want.hand}"


def scale_rows(solution: Solution) -> list[int]:
    return [i for i, row in enumerate(solution.design.rows) if row.role == "scale"]


def test_the_sample_leaves_nothing_out() -> None:
    sample = MATRIX[::EVERY]
    for values in (
        {want.system for want in sample} ^ set(SYSTEMS),
        {want.key for want in sample} ^ set(KEYS),
        {want.bore for want in sample} ^ set(BORES),
        {want.mouth for want in sample} ^ set(MOUTHS),
        {want.hand for want in sample} ^ set(HANDS),
    ):
        assert not values


@pytest.mark.parametrize("want", MATRIX[::EVERY], ids=ident)
def test_every_note_of_the_scale_is_met_or_what_binds_is_named(want: Wanted) -> None:
    """Within 2 cents after rounding to bits half a millimetre apart, or what is beyond tolerance is named."""
    solution = scaledesign.new_design(want)
    named = {obstacle.row for obstacle in solution.obstacles}
    rows = scale_rows(solution)
    assert len(rows) == len(SYSTEMS[want.system].opening)
    off = np.abs(solution.prediction.cents[rows])
    assert named == {row for row, cents in zip(rows, off, strict=True) if cents > 5}
    assert named or off.max() < 2


@pytest.mark.parametrize("want", PLAIN, ids=ident)
def test_a_plain_tube_plays_its_scale(want: Wanted) -> None:
    """What a maker expects to work does, within 2 cents, without a word about hands or wood."""
    solution = scaledesign.new_design(want)
    assert np.abs(solution.prediction.cents[scale_rows(solution)]).max() < 2
    assert solution.obstacles == ()
    said = " ".join(solution.notes)
    for word in ("hand", "finger", "wood", "bits", "contradict"):
        assert word not in said
    frequency = solution.prediction.frequency[scale_rows(solution)]
    assert (np.diff(frequency) > 0).all()
    at = [hole.at for hole in solution.design.holes if hole.side == 0]
    assert at == sorted(at)


@pytest.mark.parametrize(("key", "bore"), [("A3", 0.022), ("A4", 0.016), ("A5", 0.011)])
@pytest.mark.parametrize("mouth", MOUTHS)
def test_the_length_comes_from_the_key(key: str, bore: float, mouth: Mouth) -> None:
    """A bare tube of that length sounds the key."""
    design = blank_design(wanted("five-hole pentatonic", key, bore, mouth))
    length = length_for(design, note_frequency(parse_note(key), 440.0))
    bare = scaledesign.loads(
        f'units = "mm"\ninstrument = {{ mouth = "{mouth}" }}\ntuning = {{ tonic = "{key}" }}\n'
        f"tube = {{ length = {length * 1e3!r}, bore = {bore * 1e3!r}, wall = 3.5 }}\n"
        f'rows = [{{ note = "{key}", holes = "" }}]\n'
    )
    assert scaledesign.predict(bare).cents[0] == pytest.approx(0, abs=0.01)


def test_a_deeper_key_wants_a_longer_tube() -> None:
    lengths = [
        scaledesign.new_design(wanted("six-hole diatonic", key, 0.018)).design.tube.length
        for key in ("A4", "G4", "D4")
    ]
    assert lengths == sorted(lengths)


def test_the_same_wish_twice_is_the_same_flute() -> None:
    want = wanted("six-hole-and-thumb", "G4", 0.017)
    assert scaledesign.new_design(want).design == scaledesign.new_design(want).design


@pytest.mark.parametrize("bits", ["metric 0.5", "inch 1/64", "inch letters"])
def test_holes_are_the_makers_bits(bits: str) -> None:
    own = bit_set(bits)
    solution = scaledesign.new_design(replace(wanted("five-hole pentatonic", "A4", 0.016), bits=bits))
    for hole in solution.design.holes:
        assert hole.diameter == pytest.approx(own.nearest(hole.diameter), abs=1e-9)
    assert np.abs(solution.prediction.cents[scale_rows(solution)]).max() < 2


def test_a_blank_that_is_too_short_is_named() -> None:
    want = replace(wanted("five-hole pentatonic", "A4", 0.016), length=0.33)
    solution = scaledesign.new_design(want)
    assert solution.design.tube.length <= 0.33 + 1e-6
    assert any(obstacle.kind == "blank" for obstacle in solution.obstacles)


@pytest.mark.parametrize(("key", "bore"), [("G6", 0.045), ("C6", 0.030), ("G6", 0.020)])
def test_a_tube_too_wide_for_its_key_is_refused_with_a_bore_that_would_serve(key: str, bore: float) -> None:
    with pytest.raises(EditError, match=key) as refused:
        scaledesign.new_design(wanted("six-hole diatonic", key, bore))
    assert "deeper key" in refused.value.remedy
    assert "bore" in refused.value.remedy
    assert " mm" in refused.value.remedy


@pytest.mark.parametrize("mouth", MOUTHS)
def test_a_tube_so_wide_that_the_key_is_no_note_of_it_is_refused(mouth: Mouth) -> None:
    """However long: no length at which another of its resonances lies near is taken for the one."""
    design = blank_design(wanted("six-hole diatonic", "C7", 0.060, mouth))
    with pytest.raises(EditError, match="too wide for C7"):
        length_for(design, note_frequency(parse_note("C7"), 440.0))


def test_rows_that_the_tube_cannot_sound_are_left_out() -> None:
    """A stout tube in a high key has no third octave: those rows go, the scale stays."""
    want = wanted("five-hole pentatonic", "C6", 0.020)
    solution = scaledesign.new_design(want)
    assert len(scale_rows(solution)) == 6
    assert np.isfinite(solution.prediction.frequency).all()
