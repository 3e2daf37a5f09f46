"""One published case: what a source says, what the program says, how far apart they may be.

Apart from the computing (``pipes``, ``layouts``, ``formulas``, ``scales``), which turns the figures of a
source into rows and values, and from the page, which prints. Figures, sources and limits stand once, in
``sources/*.toml``; a limit is the source's own or follows from what it states.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from scaledesign.model.pitch import cents_between
from scaledesign.values import dataclass

Figures = Mapping[str, Any]
"""Figures of one source, in the units that their keys end with."""

STATUS = {
    "seen": "seen in the publication",
    "digest": "seen in somebody's digest of the publication",
    "abstract": "only its abstract was seen",
    "memory": "from memory, not yet held against the publication",
    "practice": "no publication",
    "title": "known by title only",
}
"""How far each source was checked."""
GROUPS = {
    "pipes": "Pipes that somebody blew or measured",
    "layouts": "Published layouts",
    "formulas": "Published formulas",
    "scales": "Scales measured on flutes",
}


@dataclass(frozen=True)
class Unit:
    """How a figure is printed: its size in SI, its digits after the point, and its ending in JSON."""

    key: str
    size: float = 1.0
    digits: int = 2


UNITS = {
    "Hz": Unit("hz"),
    "mm": Unit("m", 1e-3),
    "m/s": Unit("m_s", digits=3),
    "cents": Unit("cents", digits=1),
    "%": Unit("ratio", 1e-2, 1),
    "bores": Unit("bores", digits=3),
    "radii": Unit("radii", digits=3),
}


@dataclass(frozen=True)
class Row:
    """One figure of a source beside ours, SI."""

    label: str
    published: float
    predicted: float


@dataclass(frozen=True)
class Found:
    """What the program makes of a case: rows to show, and the values that its limits are about, SI."""

    rows: tuple[Row, ...]
    values: Mapping[str, float]


@dataclass(frozen=True)
class Limit:
    """One value and where it has to lie, SI; None: no limit on that side."""

    value: str
    words: str
    unit: str
    low: float | None
    high: float | None
    by: str
    """Where the limit comes from."""
    real: bool
    """Whether it claims something of a real instrument: then it is never narrower than ±10 cents."""

    @property
    def of_difference(self) -> bool:
        """Whether the value is a difference, which may be 0, rather than a size."""
        if self.low is None and self.high is None:
            return self.unit != "mm"
        return (self.low is None or self.low <= 0) and (self.high is None or self.high >= 0)


@dataclass(frozen=True)
class Case:
    """One case as its source has it."""

    key: str
    group: str
    title: str
    source: str
    status: str
    unit: str
    geometry: str
    compared: str
    left_out: str
    limits: tuple[Limit, ...]
    figures: Figures


Outcome = Literal["met", "missed", "no limit"]


@dataclass(frozen=True)
class Result:
    """A case and what the program makes of it."""

    case: Case
    found: Found

    def outcome_of(self, limit: Limit) -> Outcome:
        """Whether one value lies where it has to."""
        if limit.low is None and limit.high is None:
            return "no limit"
        value = self.found.values[limit.value]
        inside = (limit.low is None or value >= limit.low) and (limit.high is None or value <= limit.high)
        return "met" if inside else "missed"

    @property
    def outcome(self) -> Outcome:
        """Of the whole case: missed if any value is."""
        outcomes = {self.outcome_of(limit) for limit in self.case.limits}
        return "missed" if "missed" in outcomes else "met" if "met" in outcomes else "no limit"

    def error_of(self, row: Row) -> float:
        """How far ours is above the published figure: cents for frequencies, else in the row's own unit."""
        if self.case.unit == "Hz":
            return cents_between(row.published, row.predicted)
        return row.predicted - row.published


def read(name: str) -> dict[str, Any]:
    """One file of ``sources/``."""
    return tomllib.loads((files(__package__) / "sources" / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def cases() -> Mapping[str, Case]:
    """Every case there is, by its key."""
    found = {}
    for file in (files(__package__) / "sources").iterdir():
        table = read(file.name.removesuffix(".toml"))
        for key, case in table.get("cases", {}).items():
            found[key] = _case(key, {"source": table["source"], "status": table["status"], **case}, table)
    return found


def _case(key: str, case: dict[str, Any], table: dict[str, Any]) -> Case:
    limits = tuple(_limit(limit) for limit in case.pop("wanted"))
    return Case(key=key, limits=limits, figures=table["figures"], **case)


def _limit(table: dict[str, Any]) -> Limit:
    size = UNITS[table["unit"]].size
    low, high = (None if (bound := table.get(side)) is None else bound * size for side in ("low", "high"))
    return Limit(
        table["value"],
        table["words"],
        table["unit"],
        low,
        high,
        by=table.get("by", ""),
        real=table.get("real", False),
    )


def furthest(errors: list[float]) -> float:
    """The error of greatest size, with its sign."""
    return max(errors, key=abs)


Compute = Callable[[Figures], Found]
