"""Notes, their ± and what is said about them."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np

from scaledesign.locations import HANDBOOK
from scaledesign.model.document import Design
from scaledesign.model.saying import ROLE_WORDS
from scaledesign.paper.report import blocks, note_table, off_words, remarks, title, touchiness, trust
from scaledesign.paper.text import WIDTH


def test_title(design: Design) -> None:
    assert title(design) == "Reed bunting: duct flute, two and thumb, A4 pentatonic minor"


def test_a_title_says_nothing_to_the_terminal(design: Design) -> None:
    odd = replace(design, name="a\x1b]0;b\x07\nc", tuning=replace(design.tuning, scale="\x1b[2Jd"))
    assert title(odd) == "a ]0;b c: duct flute, two and thumb, A4 [2Jd"


def test_before_calibration_the_first_thing_is_what_to_do(
    design: Design, prediction: SimpleNamespace
) -> None:
    first, command, *after = trust(design, prediction, "reed.toml", "mm").splitlines()
    assert first.startswith("± 60 cents until you blow the bare tube.")
    assert command.strip() == 'scaledesign calibrate reed.toml --bare "A4 -4" --length 320.0 --in-place'
    assert after[0].startswith("After that the ± is about 6 cents")
    assert "--length is what the tube measures" in " ".join(after)
    assert "the size of the window" in " ".join(after)
    copied = trust(design, prediction, "my.toml", "mm", "cp reed.toml my.toml").splitlines()
    assert [line.strip().split()[0] for line in copied[1:3]] == ["cp", "scaledesign"]


def test_after_calibration_it_says_on_what_it_rests(design: Design, prediction: SimpleNamespace) -> None:
    prediction.calibrated = True
    assert trust(design, prediction, "reed.toml", "mm").startswith("± 60 cents, going by the readings")


def test_what_was_left_out_is_said_again(design: Design, prediction: SimpleNamespace) -> None:
    prediction.calibrated = True
    out = replace(design, learned=replace(design.learned, left_out="row 2 (B4 +60)"))
    assert "contradict it: row 2 (B4 +60)." in " ".join(trust(out, prediction, "f", "mm").split())


def test_nobody_is_asked_to_blow_an_ideal_end(design: Design, prediction: SimpleNamespace) -> None:
    ideal = replace(design, instrument=replace(design.instrument, mouth="open"))
    assert trust(ideal, prediction, "f", "mm") == "± 60 cents: an ideal open end, which nobody can blow."


def test_nothing_is_trusted_where_nothing_sounds(design: Design, prediction: SimpleNamespace) -> None:
    prediction.uncertainty[:] = np.nan
    assert trust(design, prediction, "reed.toml", "mm") == ""


def test_every_note_has_target_pitch_and_uncertainty(design: Design, prediction: SimpleNamespace) -> None:
    lines = note_table(design, prediction).splitlines()
    assert lines[5] == ""
    assert max(map(len, lines)) <= WIDTH
    assert [" ".join(line.split()) for line in lines[1:5]] == [
        "1 A4 XXX A4 +0 A4 +0 440.0 0 58 5",
        "2 C5 XXO C5 +16 C5 +22 530.0 +7 60 6 sharp",
        "3 C#5 XHO C#5 +0 C#5 -11 551.0 -10 61 7 between",
        "4 A5 XXX 2 A5 +0 A5 +8 884.0 +8 59 6 other",
    ]


def test_the_makers_readings_stand_beside_what_was_expected(
    design: Design, prediction: SimpleNamespace
) -> None:
    rows = (replace(design.rows[0], measured="A4 -12"), *design.rows[1:])
    lines = note_table(replace(design, rows=rows), prediction).splitlines()
    assert "you read" in lines[0]
    assert "A4 -12" in lines[1]
    assert max(map(len, lines)) <= WIDTH


def test_off_words_go_by_the_makers_tolerance() -> None:
    assert [off_words(cents, 5) for cents in (0, 5, 5.1, -5, -6)] == ["", "", "sharp", "", "flat"]


def test_remarks_are_said_once() -> None:
    assert remarks(("Move it.", "Open it.", "Move it.")) == "- Move it.\n- Open it."
    assert blocks("a", "", "b") == "a\n\nb"


def test_once_blown_the_table_has_one_tolerance(design: Design, prediction: SimpleNamespace) -> None:
    prediction.calibrated = True
    text = note_table(design, prediction)
    assert "blown" not in text
    assert " ".join(text.splitlines()[1].split()) == "1 A4 XXX A4 +0 A4 +0 440.0 0 58"


def test_what_a_step_of_the_ruler_does_to_the_tube(design: Design, prediction: SimpleNamespace) -> None:
    """Of the rows that count (the first two) the touchiest; what does nothing is not said."""
    prediction.sensitivity.length = np.array([-4000.0, -2000.0, -9e4, -9e4])
    prediction.sensitivity.bore = np.array([-1000.0, 3000.0, 9e4, 9e4])
    prediction.sensitivity.wall = np.array([-20000.0, -30000.0, -9e4, -9e4])
    prediction.sensitivity.added_length = np.zeros(4)
    assert " ".join(touchiness(design, prediction, "mm").split()) == (
        "Cents by which 0.1 mm more moves the touchiest note of the scale: "
        "length 0.4 flat, bore 0.3 sharp, wall 3.0 flat."
    )
    assert "1/64 in more" in touchiness(design, prediction, "in")


def test_a_role_is_called_as_the_grid_calls_it(design: Design, prediction: SimpleNamespace) -> None:
    """The file's words are the file's; the handbook's page on the file says which is which."""
    table = note_table(design, prediction)
    page = (HANDBOOK / "design-file.md").read_text(encoding="utf-8")
    for role, word in ROLE_WORDS.items():
        if role != word:
            assert f" {word}\n" in f"{table}\n".replace("\n\n", "\n")
            assert role not in table
            assert f"`{role}` is called *{word}*" in page
