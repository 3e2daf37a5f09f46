"""Which rows are one note, which note is of the scale, and what a chart leaves out."""

from __future__ import annotations

from dataclasses import replace
from math import nan

import numpy as np
import pytest

from scaledesign import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Role, Row
from scaledesign.paper.chart.content import Chart, chart_of, chosen
from scaledesign.paper.choices import PaperChoices
from scaledesign.solver.prediction import Prediction
from scaledesign.workshop.ask import predict

A4 = 440.0


@pytest.fixture(scope="module")
def flute() -> tuple[Design, Prediction]:
    design = load(EXAMPLES / "marsh-wren.toml")
    return design, predict(design)


def row(note: str, role: Role = "scale", register: int = 1) -> Row:
    return Row(note, tuple("XXXXXX"), role=role, register=register)


def said(flute: tuple[Design, Prediction], *rows: tuple[Row, float, float]) -> Chart:
    """The chart of rows, each with the pitch it is meant to have (Hz) and how far off it sounds (cents)."""
    design, prediction = flute
    return chart_of(
        replace(design, rows=tuple(one for one, _, _ in rows)),
        replace(
            prediction,
            target=np.array([target for _, target, _ in rows]),
            cents=np.array([off for _, _, off in rows]),
        ),
    )


def registers(chart: Chart) -> list[list[int]]:
    """The register of every way of every note."""
    return [[way.register for way in note.ways] for note in chart.notes]


def test_the_usual_way_is_of_the_scale_then_of_the_lower_register(flute: tuple[Design, Prediction]) -> None:
    chart = said(
        flute,
        (row("A5", "alternate", 2), 2 * A4, 0.0),
        (row("A4"), A4, 0.0),
        (row("A5", "alternate"), 2 * A4, 0.0),
        (row("A5", "scale", 2), 2 * A4, 3.0),
    )
    assert registers(chart) == [[1], [2, 1, 2]]
    assert chart.notes[1].ways[0].off == 3.0
    low = chosen(chart, PaperChoices(registers=False))
    assert registers(low) == [[1], [1]]
    one = chosen(chart, PaperChoices(alternates=False))
    assert registers(one) == [[1], [2]]


def test_two_pitches_beside_one_note_are_two_notes(flute: tuple[Design, Prediction]) -> None:
    """16/15 and 27/25 of A are both nearest to B flat: 12 and 33 cents above it."""
    chart = said(flute, (row("27/25"), A4 * 27 / 25, 0.0), (row("16/15"), A4 * 16 / 15, 0.0))
    assert [(note.note.name, round(note.off)) for note in chart.notes] == [("A#4", 12), ("A#4", 33)]


def test_a_degree_is_one_in_every_octave_a_pitch_beside_it_is_not(flute: tuple[Design, Prediction]) -> None:
    chart = said(
        flute,
        (row("E4"), A4 * 3 / 4, 0.0),
        (row("5/4"), A4 * 5 / 4, 0.0),
        (row("E5", "alternate", 2), A4 * 3 / 2, 0.0),
        (row("5/2", "alternate", 2), A4 * 5 / 2, 0.0),
        (row("680 Hz", "chromatic"), 680.0, 0.0),
        (row("B5", "chromatic"), A4 * 9 / 4, 0.0),
    )
    assert [(round(note.frequency), note.role) for note in chart.notes] == [
        (330, "scale"), (550, "scale"), (660, "scale"),
        (680, "chromatic"), (990, "chromatic"), (1100, "scale"),
    ]  # fmt: skip


def test_what_would_not_sound_as_its_note_is_left_out_and_named_once(
    flute: tuple[Design, Prediction],
) -> None:
    chart = said(
        flute,
        (row("A4"), A4, 80.0),
        (row("A4"), A4, 80.0),
        (row("B4", "chromatic"), 494.0, 50.5),
        (row("B4", "chromatic"), 494.0, -51.0),
        (row("C5", "chromatic"), 523.0, -49.5),
        (row("D5"), 587.0, nan),
    )
    assert [note.note.name for note in chart.notes] == ["C5"]
    assert chart.left_out == ("A4", "B4", "D5")


def test_each_way_knows_how_far_off_it_is(flute: tuple[Design, Prediction]) -> None:
    chart = said(flute, (row("A4"), A4, -3.0), (row("A4", "alternate", 2), A4, 31.5))
    assert [[way.off for way in note.ways] for note in chart.notes] == [[-3.0, 31.5]]


def test_a_note_that_another_row_plays_is_not_named(flute: tuple[Design, Prediction]) -> None:
    chart = said(flute, (row("A4"), A4, 80.0), (row("A4", "alternate"), A4, 3.0))
    assert [[way.off for way in note.ways] for note in chart.notes] == [[3.0]]
    assert chart.left_out == ()
