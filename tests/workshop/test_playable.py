"""Everything one flute can play: which fingerings there are, and that each plays what a row would play."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Finger, Row
from scaledesign.model.fingering import parse_fingering
from scaledesign.solver.problem import flutes_of
from scaledesign.solver.resonance import resonances
from scaledesign.workshop import ask
from scaledesign.workshop.playable import MOST, Playable, playable

FINGERS: tuple[Finger, ...] = ("LT", "L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4", "RT")


def heron() -> Design:
    return load(EXAMPLES / "night-heron.toml")


def many(count: int) -> Design:
    """A flute of ``count`` small holes, no rows."""
    design = heron()
    fingers = (FINGERS * 2)[:count]
    holes = tuple(
        replace(design.holes[0], at=0.2 + 0.02 * n, diameter=0.005, side=0.0, finger=finger)
        for n, finger in enumerate(fingers)
    )
    return replace(design, holes=holes, rows=())


def test_all_combinations_are_there_once_in_each_register() -> None:
    found = playable(heron())
    pairs = list(zip(found.letters, found.register.tolist(), strict=True))
    assert len(pairs) == len(set(pairs)) == 3**5 * 2
    assert set("".join(found.letters)) == set("XOH")
    assert found.fingers == ("LT", "L1", "L2", "R1", "R2")
    assert not found.remark
    assert found.halves.tolist() == [letters.count("H") for letters in found.letters]


def test_each_plays_what_a_row_of_that_fingering_plays() -> None:
    design = heron()
    found = playable(design)
    sounding = np.flatnonzero(np.isfinite(found.frequency))
    some = sounding[:: len(sounding) // 9]
    rows = tuple(Row("D4", parse_fingering(found.letters[i]), register=int(found.register[i])) for i in some)
    heard = ask.predict(replace(design, rows=rows)).frequency
    assert found.frequency[some] == pytest.approx(heard, rel=1e-6)


def test_a_fingering_plays_the_same_in_company_as_alone() -> None:
    design = heron()
    found = playable(design)
    flutes = flutes_of(design)
    hard = {"OOOXO", "OOOOH", "OHOXH", "HHOOX", "OHHXH", "OHHHX", "HHHHX"}  # high holes open, low ones not
    for i in range(found.count // 2, found.count):
        if i % 17 and found.letters[i] not in hard:
            continue
        alone = resonances(flutes, found.fingerings(np.array([i])), missing=True).frequency[0, 0]
        assert found.frequency[i] == pytest.approx(alone, rel=1e-5, nan_ok=True), found.letters[i]


def test_no_half_holes_and_one_register_on_request() -> None:
    found = playable(heron(), halves=False, registers=(3,))
    assert found.count == 2**5
    assert set(found.register.tolist()) == {3}
    assert not set("".join(found.letters)) & {"H"}
    assert not found.remark


def test_the_partly_open_share_is_the_one_asked_for() -> None:
    design = heron()
    half, tenth = playable(design), playable(design, open_share=0.1)
    i = half.letters.index("XXXXH")
    assert half.letters == tenth.letters
    assert half.share[4, i] == 0.5
    assert tenth.share[4, i] == 0.1
    low, high = tenth.frequency[i], half.frequency[i]
    assert half.frequency[half.letters.index("XXXXX")] < low < high


def test_a_hole_with_no_finger_is_open_and_has_no_letter() -> None:
    design = heron()
    holes = (*design.holes[:4], replace(design.holes[4], finger="none"))
    found = playable(replace(design, holes=holes, rows=()), halves=False, registers=(1,))
    whole = playable(design, halves=False, registers=(1,))
    assert found.count == 2**4
    assert (found.share[4] == 1).all()
    same = [whole.letters.index(letters + "O") for letters in found.letters]
    assert found.frequency == pytest.approx(whole.frequency[same], rel=1e-9)


def test_a_tube_without_holes_plays_its_registers() -> None:
    found = playable(replace(heron(), holes=(), rows=()))
    assert found.letters == ("", "")
    assert 1.9 < found.frequency[1] / found.frequency[0] < 2.1


@pytest.mark.parametrize(("count", "most"), [(8, 2), (9, 1), (11, 0)])
def test_many_holes_limit_the_half_holes_and_say_so(
    count: int, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def silent(flutes: object, fingerings: object, *, missing: bool) -> object:
        return type("Found", (), {"frequency": np.full((1, fingerings.count), np.nan)})

    monkeypatch.setattr("scaledesign.workshop.playable.resonances", silent)
    found: Playable = playable(many(count))
    assert found.count <= MOST
    assert found.halves.max() == most
    assert str(count) in found.remark
    assert not playable(many(count), halves=False).remark


def test_too_many_holes_are_refused_with_a_remedy() -> None:
    with pytest.raises(EditError, match='finger = "none"'):
        playable(many(14))
