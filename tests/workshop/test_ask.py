"""What a new flute refuses, and which fingerings it keeps."""

from __future__ import annotations

import pytest

import scaledesign
from scaledesign.errors import EditError
from scaledesign.workshop.ask import ANOTHER_NOTE


def wanted(**changed: object) -> scaledesign.Wanted:
    """A usual tube with something changed."""
    usual: dict[str, object] = {
        "bore": 0.016,
        "wall": 0.003,
        "key": "A4",
        "scale": "pentatonic minor",
        "system": "six-hole pentatonic",
    }
    return scaledesign.Wanted(**{**usual, **changed})


@pytest.mark.parametrize(
    ("changed", "problem", "remedy"),
    [
        (
            {"length": 0.030},
            "30.0 mm is too short for A4, which wants about 35",
            "a longer tube",
        ),
        ({"bore": 0.001}, "A bore of 1.0 mm makes no flute", "take 4.0 mm to 60.0 mm"),
        ({"bore": 0.160}, "A bore of 160.0 mm makes no flute", "take 4.0 mm to 60.0 mm"),
        ({"key": "C9"}, "C9 is too high for a flute", "take a key from C2 to C7"),
        ({"key": "A1"}, "A1 is too low for a flute", "take a key from C2 to C7"),
        ({"key": "C7"}, "wants a tube of only", "take a deeper key, or a bore under"),
    ],
)
def test_what_no_flute_can_be(changed: dict[str, object], problem: str, remedy: str) -> None:
    """The dimension or the key is named, and what would do."""
    with pytest.raises(EditError) as told:
        scaledesign.new_design(wanted(**changed))
    assert problem in str(told.value)
    assert remedy in str(told.value)


def test_a_tube_a_little_short_names_the_blank() -> None:
    """Not refused: laid out as well as it goes, with what would do."""
    solution = scaledesign.new_design(wanted(length=0.340))
    assert any("the blank is only 340.0 mm long (tube.blank)" in note for note in solution.notes)


@pytest.mark.parametrize("system", ["six-hole pentatonic", "five-hole pentatonic", "four-hole-and-thumb"])
def test_fingerings_that_would_sound_another_note_are_left_out(system: str) -> None:
    """What is kept between the degrees sounds its own note, on every pentatonic system."""
    solution = scaledesign.new_design(wanted(system=system, key="F#4", bore=0.019))
    kept = [
        abs(cents)
        for row, cents in zip(solution.design.rows, solution.prediction.cents, strict=True)
        if row.role != "scale" and row.register == 1
    ]
    assert kept
    assert max(kept) < ANOTHER_NOTE
    letters = ["".join(row.holes) for row in solution.design.rows]
    assert not {"XXXXOX", "XXXOX"} & set(letters)


def test_a_wall_thicker_than_half_the_bore_is_worth_a_word() -> None:
    """And a usual one is not."""
    thick = scaledesign.new_design(wanted(wall=0.012)).prediction.notes
    assert any("A wall of 12.0 mm is thick for this bore" in note for note in thick)
    usual = scaledesign.new_design(wanted()).prediction.notes
    assert not any("is thick" in note for note in usual)


def test_what_is_foretold_of_a_new_flute_is_what_is_foretold_of_its_file() -> None:
    """A fit may not carry along how long the tube was where it began."""
    solution = scaledesign.new_design(wanted())
    again = scaledesign.predict(scaledesign.loads(scaledesign.dumps(solution.design)))
    assert again.frequency == pytest.approx(solution.prediction.frequency, rel=1e-7)
    assert again.uncertainty == pytest.approx(solution.prediction.uncertainty, abs=1e-3)
    assert again.rest == pytest.approx(solution.prediction.rest, abs=1e-3)
