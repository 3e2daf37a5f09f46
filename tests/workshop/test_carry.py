"""A pattern carried over: the same again changes nothing, a scaled tube scales, what binds is named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scaledesign.errors import EditError
from scaledesign.files.document_file import load
from scaledesign.locations import EXAMPLES
from scaledesign.model.document import Design, Voicing
from scaledesign.model.pitch import cents_between, format_reading
from scaledesign.model.tube_words import TubeSize
from scaledesign.solver.problem import voicing_of
from scaledesign.workshop import ask
from scaledesign.workshop.carry import Other, carried, in_proportion, own_key
from scaledesign.workshop.carry_words import changes, compared, proportions, verdict


def heard(name: str, sharper: float = 0.0) -> Design:
    """An example that was read to play what it is said to, but for so many cents."""
    design = load(EXAMPLES / f"{name}.toml")
    played = ask.predict(design).frequency * 2 ** (sharper / 1200)
    rows = zip(design.rows, played, strict=True)
    return replace(
        design, rows=tuple(replace(row, measured=format_reading(float(f), 440.0)) for row, f in rows)
    )


def scale_alone(design: Design) -> Design:
    """Without the rows beside the scale, for speed."""
    return replace(design, rows=tuple(row for row in design.rows if row.role == "scale"))


@pytest.mark.parametrize("name", ["marsh-wren", "dust-lark"])
def test_the_same_again_changes_nothing(name: str) -> None:
    pattern = heard(name)
    found = carried(pattern, Other())
    new = found.design
    for was, now in zip(pattern.holes, new.holes, strict=True):
        assert abs(now.diameter - was.diameter) < 1e-6
        assert abs(now.at - was.at) < 0.3e-3
        assert (now.side, now.finger, now.slant, now.undercut) == (
            was.side,
            was.finger,
            was.slant,
            was.undercut,
        )
    assert abs(new.tube.length - pattern.tube.length) < 0.3e-3
    assert [row.holes for row in new.rows] == [row.holes for row in pattern.rows]
    assert not any(row.measured for row in new.rows)
    assert not new.log
    assert not new.voicing.calibrated
    mouth = voicing_of(new)
    assert mouth.uncertainty > 3 * voicing_of(found.pattern).uncertainty
    assert verdict(found).startswith("It keeps its character")
    assert "Every hole is as wide, to the bit, and lies as in proportion." in changes(found)


def test_where_nothing_binds_another_key_keeps_every_width() -> None:
    pattern = scale_alone(heard("reed-bunting"))
    found = carried(pattern, Other(key="F4"))
    assert [hole.diameter for hole in found.design.holes] == [hole.diameter for hole in pattern.holes]
    off = found.solution.prediction.cents
    scale = [i for i, row in enumerate(found.design.rows) if row.role == "scale"]
    assert (abs(off[scale]) < 1).all()
    assert found.own_fingerings
    assert "stays" not in verdict(found)


def test_what_binds_is_named_with_the_hole_and_the_reason() -> None:
    pattern = scale_alone(heard("reed-bunting"))
    found = carried(pattern, Other(key="D4", hand="small"))
    assert {limit.kind for limit in found.broken} == {"spread"}
    assert "What binds: reach." in verdict(found)
    said = " ".join(changes(found))
    assert "than in proportion: reach: in proportion holes" in said
    assert "a small hand spans" in said
    narrower = [i for i in range(6) if found.design.holes[i].diameter < in_proportion(found, i) - 1e-5]
    assert narrower
    assert found.worth[1].spare > -1e-4
    assert abs(found.worth[1].worst) < 5


def test_a_tube_in_proportion_gives_the_flute_in_proportion() -> None:
    pattern = heard("grey-heron")
    grown = 1.05
    size = TubeSize("in", pattern.tube.bore[0].value * grown, pattern.tube.wall[0].value * grown, None)
    lower = cents_between(own_key(pattern, 1.0), own_key(pattern, grown))
    assert lower == pytest.approx(-84.5, abs=0.1)
    found = carried(pattern, Other(tube=size, key="F4"))
    ratio = found.ideal.length / pattern.tube.length
    assert ratio == pytest.approx(2 ** (100 / 1200), abs=0.012)
    for was, at in zip(pattern.holes, found.ideal.at, strict=True):
        assert at / was.at == pytest.approx(ratio, abs=0.03)
    window = found.design.voicing.window
    assert window is not None
    assert pattern.voicing.window is not None
    assert window.width == pytest.approx(pattern.voicing.window.width * grown, abs=1e-5)
    assert "1.05 times as wide" in changes(found)[0]


def test_what_was_heard_of_the_mouth_goes_along() -> None:
    plain, flat = heard("night-heron"), heard("night-heron", -25)
    one, other = (carried(each, Other()) for each in (plain, flat))
    longer = voicing_of(other.pattern).added_length / voicing_of(one.pattern).added_length
    assert longer > 1.1
    assert voicing_of(other.design).added_length / voicing_of(one.design).added_length == pytest.approx(
        longer, abs=0.02
    )


def test_habits_are_kept_where_asked() -> None:
    pattern = heard("night-heron")
    rows = list(pattern.rows)
    third = next(i for i, row in enumerate(rows) if row.note == "G4")
    rows[third] = replace(rows[third], measured="G4 -12")
    pattern = replace(pattern, rows=tuple(rows))
    assert carried(pattern, Other(as_it_plays=True)).design.rows[third].cents == -12
    assert carried(pattern, Other()).design.rows[third].cents == 0


def test_columns_have_a_line_for_every_hole_and_the_nothing_is_refused() -> None:
    found = carried(heard("night-heron"), Other(key="E4"))
    assert len(proportions(found)) == len(found.design.holes)
    assert {name for name, _, _ in compared(found)} >= {"octaves that speak", "reach left over"}
    with pytest.raises(EditError, match="nothing to carry"):
        carried(replace(found.pattern, rows=()), Other())


def test_an_ideal_mouth_is_carried_and_a_pattern_all_overblown_is_refused():
    wren = scale_alone(load(EXAMPLES / "marsh-wren.toml"))
    ideal = replace(
        wren,
        instrument=replace(wren.instrument, mouth="open"),
        voicing=Voicing(added_length=0.03, uncertainty=0.001),
    )
    assert carried(ideal, Other(key="G4")).design.tube.length > ideal.tube.length
    high = replace(wren, rows=tuple(replace(row, register=2) for row in wren.rows))
    with pytest.raises(EditError, match="Every row of the pattern is overblown"):
        carried(high, Other(key="G4"))
