"""What to print or write, checked as it is typed."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.files.remembered import Remembered
from scaledesign.files.settings import PaperSettings
from scaledesign.locations import EXAMPLES
from scaledesign.outputs.coming_out import not_out
from scaledesign.outputs.kinds import OUTPUTS
from scaledesign.outputs.usual import FOLDER
from scaledesign.paper.choices import PaperChoices
from scaledesign.view.actions import keymap
from scaledesign.view.print_questions import ALL, NEEDED, Printing, Usual
from scaledesign.view.print_words import besides, tail
from tests.view.working import desk_of, nameless_scale, opened, words

START = opened()
KEYS = keymap(())
PLAIN = Usual()


def printing(folder: Path, **answers: str) -> Printing:
    asked = Printing(START.sheet, folder)
    for name, text in answers.items():
        asked = asked.answered(name, text)
    return asked


def asked_for(asked: Printing) -> list[str]:
    return [question.name for question in asked.questions() if question.asked]


def problems(asked: Printing) -> list[str]:
    return [question.name for question in asked.questions() if question.problem]


def test_nothing_needs_to_be_answered(tmp_path: Path) -> None:
    asked = printing(tmp_path)
    assert asked.wanted == ((OUTPUTS[0].kind, OUTPUTS[0].forms[0]),)
    assert asked.ready
    assert asked.path == tmp_path / "marsh-wren-template.pdf"
    assert words(*tail(asked, KEYS, 300)) == f"Writes {asked.path}."
    assert [question.name for question in asked.questions()][:NEEDED] == ["what", "form"]


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda output: output.kind)
def test_every_kind_has_its_forms_and_its_file(tmp_path: Path, output: object) -> None:
    assert isinstance(output, type(OUTPUTS[0]))
    for form in output.forms:
        asked = printing(tmp_path, what=output.kind, form=form)
        assert asked.wanted == ((output.kind, form),)
        assert asked.path.name == f"marsh-wren-{output.kind}.{form}"
        assert asked.ready
    assert tuple(choice.answer for choice in asked.questions()[1].choices) == output.forms
    wrong = "dxf" if output.kind != "template" else "wav"
    assert problems(printing(tmp_path, what=output.kind, form=wrong)) == ["form"]


@pytest.mark.parametrize(
    ("what", "form", "asked"),
    [
        ("template", "pdf", ["paper", "large"]),
        ("template", "dxf", []),
        ("sheet", "png", ["paper", "large"]),
        ("chart", "pdf", ["paper", "names", "style", "shows", "large"]),
        ("chart", "html", ["names", "style", "shows"]),
        ("chart", "txt", ["names", "shows"]),
        ("chart", "csv", ["names"]),
        ("holes", "txt", []),
        ("notes", "wav", []),
        (ALL, "usual", ["paper", "names", "style", "shows", "large"]),
    ],
)
def test_only_what_matters_is_asked(tmp_path: Path, what: str, form: str, asked: list[str]) -> None:
    assert asked_for(printing(tmp_path, what=what, form=form)) == ["what", "form", "where", *asked]
    assert printing(tmp_path, what=what, form=form, style="nobody's").ready == ("style" not in asked)


def test_what_was_chosen_of_paper(tmp_path: Path) -> None:
    asked = printing(tmp_path, what="chart", paper="letter", names="german", style="rows", large="yes")
    assert asked.choices == PaperChoices("letter", names="german", style="rows", large=True)
    assert replace(asked, shows="trills").choices == replace(asked.choices, trills=True)
    gentle = replace(asked, shows="gentle").choices
    assert (gentle.registers, gentle.alternates, gentle.trills) == (False, False, False)
    assert not replace(asked, large="no").choices.large


def test_places_are_measured_as_on_the_screen(tmp_path: Path) -> None:
    for measure, origin in (("edge", "edge"), ("foot", "foot"), ("cut-end", "cut-end"), ("gap", "edge")):
        desk = replace(START, measure=measure)
        assert Printing(desk.sheet, tmp_path).choices.origin == origin


# Where


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("", "marsh-wren-chart.pdf"), ("for-anna.pdf", "for-anna.pdf"), ("for-anna", "for-anna.pdf"),
     ("./charts", "charts/marsh-wren-chart.pdf"), ("v1.2", "v1.2")],
)  # fmt: skip
def test_the_file_that_is_meant(tmp_path: Path, typed: str, meant: str) -> None:
    (tmp_path / "charts").mkdir()
    asked = printing(tmp_path, what="chart", where=typed)
    assert asked.path == tmp_path / meant
    assert asked.ready


@pytest.mark.parametrize("typed", ["nowhere/x.pdf", "x" * 300, "chart.svg", "~nobody-of-that-name/x.pdf"])
def test_what_cannot_be_written_to(tmp_path: Path, typed: str) -> None:
    asked = printing(tmp_path, what="chart", where=typed)
    assert problems(asked) == ["where"]
    assert not asked.ready
    assert words(*tail(asked, KEYS, 80)) == ""


def test_a_file_that_is_there_is_named_and_asked_about(tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text("mine")
    asked = printing(tmp_path, what="holes", where="list.txt")
    assert asked.questions()[2].note == "replaces the file that is there"
    assert "you are asked before it is replaced" in words(*tail(asked, KEYS, 300))
    printed = asked.made()
    assert printed.replaced == (tmp_path / "list.txt",)
    (tmp_path / "list.txt").write_bytes(printed.made[0].data)
    assert printed.replaced == ()  # the same again replaces nothing


def test_a_list_does_not_replace_its_design(tmp_path: Path) -> None:
    own = tmp_path / "wren.toml"
    own.touch()
    asked = replace(printing(tmp_path, what="holes", where="./wren.toml"), own=own)
    assert "is the design itself" in asked.questions()[2].problem
    assert not asked.ready


def test_the_examples_are_not_written_to() -> None:
    for what in ("chart", ALL):
        assert "never written to" in printing(EXAMPLES, what=what).questions()[2].problem


def test_pages_that_are_files_are_said_to_be(tmp_path: Path) -> None:
    said = words(*tail(printing(tmp_path, what="chart", form="svg"), KEYS, 300))
    assert "marsh-wren-chart-1.svg, marsh-wren-chart-2.svg and so on" in said


# All of it


def test_all_goes_into_a_folder_of_the_flute(tmp_path: Path) -> None:
    asked = printing(tmp_path, what=ALL)
    assert asked.wanted == FOLDER
    assert asked.path == tmp_path / "marsh-wren"
    assert len(set(asked.names_of_files)) == len(FOLDER)
    said = words(*tail(asked, KEYS, 2000))
    assert said.startswith(f"Writes into {asked.path}: marsh-wren-template.pdf, -sheet.pdf, -chart.pdf, ")
    assert all(name.removeprefix("marsh-wren") in said for name in asked.names_of_files)
    asked.path.mkdir()
    (asked.path / "marsh-wren-chart.pdf").touch()
    assert "There already: marsh-wren-chart.pdf." in words(*tail(asked, KEYS, 2000))
    assert asked.questions()[2].note == "replaces the file that is there"
    asked.path.joinpath("marsh-wren-holes.csv").touch()
    assert asked.questions()[2].note == "replaces 2 files that are there"


def test_all_may_be_what_is_printed_or_every_form(tmp_path: Path) -> None:
    printed = printing(tmp_path, what=ALL, form="pdf").wanted
    assert printed == (("template", "pdf"), ("sheet", "pdf"), ("chart", "pdf"))
    every = printing(tmp_path, what=ALL, form="every").wanted
    assert {kind for kind, _ in every} == {output.kind for output in OUTPUTS}
    assert set(printed) < set(every)
    assert len(every) >= sum(len(output.forms) for output in OUTPUTS) - 1  # a drawing for machines may wait


def test_a_folder_cannot_lie_in_none_nor_be_a_file(tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    for typed in ("taken", "nowhere/here"):
        assert problems(printing(tmp_path, what=ALL, where=typed)) == ["where"]


# What is made


@pytest.mark.parametrize(
    ("what", "form", "begins"),
    [("holes", "txt", b"Marsh wren"), ("chart", "tsv", b"note\t"), ("notes", "wav", b"RIFF"),
     ("notes", "mid", b"MThd"), ("notes", "musicxml", b"<?xml")],
)  # fmt: skip
def test_what_is_written_is_what_was_asked(tmp_path: Path, what: str, form: str, begins: bytes) -> None:
    printed = printing(tmp_path, what=what, form=form, where="mine").made()
    assert printed.folder == tmp_path
    (made,) = printed.made
    assert made.name == f"mine.{form}"
    assert made.data.startswith(begins)


def test_a_flute_of_which_nothing_is_known_is_not_written(tmp_path: Path) -> None:
    asked = Printing(desk_of(nameless_scale()).sheet, tmp_path)
    assert not asked.ready
    assert "nothing can be written" in words(*tail(asked, KEYS, 200))
    with pytest.raises(EditError):
        asked.made()


def test_what_is_being_worked_out_is_waited_for(tmp_path: Path) -> None:
    asked = replace(printing(tmp_path), waiting=True)
    assert not asked.ready
    assert words(*tail(asked, KEYS, 80)) == "A moment: the holes are being worked out."


# What is usual


def test_settings_come_first_then_the_last_time(tmp_path: Path) -> None:
    last = printing(tmp_path, what="chart", form="svg", paper="letter", names="french", style="rows")
    last = replace(last, large="yes", shows="trills")
    known = Remembered().with_layout(**last.kept())
    again = Usual.of(PaperChoices(), PaperSettings(), known)
    assert replace(Printing(START.sheet, tmp_path), usual=again).wanted == (("chart", "svg"),)
    assert again.choices == replace(last.choices, large=False)  # it was for that one print
    german = PaperSettings("a4", "german", "plain", False)
    own = Usual.of(PaperChoices(names="german"), german, known)
    assert own.choices == PaperChoices(names="german", trills=True)
    assert own.what == "chart"


def test_a_memory_that_makes_no_sense_is_passed_over(tmp_path: Path) -> None:
    known = Remembered().with_layout(
        print_what="cake",
        print_chart_form="wav",
        print_paper="a3",
        print_names=3,
        print_large="maybe",
        print_shows="all",
    )
    usual = Usual.of(PaperChoices(), PaperSettings(), known)
    assert usual == Usual()
    assert json.dumps(dict(usual.forms)) == "{}"


# What is said of it


def test_notes_that_do_not_come_out_are_said_first(tmp_path: Path) -> None:
    asked = printing(tmp_path, what="sheet")
    assert words(*tail(asked, KEYS, 300)) == f"Writes {asked.path}."
    answer = START.sheet.answer
    assert answer.prediction is not None
    cents = answer.prediction.cents.copy()
    cents[[0, 2]] = 34.0, np.nan
    spoilt = replace(answer, prediction=replace(answer.prediction, cents=cents))
    asked = replace(asked, sheet=replace(asked.sheet, answer=spoilt))
    first, second = (START.sheet.design.rows[row].note for row in (0, 2))
    said = words(*tail(asked, KEYS, 300))
    assert said.startswith(
        f"Two notes of this flute do not come out: row 3 ({second}, no pitch) and row 1 ({first} +34). "
        f"Look at why (Ctrl+W) before you hand it on."
    )
    assert said.endswith(f"Writes {asked.path}.")
    assert "come out" not in words(*tail(asked.answered("what", "template"), KEYS, 300))


def test_a_note_that_does_not_count_may_be_off_but_not_be_another(tmp_path: Path) -> None:
    design, prediction = START.sheet.design, START.sheet.answer.prediction
    assert prediction is not None
    other = next(i for i, row in enumerate(design.rows) if row.role == "alternate")
    for off, rows in ((49.0, ()), (-51.0, (f"row {other + 1} ({design.rows[other].note} -51)",))):
        cents = prediction.cents.copy()
        cents[other] = off
        assert not_out(design, replace(prediction, cents=cents)) == rows


def test_what_is_good_to_know(tmp_path: Path) -> None:
    def said(measure: str = "edge", usual: Usual = PLAIN, **answers: str) -> list[str]:
        desk = replace(START, measure=measure)
        asked = replace(Printing(desk.sheet, tmp_path, usual=usual), **answers)
        return [words(line) for line in besides(asked, KEYS, 300)]

    assert said(what="template", measure="foot") == [
        "Distances are measured from the foot (m in the hole list)."
    ]
    own = "Your name and picture come from settings.toml, [paper]."
    assert said(what="chart") == [own]
    assert said(what="chart", form="txt") == []
    assert said(what="chart", usual=Usual(PaperChoices(maker="Reed and rush"))) == []
    assert len(said(what="sheet")) == 2


def test_a_flute_without_a_name_is_called_as_its_file(tmp_path: Path) -> None:
    asked = printing(tmp_path, what=ALL)
    nameless = replace(asked.sheet, design=replace(asked.sheet.design, name=""))
    asked = replace(asked, sheet=nameless, own=tmp_path / "Whistle.toml")
    assert asked.path == tmp_path / "whistle"
    assert asked.names_of_files[0] == asked.name_of("template", "pdf") == "whistle-template.pdf"
    assert words(*tail(asked, KEYS, 2000)).startswith(
        f"Writes into {asked.path}: whistle-template.pdf, -sheet."
    )
    (made,) = asked.answered("what", "holes").answered("form", "csv").made().made
    assert made.name == "whistle-holes.csv"


# Looking at it


def test_the_questions_follow_what_was_looked_at(tmp_path: Path) -> None:
    asked = printing(tmp_path, what="chart", where="for-anna.pdf")
    assert asked.looking_at("chart", "pdf") == asked
    assert asked.looking_at("chart", "svg").wanted == (("chart", "svg"),)
    other = asked.looking_at("sheet", "png")
    assert (other.what, other.form, other.where) == ("sheet", "png", "")
    assert set(asked.shelf) == {output.kind for output in OUTPUTS}
    assert asked.name_of("chart", "pdf") == "for-anna.pdf"
    assert asked.name_of("sheet", "pdf") == "marsh-wren-sheet.pdf"
    everything = printing(tmp_path, what=ALL)
    assert everything.name_of("sheet", "pdf") == "marsh-wren-sheet.pdf"
    assert everything.looking_at("sheet", "pdf") == everything
    assert everything.shelf["chart"] == ("pdf", "html", "txt")
