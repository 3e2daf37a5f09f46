"""Found fingerings as rows: in their place, once, light, and wanting what was asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Tuned
from scaledesign.workshop import ask
from scaledesign.workshop.chosen_rows import with_rows
from scaledesign.workshop.finder import Found, choice_of, find
from scaledesign.workshop.playable import playable
from scaledesign.workshop.wanted_notes import WantedNote


@pytest.fixture(scope="module")
def design() -> Design:
    return load(EXAMPLES / "reed-bunting.toml")


@pytest.fixture(scope="module")
def found(design: Design) -> dict[str, Found]:
    """The best three of F5, by letters."""
    choice = choice_of(design, playable(design, halves=False, registers=(1,)))
    return {each.letters: each for each in find(design, [698.456], choice=choice)[0]}


def tuned(design: Design) -> Tuned:
    return Tuned(ask.scale_of(design), parse_note(design.tuning.tonic), design.tuning.reference)


def test_what_is_there_is_not_written_again(design: Design, found: dict[str, Found]) -> None:
    chosen = [(WantedNote("F5", 698.456), found["OXXOOO"])]
    assert with_rows(design, tuned(design), chosen, 0.5) is design


def test_another_fingering_of_a_note_is_an_alternate_row_behind_it(
    design: Design, found: dict[str, Found]
) -> None:
    chosen = [(WantedNote("F5", 698.456), found["OXXOOX"])]
    after = with_rows(design, tuned(design), [*chosen, *chosen], 0.5)
    (more,) = [i for i, row in enumerate(after.rows) if row not in design.rows]
    row = after.rows[more]
    assert ("".join(row.holes), row.note, row.role, row.weight) == ("OXXOOX", "F5", "alternate", 0.005)
    assert after.rows[more - 1].note == "F5"
    assert after.rows[more + 1].note == "F#5"


def test_a_new_note_is_chromatic(design: Design, found: dict[str, Found]) -> None:
    bare = replace(design, rows=tuple(row for row in design.rows if row.note != "F5"))
    after = with_rows(bare, tuned(bare), [(WantedNote("F5", 698.456), found["OXXOOO"])], 0.5)
    (row,) = [row for row in after.rows if row not in bare.rows]
    assert (row.role, row.weight, row.cents) == ("chromatic", 0.01, 0.0)


def test_a_note_of_another_tuning_keeps_its_pitch(design: Design, found: dict[str, Found]) -> None:
    one = found["OXXOOX"]
    own = tuned(design)
    for wanted in (WantedNote("F5", 690.0), WantedNote("3/2", 698.0)):
        after = with_rows(design, own, [(wanted, one)], 0.5)
        (row,) = [row for row in after.rows if row not in design.rows]
        assert own.target(row.note, row.cents) == pytest.approx(wanted.frequency, rel=1e-4)
