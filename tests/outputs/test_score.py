"""The score of a flute: what sounds, with what covers the holes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.outputs.make import Work
from scaledesign.outputs.score import score_of
from tests.outputs.flutes import example


def test_every_row_that_sounds_is_there_with_its_fingering() -> None:
    work = Work(example("marsh-wren"))
    notes = work.score.notes
    assert [note.pitch.note.name for note in notes] == [row.note for row in work.design.rows]
    assert [note.pitch.frequency for note in notes] == list(work.prediction.frequency)
    assert [tuple(state for _, state in note.pitch.holes) for note in notes] == [
        row.holes for row in work.design.rows
    ]


def test_a_row_that_cannot_sound_is_left_out() -> None:
    work = Work(example("marsh-wren"))
    frequency = np.where(np.arange(len(work.design.rows)) == 1, np.nan, work.prediction.frequency)
    score = score_of(work.design, replace(work.prediction, frequency=frequency))
    assert len(score.notes) == len(work.design.rows) - 1
    silent = replace(work.prediction, frequency=np.full(len(work.design.rows), np.nan))
    with pytest.raises(EditError, match="no row of this flute sounds"):
        score_of(work.design, silent)
