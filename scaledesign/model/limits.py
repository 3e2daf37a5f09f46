"""How large or small each number of a design may be.

A table, apart from the rules that look at several values together (``model/checks.py``). The limits
are of what makes sense at all, not of good practice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from scaledesign.errors import DesignError, Fault
from scaledesign.model.document import Units
from scaledesign.model.units import (
    LENGTH_UNITS,
    format_altitude,
    format_length,
    format_number,
    format_pressure,
    format_temperature,
)
from scaledesign.values import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """Where a number may lie, in SI, and how it is shown."""

    low: float
    high: float
    show: Callable[[float, Units], str]
    above: bool = False
    """The low end itself is left out."""

    def fault(self, key: str, value: float, units: Units) -> Fault | None:
        """What is wrong with ``value`` (SI), or None."""
        inside = self.low < value <= self.high if self.above else self.low <= value <= self.high
        if inside:
            return None
        low, high = self.show(self.low, units), self.show(self.high, units)
        shown = self.show(value, units) if math.isfinite(value) else str(value)
        if not math.isfinite(value):
            problem = "that is not a finite number"
        elif value > self.high:
            problem = "that is too much"
        else:
            problem = "that is too little"
        remedy = f"more than {low}, at most {high}" if self.above else f"from {low} to {high}"
        return Fault(problem, f"it should be {remedy}", key, shown)

    def allowed(self, key: str, value: float, units: Units = "mm") -> float:
        """The ``value`` (SI) itself, where it may be that.

        Raises
        ------
        DesignError
        """
        if fault := self.fault(key, value, units):
            raise DesignError("", (fault,))
        return value


def show_length(metres: float, units: Units) -> str:
    """A length for a message: short, but no two sizes that differ at the bench look alike."""
    if not math.isfinite(metres):
        return str(metres)
    exact = format_length(metres, units, "exact")
    if len(exact) <= len("1 63/64 in"):
        return exact
    return f"{metres / float(LENGTH_UNITS[units]):.4g} {units}"


def _plain(value: float, units: Units) -> str:
    return format_number(value)


def _celsius(value: float, units: Units) -> str:
    return format_temperature(value, "exact")


def _kelvin(value: float, units: Units) -> str:
    return f"{format_number(value)} K"


SIZE = Limit(0.0, 1.0, show_length, above=True)
AMOUNT = Limit(0.0, 1.0, show_length)
PLACE = Limit(0.0, 10.0, show_length)
_TUBE_LENGTH = Limit(0.0, 10.0, show_length, above=True)
_CENTS = Limit(0.0, 600.0, _plain)
_SHARE = Limit(0.0, 1.0, _plain, above=True)
_REGISTER = Limit(1, 3, _plain)
_DRIFT = Limit(-1.0, 1.0, show_length)
_TEMPERATURE = Limit(-20.0, 60.0, _celsius)

LIMITS: Mapping[str, Mapping[str, Limit]] = {
    "Instrument": {"pad": Limit(0.0, 2.0, _plain)},
    "Tube": dict.fromkeys(("length", "blank"), _TUBE_LENGTH),
    "Foot": {"diameter": SIZE},
    "Chamber": {"length": SIZE, "wall": AMOUNT},
    "Window": dict.fromkeys(("length", "width", "wall", "flue_length", "flue_height"), SIZE),
    "Embouchure": {
        **dict.fromkeys(("length", "width", "wall"), SIZE),
        "covered": Limit(0.0, 0.95, _plain),
    },
    "Voicing": {
        "added_length": AMOUNT,
        "cavity": AMOUNT,
        "uncertainty": AMOUNT,
        "drift": _DRIFT,
    },
    "Learned": {
        "bore": Limit(-0.1, 0.1, show_length),
        "wall": Limit(-0.1, 0.1, show_length),
        "warmth": Limit(-50.0, 50.0, _kelvin),
        "stated_length": AMOUNT,
        "stated_uncertainty": AMOUNT,
        "stated_drift": _DRIFT,
    },
    "AirSetting": {
        "temperature": _TEMPERATURE,
        "humidity": Limit(0.0, 100.0, _plain),
        "altitude": Limit(-500.0, 9000.0, lambda value, _: format_altitude(value)),
        "pressure": Limit(30_000.0, 120_000.0, lambda value, _: format_pressure(value)),
        "breath": Limit(0.0, 1.0, _plain),
    },
    "Tuning": {
        "reference": Limit(200.0, 900.0, _plain),
        "tolerance": Limit(0.0, 600.0, _plain, above=True),
    },
    "Hand": {"gap": SIZE, "pad": SIZE},
    "Shop": {"smallest": SIZE, "largest": SIZE, "share_of_bore": _SHARE, "wood": AMOUNT},
    "Uncertainty": {
        **dict.fromkeys(("bore", "wall", "at", "diameter", "length"), AMOUNT),
        "temperature": Limit(0.0, 50.0, _kelvin),
        "tuner": _CENTS,
        "model": _CENTS,
    },
    "Hole": {
        **dict.fromkeys(("diameter", "across", "wall"), SIZE),
        "at": PLACE,
        "side": Limit(-360.0, 360.0, _plain),
        "slant": Limit(-75.0, 75.0, _plain),
        "undercut": AMOUNT,
    },
    "Row": {
        "cents": Limit(-2400.0, 2400.0, _plain),
        "register": _REGISTER,
        "weight": Limit(0.0, 1000.0, _plain),
        "open_share": _SHARE,
    },
    "LogEntry": {
        "temperature": _TEMPERATURE,
        "length": _TUBE_LENGTH,
        "register": _REGISTER,
        "at": PLACE,
        **dict.fromkeys(("diameter", "undercut", "was"), AMOUNT),
    },
}
"""Name of a dataclass of ``model/document.py`` to its fields' limits."""
