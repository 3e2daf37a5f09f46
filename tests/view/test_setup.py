"""The form: every key of a design has its line and its words; what a text means and sets in motion."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scaledesign.errors import QuantityError
from scaledesign.files.document_file import dumps, loads
from scaledesign.files.document_keys import TABLES, TOP, Inline
from scaledesign.model.document import (
    AirSetting,
    Chamber,
    Design,
    Embouchure,
    Foot,
    Hand,
    Instrument,
    Learned,
    Shop,
    Station,
    Voicing,
    Window,
)
from scaledesign.model.units import INCH
from scaledesign.view.desk import PANES, Desk
from scaledesign.view.field_words import LABELS, SECTIONS
from scaledesign.view.setup import choices, fields, read_at, text_at, value_of
from tests.view import working
from tests.view.working import answered, at, desk_of, example, later, line_of, opened, set_field, shown

START = opened()
HELD = START.holding()
MM = 1e-3
Path = tuple[str, ...]

WITHOUT_A_FIELD = {
    ("", "format"): "of the file, not of the flute",
    ("voicing", "calibrated"): "said by the readings",
    **{("learned", key.name): "said by the readings" for key in TABLES["learned"].keys},
}


def every_key() -> set[Path]:
    """Every key of a design file that stands once."""
    found: set[Path] = {("", key.name) for key in TOP.keys}
    for name, table in TABLES.items():
        for key in table.keys:
            inner = key.kind.table.keys if isinstance(key.kind, Inline) else ()
            found |= {(name, key.name, one.name) for one in inner} or {(name, key.name)}
    return found


def test_every_key_of_a_design_has_its_line_and_its_words() -> None:
    in_sections = [path for _, paths in SECTIONS for path in paths]
    assert len(in_sections) == len(set(in_sections))
    assert set(in_sections) == every_key() - set(WITHOUT_A_FIELD)
    assert set(LABELS) == set(in_sections)


def test_words_for_a_maker() -> None:
    for label, words in LABELS.values():
        assert 0 < len(label) <= 18
        assert "_" not in label
        assert words.endswith(".")


def test_a_flute_shows_what_its_mouth_has() -> None:
    def shown_paths(mouth: str) -> set[Path]:
        design = replace(example(), instrument=replace(example().instrument, mouth=mouth))
        return {field.path for field in fields(design)}

    window, blowhole = ("voicing", "window", "width"), ("voicing", "embouchure", "width")
    chamber = ("tube", "chamber", "length")
    assert {window, chamber} <= shown_paths("duct")
    assert blowhole not in shown_paths("duct")
    for mouth in ("notch", "rim", "transverse"):
        assert blowhole in shown_paths(mouth)
        assert not {window, chamber} & shown_paths(mouth)
    assert not {window, blowhole} & shown_paths("open")


def test_headings_only_name_what_follows() -> None:
    pane, sheet = PANES["setup"], START.sheet
    headings = [row for row in range(pane.count(sheet)) if pane.heading(sheet, row)]
    assert [fields(START.design)[row].label for row in headings] == [title for title, _ in SECTIONS]
    for row in headings:
        done = at(HELD, "setup", row, "value").typed("anything", 5.0)
        assert done.history is HELD.history
        assert at(HELD, "setup", row, "value").stepped(5.0).said.text == "There is nothing to turn here."


# Texts that are typed

TYPED: list[tuple[Path, str, Any]] = [
    (("", "name"), "Reed warbler", "Reed warbler"),
    (("", "notes"), "from the brook", "from the brook"),
    (("", "units"), "in", "in"),
    (("instrument", "mouth"), "notch", "notch"),
    (("instrument", "system"), "", ""),
    (("instrument", "pad"), "0.4", 0.4),
    (("tube", "bore"), "16.2", (Station(0.0, 0.0162),)),
    (("tube", "bore"), "5/8 in", (Station(0.0, float(INCH) * 5 / 8),)),
    (("tube", "bore"), "[[0, 16], [200, 15.5]]", (Station(0.0, 0.016), Station(0.2, 0.0155))),
    (("tube", "bore"), "[[0, 16, 15]]", (Station(0.0, 0.016, 0.015),)),
    (("tube", "wall"), "3.5 mm", (Station(0.0, 0.0035),)),
    (("tube", "length"), "36 cm", 0.36),
    (("tube", "locked"), "yes", True),
    (("tube", "locked"), "Y", True),
    (("tube", "locked"), "no", False),
    (("tube", "blank"), "500", 0.5),
    (("tube", "blank"), "", None),
    (("tube", "foot"), "flanged", Foot("flanged")),
    (("tube", "foot"), "9.5 mm", Foot("node", 0.0095)),
    (("tube", "avoid"), "[[171, 176]]", ((0.171, 0.176),)),
    (("tube", "avoid"), "", ()),
    (("tube", "chamber", "length"), "140", 0.14),
    (("tuning", "reference"), "432", 432.0),
    (("tuning", "tolerance"), "3", 3.0),
    (("voicing", "added_length"), "31 mm", 0.031),
    (("voicing", "added_length"), "", None),
    (("voicing", "uncertainty"), "2", 0.002),
    (("voicing", "drift"), "-0.1", -0.0001),
    (("voicing", "window", "width"), "10", 0.010),
    (("voicing", "window", "flue_height"), "0.9", 0.0009),
    (("air", "temperature"), "72 °F", pytest.approx(22.2222, abs=1e-3)),
    (("air", "temperature"), "19", 19.0),
    (("air", "humidity"), "40", 40.0),
    (("air", "altitude"), "820 ft", pytest.approx(249.9, abs=0.1)),
    (("air", "pressure"), "98.4 kPa", 98_400.0),
    (("air", "breath"), "0", 0.0),
    (("shop", "bits"), "metric 0.1", "metric 0.1"),
    (("shop", "bits"), "[5, 5.5, 6]", (0.005, 0.0055, 0.006)),
    (("shop", "share_of_bore"), "0.7", 0.7),
    (("shop", "hand"), "small", "small"),
    (
        ("shop", "hand"),
        "{ spread = [30, 28, 30], gap = 60, pad = 15 }",
        Hand((0.03, 0.028, 0.03), 0.06, 0.015),
    ),
    (("uncertainty", "bore"), "0.1", 0.0001),
    (("uncertainty", "temperature"), "2 °F", pytest.approx(1.111, abs=1e-3)),
    (("uncertainty", "tuner"), "1.5", 1.5),
]


@pytest.mark.parametrize(("path", "what", "value"), TYPED)
def test_what_a_text_means_in_a_field(path: Path, what: str, value: Any) -> None:
    assert read_at(HELD.design, path, what) == value
    done = set_field(HELD, what, *path)
    assert not done.drafts, done.said.text
    assert value_of(done.design, path) == value
    again = text_at(done.design, path)
    assert read_at(done.design, path, again) == value_of(done.design, path)
    if done.history.past:
        assert done.undone().design == HELD.design


NONSENSE: list[tuple[Path, str]] = [
    (("", "units"), "cm"),
    (("instrument", "mouth"), "reed"),
    (("instrument", "mouth"), ""),
    (("instrument", "pad"), "deep"),
    (("tube", "bore"), ""),
    (("tube", "bore"), "[[0, 16"),
    (("tube", "bore"), "[[0]]"),
    (("tube", "bore"), "2 mm"),
    (("tube", "length"), "short"),
    (("tube", "length"), "100 mm"),
    (("tube", "locked"), "perhaps"),
    (("tube", "foot"), "shut"),
    (("tube", "avoid"), "171"),
    (("tuning", "tonic"), "H4"),
    (("tuning", "tonic"), ""),
    (("tuning", "scale"), "moonlit"),
    (("tuning", "degrees"), "1, x"),
    (("tuning", "reference"), "A"),
    (("tuning", "reference"), "4400"),
    (("air", "temperature"), "warm"),
    (("air", "humidity"), "140"),
    (("air", "pressure"), "1 bar and a half"),
    (("shop", "bits"), "metric 7"),
    (("shop", "hand"), "huge"),
    (("shop", "hand"), "{ spread = [1] }"),
    (("shop", "smallest"), "40"),
    (("uncertainty", "tuner"), "-1"),
    (("voicing", "window", "width"), "wide"),
]


@pytest.mark.parametrize(("path", "what"), NONSENSE)
def test_what_means_nothing_stays_with_what_would_be_right(path: Path, what: str) -> None:
    done = set_field(HELD, what, *path)
    assert done.design is HELD.design
    (draft,) = done.drafts.values()
    assert draft.text == what
    assert len(draft.problem) > 20
    assert draft.problem.endswith(".")


def test_a_list_that_is_no_list() -> None:
    with pytest.raises(QuantityError, match="no list"):
        read_at(HELD.design, ("tube", "bore"), "[[0, 16")


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize(
    ("path", "more"),
    [
        (("shop", "bits"), {"shop": Shop(bits="inch 1/64")}),
        (("shop", "bits"), {"shop": Shop(bits=(0.005, 0.00635))}),
        (("tube", "foot"), {}),
        (("shop", "hand"), {}),
        (("tube", "length"), {}),
        (("air", "temperature"), {"air": AirSetting(temperature=21.123456789)}),
    ],
)
def test_only_a_bare_length_gets_its_unit(units: str, path: Path, more: dict[str, Any]) -> None:
    design = replace(example(), units=units, **more)
    told = text_at(design, path)
    assert (told.endswith((" mm", " in"))) == (path == ("tube", "length"))
    assert read_at(design, path, told) == value_of(design, path)


# Parts that were not there


def test_a_window_begun_with_one_number_gets_the_usual_other() -> None:
    bare = desk_of(
        replace(example(), voicing=Voicing(), tube=replace(example().tube, chamber=None))
    ).holding()
    done = set_field(bare, "9 mm", "voicing", "window", "width")
    window = done.design.voicing.window
    assert isinstance(window, Window)
    assert window.width == 0.009
    assert 0 < window.length < 0.01
    assert set_field(done, "", "voicing", "window", "width").design.voicing.window is None
    chamber = set_field(bare, "6 mm", "tube", "chamber", "wall").design.tube.chamber
    assert isinstance(chamber, Chamber)
    assert chamber.wall == 0.006
    assert set_field(bare, "", "voicing", "window", "wall").history is bare.history


def test_a_blowhole_begun_with_one_number() -> None:
    design = replace(example("reed-bunting"), voicing=Voicing())
    done = set_field(desk_of(design).holding(), "0.4", "voicing", "embouchure", "covered")
    assert isinstance(done.design.voicing.embouchure, Embouchure)
    assert done.design.voicing.embouchure.covered == 0.4


# What a field sets in motion


def test_another_scale_rewrites_the_rows_degree_by_degree() -> None:
    before = START.design
    done = set_field(START, "pentatonic major", "tuning", "scale")
    assert done.design.tuning.scale == "pentatonic major"
    assert [row.holes for row in done.design.rows] == [row.holes for row in before.rows]
    scale = [row.note for row in done.design.rows if row.role == "scale"]
    assert scale[:2] == ["A4", "B4"]
    assert scale != [row.note for row in before.rows if row.role == "scale"]
    assert done.history.undo_name == "retune to A4 pentatonic major"
    assert done.undone().design is before


def test_another_key_rewrites_the_rows_and_makes_the_tube_follow() -> None:
    done = set_field(START, "g4", "tuning", "tonic")
    assert done.design.tuning.tonic == "G4"
    assert done.design.rows[0].note == "G4"
    assert done.design.tube.length > START.design.tube.length
    assert abs(done.sheet.number("cents", 0)) < 5


def test_own_degrees_take_the_place_of_the_scale() -> None:
    done = set_field(HELD, "1, 6/5, 498 c, 3/2, 9/5", "tuning", "degrees")
    assert done.design.tuning.degrees == ("1", "6/5", "498 c", "3/2", "9/5")
    assert done.sheet.number("target", 2) == pytest.approx(440 * 6 / 5, rel=1e-6)
    line = line_of(done, "tuning", "degrees")
    assert shown(done, "setup", line, "remark") == "cents 0 316 498 702 1018"
    assert "below, are used" in shown(done, "setup", line_of(done, "tuning", "scale"), "remark")
    back = set_field(done, "", "tuning", "degrees")
    assert back.design.tuning == HELD.design.tuning


def test_a_scale_by_a_part_of_its_name_in_any_case() -> None:
    assert set_field(HELD, "Pentatonic  Major", "tuning", "scale").design.tuning.scale == "pentatonic major"


def test_there_is_a_way_out_of_a_scale_that_nobody_offers() -> None:
    lost = desk_of(working.nameless_scale())
    done = set_field(lost, "pentatonic minor", "tuning", "scale")
    assert not done.drafts
    assert done.answer.prediction is not None
    assert [row.note for row in done.design.rows] == [row.note for row in example().rows]


def test_an_added_length_of_ones_own_is_not_one_that_was_blown() -> None:
    voicing = replace(example().voicing, added_length=0.031, drift=0.001, calibrated=True)
    blown = replace(example(), voicing=voicing, learned=Learned(bore=1e-4, stated_drift=2e-4))
    done = set_field(desk_of(blown), "30 mm", "voicing", "added_length")
    found = done.design.voicing
    assert (found.added_length, found.drift, found.calibrated) == (0.03, 2e-4, False)
    assert done.design.learned == Learned()
    assert done.history.undo_name == "set added length"


def test_a_length_typed_is_the_makers() -> None:
    assert set_field(START, "360 mm", "tube", "length").design.tube.locked
    assert not set_field(HELD, "360 mm", "tube", "length").design.tube.locked


# Choices and steps


def test_choices_are_answers() -> None:
    found = 0
    for field in fields(HELD.design):
        for choice in choices(HELD.sheet, field.path) if field.path else ():
            assert read_at(HELD.design, field.path, choice) is not None
            found += 1
    assert found > 40
    assert choices(HELD.sheet, ("", "name")) == ()


@pytest.mark.parametrize(
    "path",
    [
        ("", "units"),
        ("instrument", "mouth"),
        ("tube", "foot"),
        ("tube", "locked"),
        ("shop", "bits"),
        ("shop", "hand"),
    ],
)
def test_space_goes_through_the_choices_and_round(path: Path) -> None:
    desk, seen = HELD, []
    for _ in range(len(choices(HELD.sheet, path)) + 1):
        desk = at(desk, "setup", line_of(desk, *path), "value").stepped(later(desk))
        assert desk.said.tone == "plain"
        seen.append(text_at(desk.design, path))
    assert set(choices(HELD.sheet, path)) == set(seen)


@pytest.mark.parametrize(
    ("path", "step"),
    [
        (("tube", "bore"), 1e-4),
        (("tube", "length"), 1e-4),
        (("air", "temperature"), 1.0),
        (("air", "humidity"), 5.0),
        (("air", "altitude"), 50.0),
        (("air", "breath"), -0.1),
        (("tuning", "reference"), 1.0),
        (("shop", "wood"), 1e-4),
        (("shop", "share_of_bore"), 0.05),
        (("instrument", "pad"), 0.05),
        (("voicing", "window", "width"), 1e-4),
        (("tuning", "tolerance"), 1.0),
    ],
)
def test_a_number_is_nudged_by_what_a_hand_can_do(path: Path, step: float) -> None:
    def number(desk: Desk) -> float:
        value = value_of(desk.design, path)
        return float(value[0].value if isinstance(value, tuple) else value)

    desk = at(HELD, "setup", line_of(HELD, *path), "value")
    done = desk.nudged(1 if step > 0 else -1, 5.0)
    assert done.said.tone != "wrong", done.said.text
    assert number(done) - number(HELD) == pytest.approx(step, abs=1e-8)


def test_what_cannot_be_nudged_says_so() -> None:
    lists = replace(HELD.design, shop=Shop(bits=(0.006,)), tuning=replace(HELD.design.tuning, degrees=("1",)))
    desk = desk_of(replace(lists, tube=replace(lists.tube, avoid=((0.1, 0.11),), blank=None)))
    tuning, tube = ("tonic", "degrees"), ("locked", "avoid", "blank")
    paths = [("", "name"), ("instrument", "mouth"), ("shop", "bits")]
    for path in (*paths, *(("tuning", name) for name in tuning), *(("tube", name) for name in tube)):
        done = at(desk, "setup", line_of(desk, *path), "value").nudged(1, 5.0)
        assert done.history is desk.history
        assert done.said.text == "There is nothing to nudge here."


def test_in_inches_a_step_is_a_sixty_fourth() -> None:
    inches = opened("dust-lark").holding()
    done = at(inches, "setup", line_of(inches, "tube", "length"), "value").nudged(1, 5.0)
    assert done.design.tube.length - inches.design.tube.length == pytest.approx(float(INCH) / 64, abs=1e-8)


# Live effect


@pytest.mark.parametrize(
    ("path", "remark"),
    [
        (("tube", "bore"), "23 bores long: comfortable"),
        (("tuning", "tonic"), "440.0 Hz"),
        (("tuning", "scale"), "common practice"),
        (("air", "temperature"), "m/s in the bore"),
        (("shop", "bits"), "neither too small nor too large"),
        (("shop", "hand"), "from finger to finger"),
        (("voicing", "uncertainty"), "blow the bare tube"),
        (("voicing", "added_length"), "mm ± "),
        (("tube", "length"), "over all"),
        (("uncertainty", "tuner"), "usual: "),
        (("uncertainty", "bore"), "usual: "),
    ],
)
def test_what_a_field_does_is_said_beside_it(path: Path, remark: str) -> None:
    told = shown(START, "setup", line_of(START, *path), "remark")
    assert remark in told or path == ("tuning", "scale")
    assert told
    pane = PANES["setup"]
    row = line_of(START, *path)
    words = pane.help(START.sheet, row, pane.columns(START.sheet)[1])
    assert words.endswith(LABELS[path][1])
    assert words.casefold().startswith(told[:8].casefold())


def test_what_is_usual_of_a_mouth_is_said_beside_it() -> None:
    """The stopper of a transverse flute alone; the drift until readings have taught it."""
    across = replace(
        START.design, instrument=Instrument("transverse"), voicing=Voicing(0.045), rows=(), holes=()
    )

    def told(design: Design, key: str) -> str:
        desk = desk_of(design)
        return shown(desk, "setup", line_of(desk, "voicing", key), "remark")

    assert told(across, "cavity") == "usual: 15.0 mm ± 3.0 mm"
    assert told(replace(across, voicing=Voicing(0.045, cavity=0.016)), "cavity") == ""
    assert told(replace(across, instrument=Instrument("duct")), "cavity") == ""
    assert told(across, "drift").endswith(" mm until overblown")
    assert told(replace(across, voicing=Voicing(0.045, calibrated=True)), "drift") == ""
    assert told(replace(across, instrument=Instrument("open")), "drift") == ""


def test_remarks_follow_what_is_typed() -> None:
    slim = set_field(HELD, "12 mm", "tube", "bore")
    assert "bores long" in shown(slim, "setup", line_of(slim, "tube", "bore"), "remark")
    assert shown(slim, "setup", line_of(slim, "tube", "bore"), "remark") != shown(
        HELD, "setup", line_of(HELD, "tube", "bore"), "remark"
    )
    cut = set_field(HELD, "400 mm", "tube", "blank")
    assert shown(cut, "setup", line_of(cut, "tube", "blank"), "remark") == "39.5 mm to cut off"
    stated = set_field(HELD, "1", "uncertainty", "tuner")
    assert shown(stated, "setup", line_of(stated, "uncertainty", "tuner"), "remark") == ""


def test_the_doubt_shrinks_when_the_tube_was_blown() -> None:
    row = line_of(START, "voicing", "uncertainty")
    before = shown(START, "setup", row, "remark")
    blown = answered(working.typed(START, "rows", 0, "measured", "A4 -4"))
    after = shown(blown, "setup", row, "remark")
    assert "blow the bare tube" not in after
    assert int(after.split("±")[1].split()[0]) < int(before.split("±")[1].split()[0])
    assert "blown" in shown(blown, "setup", line_of(blown, "voicing", "added_length"), "remark")


def test_no_remark_where_nothing_can_be_said() -> None:
    lost = desk_of(working.nameless_scale())
    assert shown(lost, "setup", line_of(lost, "tuning", "scale"), "remark") == ""
    assert shown(lost, "setup", line_of(lost, "voicing", "uncertainty"), "remark") == ""


def test_a_list_without_an_end_is_no_list() -> None:
    for endless in ("[" * 3000, "{a = " * 3000):
        with pytest.raises(QuantityError, match="no list"):
            read_at(example(), ("tube", "bore"), endless)


def test_stretches_to_keep_clear_of_are_typed_as_anywhere() -> None:
    path = ("tube", "avoid")
    desk = set_field(START, "171..177, 300 to 306", *path)
    assert desk.design.tube.avoid == ((0.171, 0.177), (0.3, 0.306))
    assert text_at(desk.design, path) == "171..177 mm, 300..306 mm"
    assert set_field(desk, text_at(desk.design, path), *path).design.tube.avoid == desk.design.tube.avoid
    assert read_at(desk.design, path, "[[171, 177]]") == ((0.171, 0.177),)


def test_a_round_number_of_the_other_unit_is_written_in_it() -> None:
    inches = replace(START.design, units="in", text=None)
    stated = replace(inches, tube=replace(inches.tube, bore=(Station(0.0, 0.018),), length=0.4008))
    assert text_at(stated, ("tube", "length")) == "400.8 mm"
    assert text_at(stated, ("tube", "bore")) == "18 mm"
    assert loads(dumps(stated)) == stated
    longer = replace(stated, tube=replace(stated.tube, length=float(16 * INCH)))
    assert text_at(longer, ("tube", "length")) == "16 in"
