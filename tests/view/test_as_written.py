"""What sounds is called as the rows are written, on every part of the screen that says it.

The same small flute in flats and in sharps: what is shown of both differs by the letters alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from scaledesign.listening.notes import Listened, Note
from scaledesign.model.document import Design, Tuning
from scaledesign.model.pitch import raised
from scaledesign.view import bench, fingering_list, hearing, recording_list
from scaledesign.view.bare_tube import BareTube
from scaledesign.view.bench import Bench
from scaledesign.view.bench_words import Words
from scaledesign.view.columns import cell_of
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.lines import text_of
from scaledesign.view.listing import Tune
from scaledesign.view.pictures import Ear
from scaledesign.view.recording import Heard
from scaledesign.workshop.finder import choice_of
from scaledesign.workshop.heard_rows import awaited, paired
from scaledesign.workshop.making.plan import plan
from scaledesign.workshop.playable import playable
from tests.view.small_flute import flute
from tests.view.working import at, desk_of, words

SEMITONE_LOWER = 440.0 * 2 ** (-1 / 12)
"""Hz of A4, by which the small flute plays Bb4, Db5, Eb5 and F5."""
FLATS, SHARPS = ("Bb4", "Db5", "Eb5", "F5"), ("A#4", "C#5", "D#5", "F5")
LETTERS = {"Db": "C#", "Eb": "D#", "Gb": "F#", "Ab": "G#", "Bb": "A#"}


@cache
def written(notes: tuple[str, ...]) -> Desk:
    """The small flute with these notes wanted, open and predicted."""
    plain = flute()
    rows = tuple(replace(row, note=note) for row, note in zip(plain.rows, notes, strict=True))
    return desk_of(replace(plain, rows=rows, tuning=Tuning(SEMITONE_LOWER, notes[0], "pentatonic minor")))


def respelled(text: str) -> str:
    """With the notes that are written with flats written with sharps."""
    return re.sub(r"\b([A-G]b)(?=\d)", lambda note: LETTERS[note[1]], text)


def rows(desk: Desk) -> str:
    """Every cell of the grid, as it is shown and as it is copied."""
    every = [
        (row, column) for row in range(len(desk.design.rows)) for column in PANES["rows"].columns(desk.sheet)
    ]
    shown = [text_of(cell_of(desk.sheet, "rows", row, column).line) for row, column in every]
    return "\n".join([*shown, *(column.text(desk.sheet, row) for row, column in every)])


def sound(desk: Desk) -> str:
    """Registers over the curve."""
    ear = Ear()
    ear.listen(desk)
    return words(*ear.lines(desk, 100, 12))


def fingerings(desk: Desk) -> str:
    """What plays the third row."""
    design = desk.design
    (listing,) = fingering_list.fingerings(
        desk.sheet, 2, lambda share: choice_of(design, playable(design, open_share=share))
    )
    return "\n".join([listing.said, *(text_of(entry.line) for entry in listing.entries)])


def heard(desk: Desk) -> str:
    """One row, played."""
    tune = hearing.of_rows(at(desk, "rows", 1, "note"))
    assert isinstance(tune, Tune)
    return tune.words


def bare_tube(desk: Desk) -> str:
    """What it should sound, as long as it is and longer."""
    length = f"{desk.design.tube.length * 1000 + 20:.0f} mm"
    return "\n".join(BareTube(desk.design, length=each).expected() for each in ("", length))


def recording(desk: Desk) -> str:
    """Two notes of the third row, one of none: as listed, told of, and entered."""
    design: Design = desk.design
    among = awaited(design)
    hertz = [raised(float(among.frequency[place]), off) for place, off in ((2, 9.0), (2, 13.0), (3, 150.0))]
    notes = tuple(Note(2.0 * i, 1.0, each, 11.0, 15.0, 5.0, 24.0) for i, each in enumerate(hertz))
    pairing = paired(hertz, among, "any")
    one = Heard(design, False, None, None, Listened(9.0, notes, (), False), pairing, (2, 2, None))
    listing = recording_list.listing(desk.sheet, one)
    told = [words(*entry.about(90, 8)) for entry in listing.entries]
    return "\n".join([*(text_of(entry.line) for entry in listing.entries), *told, one.reading(2)])


def at_the_bench(desk: Desk) -> str:
    """The step, the holes and the notes."""
    design = desk.design
    shown = Bench(Words(design, design.units), plan(design))
    parts = (
        bench.step_lines(shown, 100, 30),
        bench.account_lines(shown, 100, compact=False),
        bench.coming_lines(shown, 100, 20),
        bench.note_lines(shown, 100, 20),
    )
    return words(*(line for part in parts for line in part))


@pytest.mark.parametrize("part", [rows, sound, fingerings, heard, bare_tube, recording, at_the_bench])
def test_both_are_shown_the_same_but_for_the_letters(part: Callable[[Desk], str]) -> None:
    flats, sharps = part(written(FLATS)), part(written(SHARPS))
    assert re.search(r"[A-G]b\d", flats)
    assert not re.search(r"[A-G]#\d", flats)
    assert not re.search(r"[A-G]b\d", sharps)
    assert respelled(flats) == sharps


def test_what_was_typed_as_a_reading_stays_as_it_was_typed() -> None:
    desk = written(FLATS)
    design = replace(
        desk.design, rows=(replace(desk.design.rows[0], measured="A#4 -3"), *desk.design.rows[1:])
    )
    assert "A#4 -3" in rows(desk_of(design)).replace("−", "-")
