"""Our ``dataclass`` beside the standard library's: the same class made by both, asked the same."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
import re
from collections.abc import Callable
from dataclasses import FrozenInstanceError, field, fields, replace
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

import scaledesign
from scaledesign import values

PACKAGE = Path(scaledesign.__file__).parent
EVERY_WAY = (
    {"frozen": True},
    {"frozen": True, "slots": True},
    {"frozen": True, "eq": False},
    {"slots": True},
    {},
)


def family(dataclass: Callable[..., Any], ways: dict[str, bool]) -> tuple[Any, Any, Any]:
    """A class with every kind of field we use, one that goes on from it, and one without fields."""

    @dataclass(**ways)
    class Thing:
        """A thing."""

        KINDS: ClassVar[tuple[str, ...]] = ("a", "b")
        first: int
        second: str = "two"
        third: list[int] = field(default_factory=list)
        aside: float = field(default=0.5, compare=False)
        hidden: str = field(default="x", repr=False)
        named: bool = field(default=False, kw_only=True)

    @dataclass(**ways)
    class Other(Thing):
        """A thing that checks itself."""

        fourth: float = 4.0

        def __post_init__(self) -> None:
            if self.fourth < 0:
                raise ValueError("below zero")

        def __repr__(self) -> str:
            return "mine"

    @dataclass(**ways)
    class Empty:
        """Nothing."""

    return Thing, Other, Empty


def said(call: Callable[[], object]) -> object:
    """What a call answers, or how it fails; where its class stands is left out."""
    try:
        answer = repr(call())
    except Exception as error:  # noqa: BLE001 - compared, word for word
        answer = f"{type(error).__name__}: {error}"
    return re.sub(r"family\.<locals>\.", "", answer)


ASKED: tuple[Callable[[Any, Any, Any], object], ...] = (
    lambda thing, other, empty: inspect.signature(thing).replace(return_annotation=inspect.Signature.empty)
    .parameters.keys(),
    lambda thing, other, empty: [p.kind for p in inspect.signature(other).parameters.values()],
    lambda thing, other, empty: thing(1),
    lambda thing, other, empty: thing(1, "z", [3], named=True),
    lambda thing, other, empty: thing(),
    lambda thing, other, empty: thing(1, second="a", nothing=2),
    lambda thing, other, empty: thing(1, "a", [], 0.1, "h", True),
    lambda thing, other, empty: other(1, fourth=-1.0),
    lambda thing, other, empty: (other(1, fourth=2.0), other(1, fourth=2.0).fourth),
    lambda thing, other, empty: (empty(), empty() == empty(), hash(empty()) == hash(empty())),
    lambda thing, other, empty: thing(1) == thing(1),
    lambda thing, other, empty: thing(1) == thing(1, aside=9.0),
    lambda thing, other, empty: (thing(1) == thing(2), thing(1) != thing(2), thing(1) == other(1)),
    lambda thing, other, empty: thing(1).__eq__(1),
    lambda thing, other, empty: len({thing(1, third=()), thing(1, third=()), thing(1, third=(), aside=2.0)}),
    lambda thing, other, empty: type(hash(thing(1))),
    lambda thing, other, empty: thing(1).third is thing(1).third,
    lambda thing, other, empty: setattr(thing(1), "first", 2),
    lambda thing, other, empty: delattr(thing(1), "first"),
    lambda thing, other, empty: replace(thing(1), second="b", named=True),
    lambda thing, other, empty: replace(thing(1), nothing=1),
    lambda thing, other, empty: dataclasses.asdict(thing(1, third=[thing(2)])),
    lambda thing, other, empty: [(f.name, f.type, f.repr, f.compare, f.kw_only) for f in fields(other)],
    lambda thing, other, empty: (thing.__match_args__, thing.__doc__, dataclasses.is_dataclass(thing)),
    lambda thing, other, empty: (getattr(thing, "__slots__", "none"), hasattr(thing(1), "__dict__")),
    lambda thing, other, empty: copy.copy(thing(1, "z", [2])),
    lambda thing, other, empty: copy.deepcopy(thing(1, "z", [thing(2)])),
    lambda thing, other, empty: (thing.second, thing.KINDS),
)  # fmt: skip


@pytest.mark.parametrize("few", [0, 1000], ids=["compiled", "by field"])
@pytest.mark.parametrize("ways", EVERY_WAY, ids=lambda ways: " ".join(ways) or "plain")
def test_a_class_does_as_the_standard_library_makes_it(
    ways: dict[str, bool], few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(values, "FEW", few)
    theirs, ours = family(dataclasses.dataclass, ways), family(values.dataclass, ways)
    for number, ask in enumerate(ASKED):
        assert said(lambda a=ask: a(*ours)) == said(lambda a=ask: a(*theirs)), number
    if ways.get("frozen"):
        with pytest.raises(FrozenInstanceError):
            ours[1](1).fourth = 3.0


@values.dataclass(frozen=True, slots=True)
class Pair:
    """Two things."""

    left: object
    right: object = None


@given(st.integers() | st.floats(allow_nan=False) | st.text(), st.none() | st.booleans())
def test_what_is_equal_has_one_hash_and_outlives_a_journey(left: object, right: object) -> None:
    one = Pair(left, right)
    again = pickle.loads(pickle.dumps(one))
    assert again == one
    assert hash(again) == hash(one) == hash(Pair(left, right))
    assert one != Pair(left, "else")


def test_init_is_compiled_once_it_is_worth_it() -> None:
    @values.dataclass(frozen=True)
    class Often:
        """A thing."""

        number: int

    for number in range(values.FEW):
        assert Often(number).number == number
        assert not inspect.isfunction(vars(Often)["__init__"])
    assert Often(-1).number == -1
    assert inspect.isfunction(vars(Often)["__init__"])


def test_no_module_of_ours_takes_the_other() -> None:
    other = re.compile(r"^\s*from dataclasses import .*\bdataclass\b|dataclasses\.dataclass", re.MULTILINE)
    taken = [p.name for p in sorted(PACKAGE.rglob("*.py")) if other.search(p.read_text(encoding="utf-8"))]
    assert taken == ["values.py"]
