"""The designs that the simulated makers build: examples that are shipped, and first layouts of many kinds.

Apart from ``simulated_maker.py``, which draws and judges. Every design meets its own scale on paper: what a
plan misses afterwards is not the layout's.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from scaledesign.files.document_file import load
from scaledesign.model.document import Design
from scaledesign.workshop import ask
from scaledesign.workshop.start import Wanted

EXAMPLES = Path(__file__).parent.parent.parent / "scaledesign" / "examples"
MM, INCH = 1e-3, 25.4e-3
ON_PAPER = 3.0
"""Cents that a counted note of the first register may be off in a design that is built here."""


def _wanted(mouth, key, scale, system, bore, wall, *, inch=False, **more) -> Wanted:
    unit = INCH if inch else MM
    bits = "inch 1/64" if inch else more.pop("bits", "metric 0.5")
    units = "in" if inch else "mm"
    return Wanted(bore * unit, wall * unit, key, scale, system, mouth, bits=bits, units=units, **more)


PENTATONIC, DIATONIC = "six-hole pentatonic", "six-hole diatonic"
NEW = {
    "duct A4 pentatonic": _wanted("duct", "A4", "pentatonic minor", PENTATONIC, 16, 3.5),
    "duct C4 pentatonic": _wanted("duct", "C4", "pentatonic minor", PENTATONIC, 22, 4, hand="large"),
    "duct E4 pentatonic, inch": _wanted(
        "duct", "E4", "pentatonic minor", PENTATONIC, 7 / 8, 5 / 32, inch=True
    ),
    "notch F4 pentatonic": _wanted("notch", "F4", "pentatonic minor", PENTATONIC, 19, 4),
    "rim G4 pentatonic": _wanted("rim", "G4", "pentatonic minor", PENTATONIC, 17, 2.5, material="cane"),
    "duct C5 pentatonic": _wanted("duct", "C5", "pentatonic minor", PENTATONIC, 14, 2.5, bits="metric 0.1"),
    "duct D5 major": _wanted("duct", "D5", "major", DIATONIC, 12.5, 1.5),
    "duct C5 major, inch": _wanted("duct", "C5", "major", DIATONIC, 9 / 16, 1 / 16, inch=True),
    "transverse A4 major": _wanted("transverse", "A4", "major", DIATONIC, 16, 3.5),
    "transverse D4 major": _wanted("transverse", "D4", "major", DIATONIC, 19, 3.5, hand="large"),
    "rim F4 major": _wanted("rim", "F4", "major", DIATONIC, 18, 3, bits="metric"),
    "notch B4 major": _wanted("notch", "B4", "major", DIATONIC, 15, 3),
    "duct G4 five-hole": _wanted("duct", "G4", "pentatonic minor", "five-hole pentatonic", 18, 4),
}


def names() -> list[str]:
    """Every kind, the examples first."""
    return [*sorted(path.stem for path in EXAMPLES.glob("*.toml")), *NEW]


def design_of(kind: str) -> Design:
    """The design of a kind, nothing built of it yet."""
    if kind not in NEW:
        return load(EXAMPLES / f"{kind}.toml")
    return replace(ask.new_design(NEW[kind]).design, text=None)


def worst_on_paper(design: Design) -> float:
    """Cents by which the worst counted note of the first register is off before anything is built."""
    cents = ask.predict(design).cents
    rows = [i for i, row in enumerate(design.rows) if row.counts and row.register == 1]
    return float(np.abs(cents[rows]).max())
