"""The layout without a tape: marks, what rounding costs, rules of thumb, held against a plain prediction."""

from __future__ import annotations

import warnings
from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import pairwise

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.files import document_file
from scaledesign.model.document import Design
from scaledesign.workshop import ask
from scaledesign.workshop.by_eye import (
    FOLDS,
    SAME,
    WAYS,
    Layout,
    Way,
    how_to,
    layouts,
    serves_best,
    steps_words,
    worst_of,
)
from scaledesign.workshop.rules_of_thumb import Judged, Nearest, applies, judged, nearest_scale, verdict_of
from tests.workshop.hand_flutes import HANDED, START, flute


@cache
def found() -> tuple[Layout, ...]:
    return layouts(flute(), finger=0.018)


@cache
def rules() -> tuple[Judged, ...]:
    return judged(flute())


def way(name: Way) -> Layout:
    return next(one for one in found() if one.way == name)


@pytest.mark.parametrize("name", WAYS)
def test_what_rounding_costs_is_what_a_prediction_says(name: Way) -> None:
    one, before = way(name), ask.predict(flute()).cents
    assert one.cents == pytest.approx(ask.predict(one.design).cents, abs=1e-3)
    hole = max(one.holes, key=lambda each: abs(each.shift))
    assert hole.mark is not None
    alone = list(flute().holes)
    alone[hole.hole] = replace(alone[hole.hole], at=hole.mark.at)
    after = ask.predict(replace(flute(), holes=tuple(alone))).cents
    assert hole.cents == pytest.approx(after - before, abs=2e-3)


@pytest.mark.parametrize("name", WAYS)
def test_widths_chosen_anew_leave_the_places_and_make_nothing_worse(name: Way) -> None:
    one = way(name)
    assert [h.at for h in one.chosen.holes] == [h.at for h in one.design.holes]
    assert one.chosen.tube.length == flute().tube.length
    assert abs(one.worst(chosen=True)[1]) <= abs(one.worst()[1])
    assert one.chosen_cents == pytest.approx(ask.predict(one.chosen).cents, abs=1e-3)
    assert all("at" in hole.locked for hole in one.design.holes)


def test_each_hole_lies_at_the_nearest_fold() -> None:
    length = flute().tube.length
    shares = {Fraction(n, parts) for parts in FOLDS for n in range(1, parts)}
    for each in way("cord").holes:
        assert each.mark is not None
        at = flute().holes[each.hole].at
        nearest = min(abs(length * float(1 - share) - at) for share in shares)
        assert abs(each.shift) <= nearest + SAME + 1e-6
        (share,) = (share for share in shares if abs(length * float(1 - share) - each.mark.at) < 2e-6)
        assert each.mark.folds == (share.denominator,)


@pytest.mark.parametrize(("name", "step"), [("fingers", 0.018 / 2), ("bore", 0.016 / 4)])
def test_finger_and_bore_widths_are_whole_steps_from_the_foot(name: Way, step: float) -> None:
    length = flute().tube.length
    for each in way(name).holes:
        assert each.mark is not None
        assert length - each.mark.at == pytest.approx(each.mark.steps * step, abs=2e-6)
        assert abs(each.shift) <= step / 2 + SAME


def test_two_folds_are_never_further_off_than_one() -> None:
    for one, two in zip(way("cord").holes, way("two folds").holes, strict=True):
        assert abs(two.shift) <= abs(one.shift) + SAME


def test_the_steps_go_foot_upward_and_add_up() -> None:
    lines = how_to(flute(), way("fingers"))
    assert lines[1].startswith("From the foot go up ")
    assert [line.split(": hole ")[1][0] for line in lines[1:]] == ["4", "3", "2", "1"]
    highest = max(each.mark.steps for each in way("fingers").holes if each.mark)
    parts = [line.split("go up ")[-1].split("From there ")[-1].split(":")[0] for line in lines[1:]]
    words = {steps_words(n, "fingers"): n for n in range(1, 60)}
    assert sum(words[part] for part in parts) == highest


def test_steps_are_said_as_a_person_says_them() -> None:
    assert [steps_words(n, "fingers") for n in (1, 2, 3, 8)] == [
        "half a finger", "1 finger", "1 1/2 fingers", "4 fingers",
    ]  # fmt: skip
    assert [steps_words(n, "bore") for n in (1, 2, 5)] == ["1/4 of a bore", "half a bore", "1 1/4 bores"]


def test_what_is_drilled_or_locked_stays() -> None:
    holes = flute().holes
    design = replace(
        flute(),
        holes=(replace(holes[0], drilled=True), replace(holes[1], locked=frozenset({"at"})), *holes[2:]),
    )
    (one,) = layouts(design, ("cord",))
    assert [each.mark is None for each in one.holes] == [True, True, False, False]
    assert [h.at for h in one.design.holes[:2]] == [h.at for h in holes[:2]]
    assert how_to(design, one)[-1] == "Holes 1, 2 are made or locked, and stay."


def test_holes_keep_wood_and_room_for_two_fingers() -> None:
    for one in found():
        at = [h.at for h in one.design.holes]
        for upper, lower in pairwise(at):
            assert lower - upper > 0.0229


