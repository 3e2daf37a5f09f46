"""Designs at the edges of what a screen must show: no rows, no holes, a long name, very many rows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from scaledesign.files import document_file
from scaledesign.model.document import Design, Hole, Row
from tests.ui.conftest import WREN

LONG_NAME = "The seventh flute of black locust for Anna-Katharina, bored twice because the first one split"


def wren(**changes: object) -> Design:
    """The example with something changed."""
    return replace(document_file.load(WREN), **changes)


def without_rows() -> Design:
    """Holes, and nothing to play."""
    return wren(rows=())


def without_holes() -> Design:
    """A bare tube."""
    return wren(rows=(), holes=())


def long_named() -> Design:
    """A name that no title line holds."""
    return wren(name=LONG_NAME)


def many(rows: int = 200, holes: int = 16) -> Design:
    """More than anybody makes."""
    design = wren()
    length = design.tube.length
    places = tuple(
        Hole(at=round(length * (0.35 + 0.55 * i / holes), 5), diameter=0.004, finger="L1")
        for i in range(holes)
    )
    notes = ("A4", "C5", "D5", "E5", "G5", "A5")
    return replace(
        design,
        holes=places,
        rows=tuple(
            Row(
                notes[i % len(notes)],
                tuple("O" if hole >= holes - i % (holes + 1) else "X" for hole in range(holes)),
                role="chromatic",
            )
            for i in range(rows)
        ),
    )


def kept(design: Design, path: Path) -> Path:
    """A design as a file."""
    path.write_text(document_file.dumps(design), encoding="utf-8")
    return path
