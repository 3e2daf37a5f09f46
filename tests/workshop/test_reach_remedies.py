"""What a hand cannot cover, and remedies: the note kept, the limit met, the cents those of a prediction."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, hypot, radians, sin, tan
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign import examples
from scaledesign.errors import NoPitchError, QuantityError, UnknownNameError
from scaledesign.files.document_file import load
from scaledesign.model.document import Design, Hand
from scaledesign.model.hands import HANDS, flat_fingers, measured, parse_hand
from scaledesign.solver.limits import SEAL
from scaledesign.workshop import ask
from scaledesign.workshop.played_as import cents_off, played, sounding
from scaledesign.workshop.reach import Misfit, bridges, for_hand, misfits
from scaledesign.workshop.reach_remedies import Remedied, Remedy, remedies
from scaledesign.workshop.registers import registers
from tests.workshop.hand_flutes import HANDED, flute

EXAMPLES = sorted(Path(examples.__path__[0]).glob("*.toml"))
SMALL = Hand((0.030, 0.030, 0.030), 0.080, 0.016)


@cache
def small() -> Remedied:
    """A flute of four holes under a hand that two pairs are too far for."""
    return remedies(for_hand(flute(), SMALL))


@cache
def close() -> Remedied:
    """The same under finger tips that are too broad for one pair."""
    return remedies(for_hand(flute(), Hand((0.05, 0.05, 0.05), 0.12, 0.0333)))


def of(found: Remedied, kind: str) -> list[Remedy]:
    return [one for group in (*found.single, found.whole) for one in group if one.kind == kind]


def points(design: Design, holes: tuple[int, ...]) -> list[tuple[float, float, float]]:
    """Centres on the outside of a plain tube."""
    radius = design.tube.bore[0].value / 2 + design.tube.wall[0].value
    return [
        (h.at, radius * cos(radians(h.side)), radius * sin(radians(h.side)))
        for h in (design.holes[i] for i in holes)
    ]


def straight(design: Design, holes: tuple[int, ...]) -> float:
    one, two = points(design, holes)
    return hypot(*(a - b for a, b in zip(one, two, strict=True)))


def test_pairs_that_are_too_far_come_first_and_are_told_by_how_much() -> None:
    found = bridges(for_hand(flute(), SMALL))
    assert [one.verdict for one in found] == ["too far", "too far", "fits"]
    first = found[0]
    assert first.over == pytest.approx(max(b.along - b.most for b in found if b.kind == "spread"), abs=1e-9)
    assert [one.by for one in small().misfits] == sorted((one.by for one in small().misfits), reverse=True)
    assert misfits(for_hand(flute(), "large")) == ()


def test_straight_and_around_are_those_of_the_tube() -> None:
    design = flute()
    turned = replace(design, holes=(*design.holes[:3], replace(design.holes[3], side=24.0)))
    one = next(b for b in bridges(turned) if b.holes == (2, 3))
    assert one.straight == pytest.approx(straight(turned, (2, 3)))
    radius = design.tube.bore[0].value / 2 + design.tube.wall[0].value
    assert one.around == pytest.approx(radius * radians(24.0))


def test_every_remedy_does_what_it_says_and_its_cents_are_a_predictions() -> None:
    found = small()
    for misfit, group in zip(found.misfits, found.single, strict=True):
        assert group
        for one in group:
            left = [m for m in misfits(one.design) if (m.kind, m.holes) == (misfit.kind, misfit.holes)]
            assert one.met == (not left)
    for one in (found.single[0][0], found.single[1][-1], found.whole[0]):
        assert one.cents == pytest.approx(ask.predict(one.design).cents, abs=1e-3)


def test_a_hole_that_is_moved_keeps_its_note_within_two_cents_and_the_limit_is_met() -> None:
    moved = [*of(small(), "narrower"), *of(small(), "wider"), *of(close(), "narrower"), *of(close(), "wider")]
    assert len(moved) == 6
    for one in moved:
        assert one.row is not None
        assert abs(one.changed[one.row]) < 2.0
        assert one.met
    for one in of(small(), "narrower"):
        (hole,) = one.holes
        now, was = one.design.holes[hole], small().design.holes[hole]
        assert now.at < was.at
        assert now.diameter < was.diameter
        assert one.touchy is not None
        assert one.touchy[1] > one.touchy[0] > 0  # a small hole is touchier


def test_what_becomes_of_an_octave_is_what_the_registers_say() -> None:
    (one,) = [each for each in of(small(), "narrower") if each.holes == (3,)]
    assert one.octave is not None
    for design, told in zip((small().design, one.design), one.octave, strict=True):
        played = next(each for each in registers(design).fingerings if each.note == one.octave_note)
        assert played.registers[1].stretch == pytest.approx(told, abs=0.01)


def test_a_turned_hole_comes_as_far_off_the_line_as_the_finger_needs() -> None:
    found = small()
    for misfit, group in zip(found.misfits, found.single, strict=True):
        (one,) = [each for each in group if each.kind == "turn"]
        hole = one.design.holes[one.holes[0]]
        radius = found.design.tube.bore[0].value / 2 + found.design.tube.wall[0].value
        across = 2 * radius * sin(radians(abs(hole.side)) / 2)
        less = 2 * radius * sin(radians(abs(hole.side) - 1) / 2)
        assert one.met == (across >= misfit.by)
        assert less < misfit.by + 1e-4  # no further than to a whole degree
        assert hole.side > 0  # the lower hand's palm, for a right-handed player
        assert np.abs(one.changed).max() < 2.0


def test_fingers_too_close_are_turned_apart_until_two_tips_fit() -> None:
    found = close()
    turned = [one for one in of(found, "turn") if one.met]
    assert turned
    pad = found.design.shop.hand.pad
    for one in turned:
        pair = next(m for m, group in zip(found.misfits, found.single, strict=True) if one in group)
        assert pair.what == "too close"
        assert straight(found.design, pair.holes) < pad <= straight(one.design, pair.holes) + 1e-4


def test_a_slant_leaves_the_inner_opening_where_it_was() -> None:
    found = [one for one in of(small(), "slant") if not small().design.holes[one.holes[0]].slant]
    assert found
    wall = small().design.tube.wall[0].value
    for one in found:
        (i,) = one.holes
        was, now = small().design.holes[i], one.design.holes[i]
        assert now.at + wall * tan(radians(now.slant)) == pytest.approx(was.at, abs=2e-5)
        assert abs(now.slant) <= 30
        assert one.row is not None
        assert abs(one.changed[one.row]) < 2.0


def test_two_together_where_one_is_not_enough() -> None:
    design = for_hand(flute(), Hand((0.035, 0.025, 0.033), 0.08, 0.016))
    stiff = replace(design, shop=replace(design.shop, smallest=0.0075, largest=0.0095))
    (group,) = remedies(stiff).single
    assert not any(one.met and not one.breaks for one in group if one.kind != "both")
    both = [one for one in group if one.kind == "both" and one.met and not one.breaks]
    assert both
    for one in both:
        assert len(one.words.split("; and ")) == 2
        assert len(one.holes) in (1, 2)
        assert abs(one.worst) < 5
    assert group[0] is both[0]


def test_a_hole_too_wide_for_its_finger_is_made_narrower_or_oval() -> None:
    found = remedies(for_hand(flute(), Hand((0.05, 0.05, 0.05), 0.12, 0.0105)))
    widest = next(i for i, m in enumerate(found.misfits) if m.kind == "pad")
    kinds = {one.kind: one for one in found.single[widest]}
    hole = found.misfits[widest].holes[0]
    seals = 0.0105 - SEAL
    for one in kinds.values():
        assert one.met
        assert one.design.holes[hole].diameter == pytest.approx(seals, abs=1e-6)
    narrow = kinds["narrower"]
    assert narrow.design.holes[hole].at < found.design.holes[hole].at
    assert narrow.row is not None
    assert abs(narrow.changed[narrow.row]) < 2.0
    oval = kinds["oval"].design.holes[hole]
    assert oval.across is not None
    assert oval.across * oval.diameter == pytest.approx(found.design.holes[hole].diameter ** 2, rel=1e-4)


def test_whole_flute_remedies_fit_everything_they_say_they_fit() -> None:
    whole = {one.kind: one for one in small().whole}
    assert {"anew", "flat fingers"} <= set(whole)
    for one in whole.values():
        assert one.met == (not misfits(one.design))
    assert whole["anew"].met
    assert whole["key"].design.tuning.tonic != flute().tuning.tonic
    assert whole["key"].design.tube.length < flute().tube.length


def test_a_layout_in_which_a_note_has_no_pitch_is_no_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(design: Design) -> Design:
        raise NoPitchError((0,), "Row 1 has no pitch.")

    design = for_hand(flute(), "small")
    monkeypatch.setattr(ask, "solve", silent)
    found = remedies(design)
    assert found.misfits
    assert all(found.single)
    assert not {one.kind for one in found.whole} & {"anew", "bore", "key"}


def test_a_drilled_hole_is_not_moved() -> None:
    design = for_hand(flute(), SMALL)
    drilled = replace(design, holes=tuple(replace(h, drilled=True) for h in design.holes))
    found = remedies(drilled)
    assert found.too_late == (0, 1, 2, 3)
    assert all(not group for group in found.single)
    for one in found.whole:
        assert [h.at for h in one.design.holes] == [h.at for h in design.holes]


def test_what_fits_needs_no_remedy() -> None:
    found = remedies(for_hand(flute(), "large"))
    assert (found.misfits, found.single, found.whole) == ((), (), ())


def test_a_thumb_out_of_reach_is_told_and_helped() -> None:
    found = remedies(for_hand(HANDED, Hand((0.026, 0.030, 0.033), 0.12, 0.012)))
    misfit = next(m for m in found.misfits if m.kind == "thumb")
    assert isinstance(misfit, Misfit)
    group = found.single[found.misfits.index(misfit)]
    assert any(one.met for one in group)
    assert all(one.kind != "turn" for one in group)


# Hands


def test_a_hand_measured_simply_keeps_the_shape_of_a_medium_one() -> None:
    own, medium = measured(0.062, 0.015), HANDS["medium"]
    assert own.pad == 0.015
    assert own.spread[0] + own.spread[1] == pytest.approx(0.062, abs=1e-4)
    for mine, usual in zip((*own.spread, own.gap), (*medium.spread, medium.gap), strict=True):
        assert mine / 0.062 == pytest.approx(usual / 0.072, rel=0.005)


def test_a_hand_is_read_as_a_name_two_measures_or_five() -> None:
    assert parse_hand("Small", "mm") == "small"
    assert parse_hand("62, 15", "mm") == measured(0.062, 0.015)
    assert parse_hand("2 1/2 in; 5/8", "in") == measured(0.0635, 0.015875)
    assert parse_hand("28,26,28,60,14", "mm") == Hand((0.028, 0.026, 0.028), 0.06, 0.014)


@pytest.mark.parametrize("text", ["28,26,28", "62", "620, 15", "62, 150", "62, 2"])
def test_what_is_no_hand_is_said(text: str) -> None:
    with pytest.raises(QuantityError):
        parse_hand(text, "mm")


def test_an_unknown_hand_names_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="small"):
        parse_hand("smal", "mm")


def test_flat_fingers_reach_further_and_cover_more() -> None:
    flat = flat_fingers(SMALL)
    assert flat.pad > SMALL.pad
    assert all(a > b for a, b in zip(flat.spread, SMALL.spread, strict=True))


@settings(max_examples=12)
@given(
    st.lists(st.floats(-0.006, 0.006), min_size=6, max_size=6),
    st.lists(st.floats(0.75, 1.3), min_size=6, max_size=6),
    st.integers(0, len(EXAMPLES) - 1),
)
def test_a_start_nearby_changes_nothing_of_what_is_played(
    moved: list[float], widened: list[float], example: int
) -> None:
    """Holes elsewhere and of other widths, two registers: from below or from the flute as it was."""
    design = load(EXAMPLES[example])
    rows = (*design.rows, *(replace(row, register=2) for row in design.rows if row.register == 1))
    holes = tuple(
        replace(hole, at=hole.at + moved[i % 6] / 2, diameter=hole.diameter * widened[i % 6])
        for i, hole in enumerate(design.holes)
    )
    other = replace(design, holes=holes)
    fresh = played([design, other], rows)
    quick = played([design, other], rows, sounding(design, rows))
    np.testing.assert_allclose(cents_off(quick, fresh), 0, atol=1e-3)