def test_which_way_serves_best_is_said_in_a_sentence() -> None:
    said = serves_best(found())
    best = min(found(), key=lambda one: round(abs(one.worst()[1])))
    assert f"{abs(best.worst()[1]):.0f} cents off" in said
    assert said.endswith(").")


# Rules of thumb


def test_a_rule_is_told_by_what_a_prediction_says_of_it() -> None:
    for one in rules():
        assert one.cents == pytest.approx(ask.predict(one.design).cents, abs=1e-3)
        row, worst = worst_of(one.design, one.cents)
        assert (one.worst_row, one.worst) == (row, worst)
    assert [abs(one.worst) for one in rules()] == sorted(abs(one.worst) for one in rules())


def test_rules_lie_where_they_say() -> None:
    length, bore = flute().tube.length, flute().tube.bore[0].value
    at = {one.name: np.array([h.at for h in one.design.holes]) for one in rules()}
    assert at["evenly spaced"][[0, -1]] == pytest.approx([0.4 * length, 0.8 * length], abs=1e-5)
    assert np.diff(at["evenly spaced"]) == pytest.approx(0.4 * length / 3, abs=2e-5)
    assert np.diff(at["a bore and growing"]) == pytest.approx([bore, 1.25 * bore, 1.5 * bore], abs=2e-5)
    assert at["by twelfths"][::-1] == pytest.approx([length * (1 - n / 12) for n in (2, 3, 4, 5)], abs=1e-5)
    low, *others = ask.targets(flute())
    assert at["as on a string"][::-1] == pytest.approx([length * low / f for f in others], abs=1e-5)
    for one in rules():
        assert {h.diameter for h in one.design.holes} == {0.008}


def test_the_verdict_follows_the_cents() -> None:
    for one in rules():
        if abs(one.worst) > 25 and (one.nearest is None or abs(one.nearest.worst) > 25):
            assert one.verdict.startswith("Not in tune: worst note ")
            assert not one.usable
            assert ("sharp" in one.verdict) == (one.worst > 0)
        assert abs(one.chosen_worst) <= abs(one.worst)
        assert ("chosen anew" in one.verdict) == (abs(one.chosen_worst) < abs(one.worst) - 1)


@pytest.mark.parametrize(
    ("worst", "near", "said", "usable"),
    [
        (7.0, None, "In tune as it is: worst note D5, 7 cents sharp.", True),
        (-21.0, None, "Playable with care: worst note D5, 21 cents flat.", True),
        (
            -80.0,
            Nearest("so", "A4", -18.0),
            (
                "Not your scale (worst note D5, 80 cents flat), but usable as its own: so on A4, to within "
                "18 cents."
            ),
            True,
        ),
        (
            -80.0,
            Nearest("pentatonic jue", "A4", 44.0),
            "Not in tune: worst note D5, 80 cents flat; nearest is pentatonic jue on A4, 44 cents off.",
            False,
        ),
        (np.nan, None, "Not in tune: D5 does not sound.", False),
    ],
)
def test_a_verdict_in_words(worst: float, near: Nearest | None, said: str, usable: bool) -> None:
    assert verdict_of(flute(), 2, worst, near) == (said, usable)


def test_a_flute_in_tune_is_nearest_to_its_own_scale_and_a_shifted_one_to_another() -> None:
    own = nearest_scale(flute(), ask.predict(flute()).cents)
    assert own is not None
    assert (own.name, own.tonic) == ("pentatonic minor", "A4")
    assert abs(own.worst) < 3
    major = ask.offers().scale("pentatonic major").cents
    minor = ask.offers().scale("pentatonic minor").cents
    other = nearest_scale(flute(), np.array([b - a for a, b in zip(minor, major, strict=True)]))
    assert other is not None
    assert other.name == "pentatonic major"
    assert abs(other.worst) < 1e-6


def test_a_thumb_hole_keeps_its_distance_from_the_uppermost() -> None:
    for one in judged(HANDED):
        thumb, top = one.design.holes[:2]
        assert top.at - thumb.at == pytest.approx(0.035, abs=2e-5)


def test_a_flute_without_front_holes_is_refused() -> None:
    bare: Design = replace(START, holes=(), rows=())
    assert applies(START)
    assert not applies(bare)
    with pytest.raises(EditError):
        judged(bare)


@pytest.mark.parametrize("finger", [0.0, 1e-6, 0.4])
def test_what_is_no_finger_is_refused(finger: float) -> None:
    with pytest.raises(EditError, match=r"No finger is .* wide"):
        layouts(START, ("fingers",), finger)
    with pytest.raises(EditError, match=r"No finger is .* wide"):
        judged(START, finger)


def test_a_rule_that_no_limit_can_follow_is_told_of_in_bounded_time_and_without_a_warning() -> None:
    page = (files("scaledesign") / "handbook" / "rescue.md").read_text(encoding="utf-8")
    written = page.partition("```toml water-rail.toml\n")[2].partition("```")[0]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = judged(document_file.loads(written))
    assert all(np.isfinite(one.chosen_worst) for one in found)
