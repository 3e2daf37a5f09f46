"""Check values T1 to T5: playing frequencies computed once by independent programs, stated to 0.001 Hz.

The figures are the package's (``scaledesign/accuracy/sources/own_reference.toml``, which says how they came
about); here they are flutes of the plain reference. The formulas are those of elements.py, the air is
``plain.CHECK_AIR``.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tests.reference.plain import Flute, Hole

MM = 1e-3
FILE = Path(__file__).parents[2] / "scaledesign/accuracy/sources/own_reference.toml"
FIGURES = tomllib.loads(FILE.read_text(encoding="utf-8"))
FEET = {"thin": "unflanged", "wall": "wall", "ideal": "zero"}


@dataclass(frozen=True)
class Case:
    """A flute, a fingering, "exact", "series" or "none" for the losses, and f1, f2 ... in Hz."""

    name: str
    flute: Flute
    expected: tuple[float, ...]
    fingering: tuple[float, ...] = ()
    losses: str = "exact"

    def __str__(self) -> str:
        return self.name


def flute_of(table: dict[str, Any]) -> Flute:
    """One of the file's tubes."""
    bore = tuple((x * MM, width / 2 * MM) for x, width in table["bore"])
    wall = table.get("wall", 0) * MM
    holes = tuple(
        Hole(x * MM, width / 2 * MM, wall, bore[0][1] + wall) for x, width in table.get("holes", ())
    )
    mouth = table.get("mouth")
    return Flute(
        bore,
        table["length"] * MM,
        holes,
        foot=FEET[table["foot"]],
        foot_wall=wall,
        delta0=None if mouth is None else mouth * MM,
        cavity=table.get("cavity", 0) * MM,
        pad=table.get("pad", 0.5),
        slice_length=table.get("slice", 10) * MM,
    )


def case_of(note: dict[str, Any]) -> Case:
    """One of the file's notes."""
    flute = flute_of({**FIGURES["tubes"][note["tube"]], **note.get("other", {})})
    hz = tuple(note["hz"])
    return Case(
        note["name"], flute, hz, tuple(map(float, note.get("opened", ()))), note.get("losses", "exact")
    )


THIN = flute_of(FIGURES["tubes"]["thin"])
WALL = flute_of(FIGURES["tubes"]["wall"])
CASES = tuple(case_of(note) for note in FIGURES["notes"])


def one_hole(x: float = 300, diameter: float = 7) -> Flute:
    """The tube of case T2, closed by a rigid cap where closed: position and diameter in mm."""
    flute = flute_of(FIGURES["tubes"]["one_hole"])
    return replace(flute, holes=(replace(flute.holes[0], x=x * MM, radius=diameter / 2 * MM),))
