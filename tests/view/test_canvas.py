"""A sheet of cells: exact widths, nothing beyond the edge, one character a cell."""

from __future__ import annotations

import pytest

from scaledesign.view.canvas import Canvas, cells_of
from scaledesign.view.lines import DRAWN, TYPED, Span, text_of


def test_lines_are_exact_and_runs_of_one_tone_are_one_span() -> None:
    """What is drawn later lies on top."""
    canvas = Canvas(6, 2)
    canvas.put(0, 1, "abc", "strong")
    canvas.put(0, 2, "X", "flat")
    assert canvas.lines() == (
        (Span(" "), Span("a", "strong"), Span("X", "flat"), Span("c", "strong"), Span("  ")),
        (Span("      "),),
    )


@pytest.mark.parametrize(
    ("row", "column", "left"),
    [(0, -2, "cd  "), (0, 2, "  ab"), (0, 9, "    "), (0, -9, "    "), (-1, 0, "    "), (1, 0, "    ")],
)
def test_what_is_put_beyond_the_edge_is_cut(row: int, column: int, left: str) -> None:
    """On any side."""
    canvas = Canvas(4, 1)
    canvas.put(row, column, "abcd")
    assert text_of(canvas.lines()[0]) == left


def test_only_blank_cells_on_the_sheet_are_free() -> None:
    """Up to, not including, the last."""
    canvas = Canvas(5, 1)
    canvas.put(0, 2, "x")
    assert canvas.free(0, 0, 2)
    assert canvas.free(0, 3, 5)
    assert not canvas.free(0, 1, 3)
    assert not canvas.free(0, 3, 6)
    assert not canvas.free(1, 0, 1)
    assert (canvas.at(0, 2), canvas.at(0, 9)) == ("x", " ")


def test_a_sheet_without_cells_has_empty_lines() -> None:
    """No size is an error: a terminal can be dragged to nothing."""
    assert Canvas(0, 2).lines() == ((), ())
    assert Canvas(-3, 0).lines() == ()


@pytest.mark.parametrize(
    ("text", "drawn", "typed"),
    [
        ("Bb4", "Bb4", "Bb4"),
        ("B♭4", "Bb4", "Bb4"),
        ("F♯4 −3", "F#4 −3", "F#4 -3"),
        ("é", "é", "?"),
        ("笛", "?", "?"),
        ("e\u0301", "e?", "e?"),
        ("a\tb", "a?b", "a?b"),
    ],
)
def test_one_character_is_one_cell(text: str, drawn: str, typed: str) -> None:
    """Wide and combining characters would push the rest of a line aside."""
    assert cells_of(text, DRAWN) == drawn
    assert cells_of(text, TYPED) == typed
