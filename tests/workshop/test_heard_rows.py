"""Notes that were heard go to their rows, though the whole flute lies off; what is of no row is named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.files import document_file
from scaledesign.locations import EXAMPLES
from scaledesign.model.pitch import raised
from scaledesign.solver.problem import CENT
from scaledesign.workshop import heard_rows
from scaledesign.workshop.heard_rows import Awaited, awaited, paired

WREN = document_file.load(EXAMPLES / "marsh-wren.toml")
AMONG = awaited(WREN)
SCALE = (0, 2, 3, 5, 8, 10)


def heard(places: list[int] | tuple[int, ...], shift: float = 0.0, among: Awaited = AMONG) -> list[float]:
    """Frequencies as a flute plays them that lies off by so many of its own standard deviations."""
    return [raised(float(among.frequency[i]), shift * float(among.common[i])) for i in places]


@pytest.mark.parametrize("shift", [-2.0, -1.0, 0.0, 1.0, 2.0])
def test_a_shift_of_the_whole_flute_breaks_nothing(shift: float) -> None:
    found = paired(heard(SCALE, shift), AMONG)
    assert tuple(note.place for note in found.notes) == SCALE
    assert found.shift == pytest.approx(shift * AMONG.common[0], abs=6.0)
    assert found.shift_doubt < 6.0
    assert all(note.chance > 0.9 for note in found.notes)


def test_rows_may_be_left_out_and_played_again_and_down_again() -> None:
    for places in ([0, 3, 10], [0, 0, 2, 3, 3, 8], [*SCALE, *reversed(SCALE)], [10, 8, 5, 3, 2, 0]):
        found = paired(heard(places, -1.0), AMONG)
        assert [note.place for note in found.notes] == places


def test_a_note_of_no_row_is_left_out_and_says_where_it_lies() -> None:
    notes = heard(SCALE, 0.5)
    notes.insert(4, raised(notes[3], 40.0))
    found = paired(notes, AMONG)
    assert [note.place for note in found.notes] == [0, 2, 3, 5, None, 8, 10]
    assert found.notes[4].why == "no row plays it: 40 cents above row 6"


def test_a_row_overblown_that_the_flute_does_not_have_is_named() -> None:
    first = replace(WREN, rows=tuple(row for row in WREN.rows if row.role == "scale"))
    among = awaited(first)
    notes = [*heard([0, 1, 2, 3, 4], -1.0, among), 2.0 * heard([3], -1.0, among)[0]]
    last = paired(notes, among).notes[-1]
    assert last.place is None
    assert last.why == "an octave above row 4: overblown, and no row plays that"


def test_in_any_order_nothing_is_made_of_the_order() -> None:
    places = [5, 0, 10, 3, 8, 2]
    assert [note.place for note in paired(heard(places, 1.0), AMONG, "any").notes] == places


def test_without_order_the_chances_are_those_of_all_ways_summed() -> None:
    off = CENT * np.log(np.array(heard([5, 0, 10, 3, 3], 1.0))[:, None] / AMONG.frequency)
    slow = heard_rows._chances(off, AMONG, np.log(heard_rows._ways(AMONG, "any")))
    quick = heard_rows._chances_alone(off, AMONG)
    for one, other in zip(slow, quick, strict=True):
        np.testing.assert_allclose(one, other, rtol=1e-6, atol=1e-12)


def test_many_rows_and_notes_are_paired_in_a_bounded_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heard_rows, "MOST", 0)
    assert tuple(note.place for note in paired(heard(SCALE, -1.0), AMONG).notes) == SCALE


def test_a_note_between_two_rows_goes_to_neither_unless_the_others_tell() -> None:
    twins = replace(WREN, rows=(WREN.rows[0], replace(WREN.rows[0], holes=WREN.rows[2].holes, cents=0.0)))
    among = replace(
        awaited(twins),
        frequency=np.array([440.0, 446.0]),
        common=np.array([40.0, 40.0]),
        own=np.array([6.0, 6.0]),
    )
    alone = paired([443.0], among, "any").notes[0]
    assert alone.place is None
    assert alone.why in ("it may be row 1 or row 2", "it may be row 2 or row 1")
    assert [note.place for note in paired([450.0, 456.0], among).notes] == [0, 1]


def test_the_bare_tube_and_its_overblown_notes() -> None:
    among = awaited(WREN, bare=True)
    assert among.rows == (None, None, None)
    assert list(among.frequency) == sorted(among.frequency)
    for shift in (-60.0, 0.0, 60.0):
        notes = [raised(float(hertz), shift) for hertz in among.frequency]
        assert [note.place for note in paired([*notes, notes[0]], among, "any").notes] == [0, 1, 2, 0]
    longer = awaited(WREN, bare=True, length=WREN.tube.length + 0.03)
    assert longer.frequency[0] < among.frequency[0]


def test_warmth_moves_what_is_awaited_and_no_rows_is_said() -> None:
    assert awaited(WREN, temperature=30.0).frequency[0] > AMONG.frequency[0]
    with pytest.raises(EditError, match="This flute has no rows yet"):
        awaited(replace(WREN, rows=()))
    assert paired([], AMONG).notes == ()


def test_where_notes_are_looked_for_holds_every_row_and_its_octave() -> None:
    low, high = AMONG.range
    assert low < 0.95 * AMONG.frequency.min()
    assert high > 2 * AMONG.frequency.max()
