"""Whole charts: no other choice among the candidates is cheaper, and never dearer than note by note."""

from __future__ import annotations

from dataclasses import asdict
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Finger
from scaledesign.workshop import ease, whole_chart
from scaledesign.workshop.ease import Ease, codes
from scaledesign.workshop.finder import Choice, choice_of, find
from scaledesign.workshop.playable import Playable, playable
from scaledesign.workshop.steadiness import Steadiness

FINGERS: tuple[Finger, ...] = ("LT", "L1", "L2")


@pytest.fixture(scope="module")
def choice() -> Choice:
    heron = load(EXAMPLES / "night-heron.toml")
    return choice_of(heron, playable(heron, registers=(1, 2)))


def made(seed: int, count: int) -> Choice:
    """Random fingerings of three holes with random costs, around 400 to 480 Hz."""
    draw = np.random.default_rng(seed)
    letters = tuple("".join(each) for each in product("XOH", repeat=3))[:count]
    none = np.zeros(count, np.intp)
    sound = Steadiness(np.full(count, 30.0), draw.uniform(0, 60, count), draw.uniform(0, 30, count))
    frequency = draw.uniform(400, 480, count)
    return Choice(
        Playable(FINGERS, letters, np.zeros((3, count)), none + 1, frequency, 0.5),
        np.arange(count), codes(letters), frequency, Ease(none, none, none, none), sound,
    )  # fmt: skip


def way(one: str, other: str) -> float:
    """What moving costs, letter by letter."""
    weights = [ease.MOVED_THUMB if finger[1] == "T" else ease.MOVED for finger in FINGERS]
    return sum(weight for a, b, weight in zip(one, other, weights, strict=True) if a != b)


def cheapest_of_all(choice: Choice, wanted: list[float]) -> float:
    """Every choice of a fingering for each note, tried one after the other."""
    offered = []
    for hertz in wanted:
        near = choice.near(hertz)
        if len(near):
            offered.append(
                [
                    (choice.playable.letters[i], float(choice.alone(near, hertz)[n]))
                    for n, i in enumerate(near)
                ]
            )
    least = np.inf
    for path in product(*offered):
        cost = sum(each for _, each in path)
        cost += sum(way(one[0], other[0]) for one, other in pairwise(path))
        least = min(least, cost)
    return float(least)


@settings(max_examples=60)
@given(
    seed=st.integers(0, 10**6),
    count=st.integers(1, 10),
    wanted=st.lists(st.floats(395, 485), min_size=1, max_size=4),
)
def test_no_other_choice_is_cheaper(seed: int, count: int, wanted: list[float]) -> None:
    choice = made(seed, count)
    chart = whole_chart.whole_chart(choice, wanted)
    if any(chart.notes):
        assert chart.total == pytest.approx(cheapest_of_all(choice, wanted), abs=1e-4)
    assert [note is None for note in chart.notes] == [not len(choice.near(hertz)) for hertz in wanted]


@settings(max_examples=60)
@given(
    seed=st.integers(0, 10**6),
    count=st.integers(1, 27),
    wanted=st.lists(st.floats(380, 500), max_size=12),
)
def test_never_dearer_than_each_notes_best_with_its_ways(seed: int, count: int, wanted: list[float]) -> None:
    choice = made(seed, count)
    chart = whole_chart.whole_chart(choice, wanted)
    total, before = 0.0, ""
    for hertz in wanted:
        near = choice.near(hertz)
        if len(near):
            alone = choice.alone(near, hertz)
            best = choice.playable.letters[near[alone.argmin()]]
            total += float(alone.min()) + (way(before, best) if before else 0.0)
            before = best
    assert chart.separate == pytest.approx(total, abs=1e-4)
    assert chart.total <= total + 1e-4


def test_a_flute_over_two_registers(choice: Choice) -> None:
    wanted = [293.66 * 2 ** (step / 12) for step in range(25)]
    chart = whole_chart.whole_chart(choice, wanted)
    assert len(chart.notes) == 25
    there = [note for note in chart.notes if note]
    assert len(there) > 18
    assert chart.total <= chart.separate + 1e-4
    assert chart.total == pytest.approx(sum(sum(asdict(note.cost).values()) for note in there))
    assert chart.moved == sum(
        sum(a != b for a, b in zip(one.letters, other.letters, strict=True)) for one, other in pairwise(there)
    )
    assert there[0].moved == there[0].cost.moved == 0
    heron = load(EXAMPLES / "night-heron.toml")
    for note, alone, hertz in zip(
        chart.notes, find(heron, wanted, neighbours=(), choice=choice), wanted, strict=True
    ):
        assert (note is None) == (not alone)
        if note:
            assert note.cost.alone >= alone[0].total - 1e-6
            assert note.cents == pytest.approx(1200 * np.log2(note.frequency / hertz))


def test_short_ways_are_worth_a_worse_note(choice: Choice, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = [293.66 * 2 ** (step / 12) for step in range(25)]
    freely = whole_chart.whole_chart(choice, wanted)
    monkeypatch.setattr(ease, "MOVED", 40.0)
    monkeypatch.setattr(ease, "MOVED_THUMB", 60.0)
    dear = whole_chart.whole_chart(choice, wanted)
    assert dear.moved < freely.moved
    assert dear.total < dear.separate


def test_nothing_wanted_and_nothing_played() -> None:
    choice = made(1, 5)
    assert whole_chart.whole_chart(choice, []).notes == ()
    none = whole_chart.whole_chart(choice, [100.0, 2000.0])
    assert none.notes == (None, None)
    assert none.total == none.separate == none.moved == 0
