"""Scales that suit: the list, its words, and a scale taken either way."""

from __future__ import annotations

from functools import cache

import pytest

from scaledesign.model.edits import apply
from scaledesign.view import suits_list
from scaledesign.view.lines import text_of
from scaledesign.view.listing import Listing
from scaledesign.view.suits_list import Tunable
from scaledesign.workshop import ask
from tests.view.working import example, opened, words


@cache
def listing() -> Listing:
    """Of an example: a small flute has hardly an octave."""
    from scaledesign.workshop.playable import playable

    return suits_list.scales(opened().sheet, playable(example(), halves=False))


def tunable(words: str) -> Tunable:
    value = next(entry.value for entry in listing().entries if entry.words.startswith(words))
    assert isinstance(value, Tunable)
    return value


def test_the_flutes_own_scale_is_clean_and_near_the_top() -> None:
    names = [entry.words for entry in listing().entries]
    assert "pentatonic minor A4 clean" in names[:5]
    order = [names[0].split()[-1], names[-1].split()[-1]]
    assert order == ["clean", "not"]


def test_every_line_fits_the_narrowest_dialog() -> None:
    assert max(len(text_of(entry.line)) for entry in listing().entries) <= 73
    for entry in listing().entries[::40]:
        lines = entry.about(76, listing().about)
        assert len(lines) <= listing().about
        assert max(len(text_of(line)) for line in lines) <= 76


def test_notes_are_spelled_as_the_tonic_spells_them() -> None:
    entry = next(e for e in listing().entries if e.words.startswith("major Bb4"))
    line, notes = text_of(entry.line), words(*entry.about(76, listing().about))
    assert "Bb4" in notes
    assert "Eb5" in notes
    assert "#" not in line + notes


def test_an_entry_shows_its_notes_and_how_they_are_fingered() -> None:
    entry = next(e for e in listing().entries if e.words.startswith("pentatonic minor A4"))
    said = words(*entry.about(76, listing().about))
    assert "A4" in said
    assert "●●● ●●○" in said
    assert entry.tune is not None
    assert len(entry.tune.notes) == 6


def test_a_scale_taken_with_its_fingerings_leaves_the_flute_as_it_is() -> None:
    design = example()
    after = apply(design, suits_list.as_rows(design, tunable("just major D5")))
    assert (after.tuning.scale, after.tuning.tonic) == ("just major", "D5")
    assert after.holes == design.holes
    heard = ask.predict(after)
    scale = [i for i, row in enumerate(after.rows) if row.role == "scale"]
    assert len(scale) >= 5
    assert max(abs(float(heard.cents[i])) for i in scale) < 12
    assert all(row.note[0] in "ABCDEFG" for row in after.rows)


def test_a_scale_taken_degree_by_degree_keeps_the_fingerings() -> None:
    design = example()
    edit = suits_list.retuned(design, tunable("dorian pentatonic A4"))
    after = apply(design, edit)
    assert after.tuning.scale == "dorian pentatonic"
    assert [row.holes for row in after.rows] == [row.holes for row in design.rows]
    assert edit.label == "retune to A4 dorian pentatonic"


@pytest.mark.parametrize("tonic", ["A4", "C5"])
def test_names_of_notes_mean_what_is_wanted(tonic: str) -> None:
    from scaledesign.model.pitch import cents_between, parse_note
    from scaledesign.model.scale import Tuned

    taken = tunable(f"dorian pentatonic {tonic}")
    tuned = Tuned(taken.scale, parse_note(tonic), 440.0)
    after = apply(example(), suits_list.as_rows(example(), taken))
    wanted = [each.wanted for each in taken.taken]
    for row in after.rows:
        assert min(abs(cents_between(tuned.target(row.note), hertz)) for hertz in wanted) < 1.0
