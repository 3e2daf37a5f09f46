"""Fingering systems: rows for any scale that fits, and nonsense named."""

from __future__ import annotations

import pytest

from scaledesign.errors import EditError, QuantityError
from scaledesign.model.document import Role
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import EQUAL, Scale, Tuned
from scaledesign.model.system import WEIGHTS, Fingering, Slot, System, rows_of, states

A4 = parse_note("A4")

THREE = System(
    name="three",
    words="For tests.",
    slots=(Slot("LT", 180.0), Slot("L1"), Slot("R1")),
    home="pentatonic minor",
    degrees=(3, 4),
    opening=("X XX", "X XO", "X OO", "O OO"),
    others=(
        Fingering("X XH", degree=1, flat=1, open_share=0.2),
        Fingering("X XH", degree=1, flat=2, open_share=0.1),
        Fingering("X OX", degree=2, flat=1),
        Fingering("O XX", degree=2, role="alternate"),
        Fingering("X XX", degree=0, octave=1, register=2, role="alternate"),
    ),
)
FOUR_NOTES = Scale("four", (0, 300, 500, 700))
THREE_NOTES = Scale("three", (0, 400, 700))


def lines(system: System, scale: Scale, tonic: str = "A4") -> list[str]:
    rows = rows_of(system, scale, parse_note(tonic), 440.0)
    return [f"{row.note} {''.join(row.holes)} {row.register} {row.role}" for row in rows]


def test_rows_stand_low_to_high_with_their_roles() -> None:
    assert lines(THREE, FOUR_NOTES) == [
        "A4 XXX 1 scale",
        "Bb4 XXH 1 chromatic",
        "B4 XXH 1 chromatic",
        "C5 XXO 1 scale",
        "C#5 XOX 1 chromatic",
        "D5 XOO 1 scale",
        "D5 OXX 1 alternate",
        "E5 OOO 1 scale",
        "A5 XXX 2 alternate",
    ]


def test_a_scale_with_one_note_fewer_reaches_the_octave() -> None:
    rows = rows_of(THREE, THREE_NOTES, A4, 440.0)
    assert [row.note for row in rows if row.role == "scale"] == ["A4", "C#5", "E5", "A5"]


def test_a_note_between_degrees_is_left_out_where_they_close_up() -> None:
    closed_up = Scale("close", (0, 100, 200, 700))
    assert not [line for line in lines(THREE, closed_up) if "chromatic" in line]
    half = Scale("one between", (0, 200, 300, 700))
    assert [line for line in lines(THREE, half) if "chromatic" in line] == ["Bb4 XXH 1 chromatic"]


def test_weights_follow_roles() -> None:
    for row in rows_of(THREE, FOUR_NOTES, A4, 440.0):
        assert row.weight == WEIGHTS[row.role]
    assert WEIGHTS == {"scale": 1.0, "chromatic": 0.01, "alternate": 0.005}


def test_shares_of_partly_open_holes_are_kept() -> None:
    rows = rows_of(THREE, FOUR_NOTES, A4, 440.0)
    assert [row.open_share for row in rows if "H" in row.holes] == [0.1, 0.2]


@pytest.mark.parametrize("scale", [FOUR_NOTES, Scale("uneven", (0, 228, 484, 728)), THREE_NOTES])
@pytest.mark.parametrize("tonic", ["A4", "F#4", "Bb3", "D5"])
def test_rows_of_role_scale_play_the_degrees(scale: Scale, tonic: str) -> None:
    tuned = Tuned(scale, parse_note(tonic), 442.0)
    rows = [row for row in rows_of(THREE, scale, parse_note(tonic), 442.0) if row.role == "scale"]
    for degree, row in enumerate(rows):
        periods, index = divmod(degree, len(scale.cents))
        cents = scale.cents[index] + periods * scale.period
        assert tuned.target(row.note) == pytest.approx(tuned.target("1") * 2 ** (cents / 1200))


def test_a_scale_that_does_not_fit_names_what_would() -> None:
    with pytest.raises(EditError, match=r"'chromatic' has 12 notes .* 'three' plays 3 or 4") as caught:
        rows_of(THREE, EQUAL, A4, 440.0, fitting=("twelve-hole",))
    assert "twelve-hole" in str(caught.value)
    with pytest.raises(EditError, match="choose a scale of 3 or 4 notes"):
        rows_of(THREE, EQUAL, A4, 440.0)


def test_letters_without_blanks() -> None:
    assert states("X OH") == ("X", "O", "H")


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"holes": "XXY"}, "letters X, O and H"),
        ({"holes": ""}, "letters X, O and H"),
        ({"degree": -1}, "no whole number"),
        ({"degree": 1.5}, "no whole number"),
        ({"flat": float("nan")}, "no multiple of 0.5"),
        ({"flat": "1"}, "is no number"),
        ({"degree": 0, "flat": 1}, "below the tonic"),
        ({"open_share": 1.5}, "open share of 1.5"),
        ({"register": 4}, "register 4"),
        ({"role": "melodic"}, "role 'melodic'"),
    ],
)
def test_a_fingering_that_makes_no_sense_says_so(change: dict[str, object], problem: str) -> None:
    given: dict[str, object] = {"holes": "XXX", "degree": 1, **change}
    with pytest.raises(QuantityError, match=problem):
        Fingering(**given)


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"name": ""}, "lacks a name"),
        ({"slots": ()}, "no slots"),
        ({"slots": (Slot("L1"), Slot("L1"), Slot("R1"))}, "two holes with one finger"),
        ({"slots": (Slot("L1"), Slot("none"), Slot("R1"))}, "the finger 'none'"),
        ({"degrees": ()}, "how many notes"),
        ({"degrees": (5,)}, "opens 4 fingerings for a scale of 5 notes"),
        ({"opening": ["XXX"]}, "no tuple"),
        ({"opening": ("XXX", "XXO", "XOO", "OO")}, "3 holes and a fingering 'OO' of 2 letters"),
        ({"opening": ("XXX", "XXO", "XOO", "QOO")}, "letters X, O and H"),
        ({"others": (Fingering("XX", 1),)}, "3 holes and a fingering 'XX' of 2 letters"),
        ({"others": ("XXX",)}, "no Fingering"),
    ],
)
def test_a_system_that_makes_no_sense_says_so(change: dict[str, object], problem: str) -> None:
    given: dict[str, object] = {
        "name": THREE.name,
        "words": THREE.words,
        "slots": THREE.slots,
        "home": THREE.home,
        "degrees": THREE.degrees,
        "opening": THREE.opening,
        **change,
    }
    with pytest.raises(QuantityError, match=problem):
        System(**given)


def test_roles_are_those_of_the_document() -> None:
    assert set(WEIGHTS) == set(Role.__args__)
