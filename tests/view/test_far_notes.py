"""A note typed that no hole could bring its row to stays a text; what makes sense is never refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.model.pitch import Note, nearest_note, note_frequency, parse_note, parse_target, raised
from scaledesign.view.columns import Spot
from tests.view.working import NAMES, at, desk_of, example, later, opened, typed

ROW = 2


@pytest.mark.parametrize(
    ("key", "slip"), [("note", "C9"), ("note", "C0"), ("hertz", "8372"), ("note", "C9 +4")]
)
def test_a_mistyped_note_moves_nothing(key: str, slip: str) -> None:
    desk = opened()
    slipped = at(desk, "rows", ROW, key).typed(slip, later(desk))
    spot: Spot = ("rows", ROW, key)
    assert slipped.design is desk.design
    assert slipped.want is None
    assert slipped.drafts[spot].text == slip
    assert slipped.said.text == slipped.drafts[spot].problem
    assert slipped.said.text.startswith(f"'{slip}' lies ")
    assert (
        "what this fingering plays, C5: no hole or length brings it there; write a note" in slipped.said.text
    )
    mended = typed(slipped, "rows", ROW, key, desk.design.rows[ROW].note)
    assert not mended.drafts


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("steps", [-12, -1, 1, 12, 17])
def test_a_note_to_an_octave_away_is_taken_in_every_row(name: str, steps: int) -> None:
    desk = opened(name)
    for row, item in enumerate(desk.design.rows):
        target = parse_target(item.note)
        if isinstance(target, Note):
            wish = nearest_note(raised(note_frequency(target, 440.0), 100.0 * steps), 440.0)[0].name
            assert not at(desk, "rows", row, "note").typed(wish, later(desk)).drafts, (row, wish)


def test_a_far_note_of_a_file_can_be_mended_and_many_at_once_are_taken() -> None:
    rows = list(example().rows)
    rows[ROW] = replace(rows[ROW], note="C9")
    odd = desk_of(replace(example(), rows=tuple(rows)))
    for better in ("D5", "C8"):  # as it plays, and nearer to what stands there
        assert not at(odd, "rows", ROW, "note").typed(better, later(odd)).drafts
    desk = opened()
    spots: list[tuple[Spot, str]] = [(("rows", row, "note"), f"{'ACD'[row]}8") for row in range(3)]
    pasted = desk.write(spots, later(desk), "paste")
    assert [row.note for row in pasted.design.rows[:3]] == ["A8", "C8", "D8"]
    assert not pasted.drafts


def test_a_row_that_pulls_at_nothing_may_want_anything() -> None:
    rows = list(example().rows)
    rows[ROW] = replace(rows[ROW], weight=0.0)
    desk = desk_of(replace(example(), rows=tuple(rows)))
    assert not at(desk, "rows", ROW, "note").typed("C9", later(desk)).drafts
    begun = at(desk, "rows", len(desk.design.rows), "note").typed("C9", later(desk))
    assert not begun.drafts
    assert note_frequency(parse_note(begun.design.rows[-1].note), 440.0) > 8000


def test_what_was_fingered_anew_is_not_held_against_what_it_played_before() -> None:
    """Typed on before the engine has answered: the register above is more than an octave and a half up."""
    desk = opened()
    again = at(desk, "rows", 0, "register").typed("3", later(desk))
    assert again.want is not None
    assert not at(again, "rows", 0, "note").typed("E7", later(again)).drafts
