"""One layout for several scales: weights pull, one scale alone is a plain solve, notes have fingerings."""

from __future__ import annotations

from dataclasses import replace

import pytest

import scaledesign
from scaledesign.errors import EditError, QuantityError, UnknownNameError
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design
from scaledesign.model.pitch import parse_note
from scaledesign.workshop import ask
from scaledesign.workshop.asked import Asked, asked
from scaledesign.workshop.several import NEAR, Part, Shared, shared


@pytest.fixture(scope="module")
def wren() -> Design:
    return scaledesign.load(EXAMPLES / "marsh-wren.toml")


def wish(design: Design, text: str) -> Asked:
    return asked(text, design.tuning, ask.offers())


@pytest.fixture(scope="module")
def light(wren: Design) -> Shared:
    return shared(wren, [wish(wren, "just pentatonic minor x 0.1")])


@pytest.fixture(scope="module")
def heavy(wren: Design) -> Shared:
    return shared(wren, [wish(wren, "just pentatonic minor x 10")])


def test_a_scale_is_asked_for_in_words(wren: Design) -> None:
    def read(text: str) -> tuple[str, str, float]:
        found = wish(wren, text)
        return found.scale.name, found.tonic.name, found.weight

    assert read("dorian") == ("dorian", "A4", 1.0)
    assert read("Dorian on G4 x 0.5") == ("dorian", "G4", 0.5)
    assert read(" pentatonic major  ON Bb4") == ("pentatonic major", "Bb4", 1.0)
    assert read("just major x 2") == ("just major", "A4", 2.0)
    for wrong in (
        "dorian x 0",
        "dorian x -1",
        "dorian x much",
        "dorian x 1e9",
        "dorian x nan",
        "dorian on H4",
    ):
        with pytest.raises(QuantityError):
            read(wrong)
    with pytest.raises(UnknownNameError):
        read("dorion")


def test_its_own_scale_alone_is_a_plain_solve(wren: Design) -> None:
    plain = ask.solve(wren)
    for found in (shared(wren, []), shared(wren, [wish(wren, "pentatonic minor")], own=0.0)):
        assert found.solution.design.rows == wren.rows
        assert found.solution.design == plain.design
        assert found.solution.prediction.cents == pytest.approx(plain.prediction.cents)
        assert found.parts[0].after == pytest.approx(
            [float(plain.prediction.cents[i]) for i in found.parts[0].rows]
        )


def test_the_heavier_scale_comes_out_better(light: Shared, heavy: Shared) -> None:
    for found in (light, heavy):
        assert [part.words for part in found.parts] == [
            "its own pentatonic minor on A4", "just pentatonic minor on A4"
        ]  # fmt: skip
    own_light, just_light = (Part.rms(part.after) for part in light.parts)
    own_heavy, just_heavy = (Part.rms(part.after) for part in heavy.parts)
    assert own_light < 0.25 * own_heavy
    assert just_heavy < 0.25 * just_light
    assert Part.worst((3.0, -8.0, 5.0)) == -8.0


def test_notes_that_are_nearly_the_same_share_a_fingering(wren: Design, heavy: Shared) -> None:
    own, just = heavy.parts
    rows, targets = heavy.solution.design.rows, ask.targets(heavy.solution.design)
    assert len(own.rows) == len(just.rows)
    for i, j in zip(own.rows, just.rows, strict=True):
        assert rows[i].holes == rows[j].holes
        assert (i == j) == (abs(targets[i] - targets[j]) < 1e-6)
    added = rows[len(wren.rows) :]
    assert [row.note for row in added] == ["315.641 c", "498.045 c", "701.955 c", "1017.596 c"]
    assert {row.weight for row in added} == {10.0}
    assert rows[0].weight == 11.0  # the tonic, which both want


def test_they_share_it_without_a_fingering_system_too(wren: Design) -> None:
    alone = replace(wren, instrument=replace(wren.instrument, system=""))
    own, just = (found := shared(alone, [wish(alone, "just pentatonic minor")])).parts
    rows = found.solution.design.rows
    assert [rows[i].holes for i in own.rows] == [rows[i].holes for i in just.rows]


def test_its_own_tuning_stays_and_the_file_can_be_read_again(wren: Design, heavy: Shared) -> None:
    after = heavy.solution.design
    assert after.tuning == wren.tuning
    again = scaledesign.loads(scaledesign.dumps(after))
    assert again == after
    assert ask.targets(again) == ask.targets(heavy.solution.design)


def test_another_note_takes_another_fingering(wren: Design) -> None:
    found = shared(wren, [wish(wren, "hirajoshi x 0.5")])
    targets = ask.targets(found.solution.design)
    counted = [(found.solution.design.rows[i], targets[i]) for part in found.parts for i in part.rows]
    played: dict[tuple[object, ...], set[float]] = {}
    for row, target in counted:
        played.setdefault((row.holes, row.register), set()).add(round(target, 3))
    apart = 2 ** (NEAR / 1200)
    assert all(max(each) / min(each) < apart for each in played.values())
    assert len(played) == 8
    assert abs(found.parts[0].worst(found.parts[0].after)) < 5
    assert abs(found.parts[1].worst(found.parts[1].after)) < 15


def test_a_mode_of_its_own_notes_changes_nothing_but_the_weights(wren: Design) -> None:
    found = shared(wren, [wish(wren, "pentatonic major on C5")])
    assert len(found.solution.design.rows) == len(wren.rows)
    own, major = found.parts
    assert own.rows == major.rows
    assert {found.solution.design.rows[i].weight for i in own.rows} == {2.0}


def test_a_scale_of_the_system_takes_the_systems_fingerings_where_its_own_does_not_count(
    wren: Design,
) -> None:
    found = shared(wren, [wish(wren, "pentatonic major")], own=0.0)
    (part,) = found.parts
    system = ask.offers().rows(
        "six-hole pentatonic", ask.offers().scale("pentatonic major"), parse_note("A4"), 440.0
    )
    opening = [row.holes for row in system if row.role == "scale"]
    assert [found.solution.design.rows[i].holes for i in part.rows] == opening
    mine = [i for i, row in enumerate(wren.rows) if row.role == "scale"]
    assert {i for i in mine if found.solution.design.rows[i].weight > 0} <= set(part.rows)


def test_a_note_that_no_fingering_plays_is_left_out(wren: Design) -> None:
    """Between A4 and B4, its second note, the wren has nothing; a layout is not turned over for that."""
    found = shared(wren, [wish(wren, "phrygian")], own=1.0)
    own, phrygian = found.parts
    assert phrygian.missing == pytest.approx([466.16], abs=0.01)
    assert len(phrygian.rows) == 7
    assert own.missing == ()
    assert Part.rms(own.after) < 3


def test_nothing_that_counts_is_refused(wren: Design) -> None:
    with pytest.raises(EditError):
        shared(wren, [], own=0.0)
    with pytest.raises(EditError):
        shared(wren, [wish(wren, "dorian")], own=-1.0)
