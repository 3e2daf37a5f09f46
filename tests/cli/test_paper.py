"""template, sheet, chart, holes and print: files, where they go, what is said, and what is refused."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

import pytest

from scaledesign import locations
from scaledesign.cli import paper_commands
from scaledesign.cli.completion import command_tree
from scaledesign.outputs import make as making
from scaledesign.outputs import usual
from scaledesign.outputs.kinds import BY_KIND, OUTPUTS, Form, Kind
from scaledesign.outputs.make import Made, Work
from scaledesign.paper.chart_text import NARROW
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.own_picture import LARGEST
from scaledesign.paper.text import WIDTH
from tests.cli.running import Run

EXAMPLE = ("--example", "marsh-wren")
BEGINNINGS = {"pdf": b"%PDF-", "png": b"\x89PNG\r\n\x1a\n", "html": b"<!doctype html>", "mid": b"MThd"}
MARK = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><circle r="4" cx="4.5" cy="4.5"/></svg>'


def begins_as(path: Path, form: str) -> bool:
    return path.read_bytes()[:15].lower().startswith(BEGINNINGS.get(form, b"").lower())


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No settings but those of a test, and a place where A4 is usual."""
    folder = tmp_path / "home"
    folder.mkdir()
    monkeypatch.setenv(locations.HOME_VARIABLE, str(folder))
    monkeypatch.setenv("LC_ALL", "C")
    return folder


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Kind, Form, PaperChoices, float]]:
    """What is made, without the making: what the options come to."""
    found: list[tuple[Kind, Form, PaperChoices, float]] = []

    def make(
        work: Work,
        kind: Kind,
        form: Form,
        choices: PaperChoices,
        *,
        ppi: float = 144.0,
        ascii_only: bool = False,
        narrow: bool = False,
    ) -> tuple[Made, ...]:
        found.append((kind, form, choices, ppi))
        return (Made(making.file_name(work.design, kind, form), b"made"),)

    monkeypatch.setattr(paper_commands, "make", make)
    return found


@pytest.mark.parametrize(
    ("kind", "form"),
    [(output.kind, form) for output in OUTPUTS for form in output.forms if output.kind != "notes"],
)
def test_the_ending_says_the_form(run: Run, kind: str, form: str) -> None:
    result = run(kind, *EXAMPLE, "-o", f"page.{form.upper()}")
    assert (result.code, result.err) == (0, "")
    assert result.out.startswith("Written to page")
    written = sorted(path for path in Path().glob("page*"))
    assert written
    assert all(
        path.read_bytes()[:15].lower().startswith(BEGINNINGS.get(form, b"").lower()) for path in written
    )
    again = run(kind, *EXAMPLE, "-o", f"page.{form.upper()}")
    assert again.code == 3
    assert again.err.endswith(" is there already; give another name, or --force to replace it.\n")


@pytest.mark.parametrize("kind", ["template", "sheet"])
def test_without_a_name_it_goes_beside_us_and_says_so(run: Run, kind: str) -> None:
    result = run(kind, *EXAMPLE)
    assert result.out.startswith(f"Written to marsh-wren-{kind}.pdf.")
    assert [path.name for path in Path().glob("*.pdf")] == [f"marsh-wren-{kind}.pdf"]
    again = run(kind, *EXAMPLE)
    assert again.code == 3
    assert again.err.endswith(" is there already; give another name, or --force to replace it.\n")
    assert run(kind, *EXAMPLE, "--force").code == 0


def test_several_pages_are_numbered_or_none_is_written(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    pages = tuple(Made(f"x-{page}.svg", b"<svg>%d</svg>" % page) for page in (1, 2, 3))
    monkeypatch.setattr(paper_commands, "make", lambda *_, **__: pages)
    Path("chart-2.svg").write_text("precious")
    result = run("chart", *EXAMPLE, "-o", "chart.svg")
    assert (result.code, result.out) == (3, "")
    assert result.err == "chart-2.svg is there already; give another name, or --force to replace it.\n"
    assert [path.name for path in Path().glob("chart*")] == ["chart-2.svg"]
    result = run("chart", *EXAMPLE, "-o", "chart.svg", "--force")
    assert result.out == "Written to chart-1.svg to chart-3.svg, one a page.\n"
    assert Path("chart-2.svg").read_bytes() == b"<svg>2</svg>"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("template", "-o", "a.png"),
            "what to write; end it with .pdf, .svg or .dxf.",
        ),
        (("sheet", "-o", "a"), "a does not say by its ending what to write; end it with .pdf, .svg or .png."),
        (("chart", "-o", "a.doc"), "end it with .pdf, .svg, .png, .html, .txt, .csv or .tsv."),
        (("holes", "-o", "a.pdf"), "end it with .txt, .csv or .tsv."),
        (("sheet", "--ppi", "5", "-o", "a.png"), "'--ppi 5' is no picture; write 36 to 1200 pixels an inch."),
        (
            ("sheet", "--picture", "none.png"),
            "the picture none.png cannot be read (no such file ",
        ),
        (("sheet", "--maker", "x" * 61), "'--maker xxxxx"),
        (("sheet", "--maker", "x" * 61), "is too long a name; write at most 60 characters."),
        (("sheet", "--maker", "Reed\nand rush"), "' has signs that no line shows; write it on one line."),
        (
            ("chart", "--as", "tsv", "-o", "a.pdf"),
            "--as tsv and a.pdf do not agree on what to write; end it with .tsv, or leave --as out.",
        ),
        (("holes", "--as", "csv", "-o", "a.tsv"), "--as csv and a.tsv do not agree on what to write; end it"),
        (("sheet", "-o", "nowhere/a.pdf"), "there is no folder nowhere; make it first, or choose another."),
        (("holes", "-o", "nowhere/a.csv"), "there is no folder nowhere; make it first, or choose another."),
        (("print", "--into", "nowhere/a"), "there is no folder nowhere; make it first, or choose another."),
        (
            ("print", "--only", "sheets"),
            "'--only sheets': sheets is none of them; there are template, ",
        ),
        (("print", "--only", ","), "'--only ,': that is none of them; there are template, sheet, "),
        (("print", "--forms", "doc"), "'--forms doc': doc is none of them; there are pdf, "),
        (
            ("print", "--only", "notes", "--forms", "mid,pdf"),
            "as .pdf; there is .musicxml, .mid or .wav.",
        ),
    ],
)
def test_what_cannot_be_done_is_one_sentence(run: Run, words: tuple[str, ...], said: str) -> None:
    result = run(words[0], *EXAMPLE, *words[1:])
    assert (result.code, result.out) == (3, "")
    assert said in result.err
    assert result.err.count("\n") == 1
    assert [path.name for path in Path().iterdir()] == ["home"]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"GIF89a", "the picture mark is no PNG, JPEG or SVG; give a file of one of these kinds.\n"),
        (MARK[:60], "the picture mark cannot be read; give a PNG, JPEG or SVG file that opens elsewhere.\n"),
        (b"\x89PNG\r\n\x1a\n", "the picture mark cannot be read; give a PNG, JPEG or SVG file that opens"),
        (
            b"<svg" + bytes(LARGEST),
            f"the picture mark is larger than {LARGEST / 1e6:.0f} MB; save it",
        ),
    ],
    ids=["another kind", "broken off", "nothing in it", "too large"],
)
def test_no_picture_but_what_can_be_printed(run: Run, data: bytes, said: str) -> None:
    Path("mark").write_bytes(data)
    for words in (("sheet",), ("chart", "-o", "chart.html")):
        result = run(words[0], *EXAMPLE, "--picture", "mark", *words[1:])
        assert (result.code, result.out) == (3, "")
        assert result.err.startswith(said)
    assert {path.name for path in Path().iterdir()} == {"home", "mark"}


def test_the_design_and_examples_are_never_replaced(run: Run, flute: Path) -> None:
    design = flute.with_name("flute.html")
    design.write_bytes(flute.read_bytes())
    for words in (("chart", design, "-o", "flute.html"), ("print", design, "--into", ".", "--only", "chart")):
        before = design.read_bytes()
        named = flute.with_name("sedge-warbler-chart.html")
        if words[0] == "print":
            design = design.rename(named)
            words = ("print", design, *words[2:])
        result = run(*words, "--force")
        assert (result.code, result.out) == (3, "")
        assert "is the design itself; give another name" in result.err.replace("the list ", "")
        assert design.read_bytes() == before
    into = run("print", flute, "--into", locations.EXAMPLES, "--only", "notes")
    assert (into.code, into.err) == (3, "an example is not written to; name a file of your own.\n")


def test_all_of_a_flute_in_one_folder(run: Run) -> None:
    result = run("print", *EXAMPLE)
    assert (result.code, result.err) == (0, "")
    lines = result.out.splitlines()
    assert lines[0] == "Written to marsh-wren:"
    assert max(map(len, lines)) <= WIDTH
    written = {path.name: path for path in Path("marsh-wren").iterdir()}
    assert set(written) == {f"marsh-wren-{kind}.{form}" for kind, form in usual.FOLDER}
    assert all(any(line.startswith(f"- {name}: ") for line in lines) for name in written)
    for name, path in written.items():
        assert begins_as(path, name.rpartition(".")[2])


def test_what_cannot_be_made_of_everything_is_left_out_and_said(run: Run, flute: Path) -> None:
    """A flute without rows plays no notes; the hole list and the template stand all the same."""
    flute.write_text(flute.read_text(encoding="utf-8").partition("[[rows]]")[0], encoding="utf-8")
    result = run("print", flute)
    assert (result.code, result.err) == (0, "")
    assert "Left out: sedge-warbler-notes.mid: no row of this flute sounds; give it rows" in result.out
    assert not Path("sedge-warbler/sedge-warbler-notes.mid").exists()
    assert Path("sedge-warbler/sedge-warbler-template.pdf").exists()
    asked = run("print", flute, "--only", "notes,holes", "--into", "other")
    assert (asked.code, asked.out) == (3, "")
    assert asked.err.startswith("no row of this flute sounds; ")
    assert not Path("other").exists()


def test_a_template_needs_no_note_that_sounds(run: Run, tmp_path: Path) -> None:
    """A third register that this tube has not."""
    row = '[[rows]]\nnote = "C7"\nholes = ""\nregister = 3\n'
    tube = "instrument = { mouth = 'duct' }\ntube = { length = 30, bore = 16, wall = 3 }\n"
    (tmp_path / "short.toml").write_text(tube + row, encoding="utf-8")
    assert run("template", "short.toml").code == 0
    result = run("sheet", "short.toml")
    assert (result.code, result.out) == (3, "")
    assert result.err == run("predict", "short.toml").err


def test_of_a_folder_nothing_is_written_if_one_file_is_there(run: Run) -> None:
    Path("bench").mkdir()
    Path("bench/marsh-wren-notes.mid").write_text("precious")
    result = run("print", *EXAMPLE, "--into", "bench", "--only", "notes,holes")
    assert (result.code, result.out) == (3, "")
    assert result.err.startswith("bench/marsh-wren-notes.mid is there already; give another name, or --force")
    assert [path.name for path in Path("bench").iterdir()] == ["marsh-wren-notes.mid"]
    result = run("print", *EXAMPLE, "--into", "bench", "--only", "notes,holes", "--force", "--json")
    assert [file["file"] for file in result.object["files"]] == [
        "bench/marsh-wren-holes.csv", "bench/marsh-wren-notes.musicxml", "bench/marsh-wren-notes.mid",
    ]  # fmt: skip
    for file in result.object["files"]:
        assert Path(file["file"]).stat().st_size == file["bytes"]
    Path("file").write_text("")
    assert run("print", *EXAMPLE, "--into", "file", "--only", "holes").err.startswith("file ")


def test_kinds_and_forms_are_chosen(run: Run, asked: list[tuple[Kind, Form, PaperChoices, float]]) -> None:
    assert run("print", *EXAMPLE, "--only", "chart, Notes", "--forms", ".html,mid,pdf").code == 0
    assert [(kind, form) for kind, form, _, _ in asked] == [
        ("chart", "pdf"),
        ("chart", "html"),
        ("notes", "mid"),
    ]


@pytest.mark.parametrize(
    ("words", "change"),
    [
        ((), {}),
        (("--paper", "letter"), {"paper": "letter"}),
        (("--units", "in"), {"units": "in"}),
        (("--from", "foot"), {"origin": "foot"}),
        (("--names", "german"), {"names": "german"}),
        (("--large",), {"large": True}),
        (("--no-overblown",), {"registers": False}),
        (("--no-others",), {"alternates": False}),
        (("--trills",), {"trills": True}),
        (("--maker", "Reed and rush"), {"maker": "Reed and rush"}),
        (("--picture", "mark.svg"), {"picture": MARK, "picture_file": "mark.svg"}),
    ],
)
def test_every_option_is_a_choice(
    run: Run,
    asked: list[tuple[Kind, Form, PaperChoices, float]],
    words: tuple[str, ...],
    change: dict[str, object],
) -> None:
    Path("mark.svg").write_bytes(MARK)
    assert run("print", *EXAMPLE, "--only", "chart", "--forms", "png", "--ppi", "90", *words).code == 0
    ((_, _, choices, ppi),) = asked
    plain = PaperChoices()
    assert {name: getattr(choices, name) for name in change} == change
    assert all(
        getattr(choices, name) == getattr(plain, name)
        for name in PaperChoices.__dataclass_fields__
        if name not in change
    )
    assert ppi == 90


SETTINGS = """\
[paper]
paper = "letter"
names = "french"
large = true
maker = "Reed and rush"
picture = "mark.svg"
"""


def test_settings_are_usual_and_options_come_first(
    run: Run, asked: list[tuple[Kind, Form, PaperChoices, float]], home: Path
) -> None:
    (home / "settings.toml").write_text(SETTINGS, encoding="utf-8")
    (home / "mark.svg").write_bytes(MARK)
    assert run("chart", *EXAMPLE, "-o", "a.pdf").code == 0
    assert asked[0][2] == PaperChoices(
        paper="letter", names="french", large=True, maker="Reed and rush", picture=MARK
    )
    words = ("--paper", "a4", "--names", "english", "--no-large", "--maker", "", "--picture", "none.svg")
    assert run("chart", *EXAMPLE, "-o", "b.pdf", *words).code == 3
    assert run("chart", *EXAMPLE, "-o", "b.txt", *words).code == 0
    assert asked[1][2] == PaperChoices()


def test_what_is_wrong_in_the_settings_is_said_and_stops_nothing(run: Run, home: Path) -> None:
    (home / "settings.toml").write_text(SETTINGS.replace("french", "frensh"), encoding="utf-8")
    result = run("chart", *EXAMPLE)
    assert result.code == 0
    assert result.err.startswith(f'{home}/settings.toml, line 3: paper.names = "frensh": that is none of the')
    assert result.err.count("\n") == 1
    missing = run("chart", *EXAMPLE, "-o", "a.pdf")
    assert missing.code == 3
    assert f"the picture {home}/mark.svg cannot be read" in missing.err


@pytest.mark.parametrize(
    ("environment", "paper"),
    [
        ({}, "a4"),
        ({"LANG": "en_US.UTF-8"}, "letter"),
        ({"LANG": "en_GB.UTF-8"}, "a4"),
        ({"LANG": "en_US.UTF-8", "LC_PAPER": "de_DE"}, "a4"),
        ({"LANG": "de_DE", "LC_ALL": "es_mx@x"}, "letter"),
        ({"LANG": "en_US", "LC_ALL": "C"}, "a4"),
    ],
)
def test_the_paper_of_the_country(environment: dict[str, str], paper: str) -> None:
    assert usual.usual_paper(environment) == paper


# What is said of it


def test_notes_that_do_not_come_out_are_said_before_it_is_handed_on(run: Run, tmp_path: Path) -> None:
    """The marsh wren with its third hole where nobody would drill it."""
    text = (locations.EXAMPLES / "marsh-wren.toml").read_text(encoding="utf-8")
    first = text.index("at ", text.index("[[holes]]"))
    line = text[first : text.index("\n", first)]
    (tmp_path / "my wren.toml").write_text(text.replace(line, "at = 120", 1), encoding="utf-8")
    for words in (("sheet",), ("chart",), ("chart", "-o", "a.csv"), ("print", "--only", "notes,holes")):
        result = run(words[0], "my wren.toml", *words[1:])
        assert result.code == 1
        assert re.fullmatch(
            r"\w+ notes? of this flute do(es)? not come out: row \d+ \(.*\)\. "
            r"Look at scaledesign predict 'my wren\.toml' before you hand it on\.\n",
            result.err,
        )
        assert "come out" not in result.out
    assert run("template", "my wren.toml").err == ""
    assert Path("marsh-wren-sheet.pdf").exists()


def test_a_template_in_a_folder_is_printed_at_true_size_too(run: Run) -> None:
    said = " ".join(run("print", *EXAMPLE, "--only", "template,notes").out.split())
    assert "Print the template at 100 %, not fitted to the page, and measure the bar before you cut." in said
    assert "marsh-wren-notes.musicxml: notes, MusicXML, for a notation program" in said
    assert "100 %" not in run("print", *EXAMPLE, "--only", "notes", "--into", "other").out


def test_a_flute_without_a_name_is_called_as_its_file(run: Run, flute: Path) -> None:
    text = flute.read_text(encoding="utf-8").replace('"Sedge warbler"', '""')
    flute.with_name("Whistle.toml").write_text(text, encoding="utf-8")
    assert run("template", "Whistle.toml").out.startswith("Written to whistle-template.pdf.")
    assert run("print", "Whistle.toml", "--only", "template,holes").out.startswith("Written to whistle:\n")
    assert {path.name for path in Path("whistle").iterdir()} == {"whistle-template.pdf", "whistle-holes.csv"}


def test_a_form_that_is_not_installed_stops_nothing_else(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    monkeypatch.setitem(sys.modules, "ezdxf.filemanagement", None)
    result = run("print", *EXAMPLE, "--only", "template,holes", "--forms", "dxf,csv")
    assert (result.code, result.err) == (0, "")
    said = " ".join(result.out.split())
    assert (
        "Left out: marsh-wren-template.dxf: a DXF needs ezdxf, which is not installed; in the folder" in said
    )
    assert '.venv/bin/pip install -c constraints.txt ".[dxf]"' in said
    assert [path.name for path in Path("marsh-wren").iterdir()] == ["marsh-wren-holes.csv"]
    alone = run("print", *EXAMPLE, "--only", "template", "--forms", "dxf", "--into", "other")
    assert (alone.code, alone.out) == (3, "")


def test_remarks_are_told_in_the_units_that_were_chosen(run: Run) -> None:
    assert "A window 0.5 mm longer" in said_on_sheet(run, "mm")
    assert "A window 0.02 in longer" in said_on_sheet(run, "in")


def said_on_sheet(run: Run, units: str) -> str:
    """The words of the sheet."""
    import pypdfium2

    assert run("sheet", *EXAMPLE, "--units", units, "-o", "s.pdf", "--force").code == 0
    with pypdfium2.PdfDocument("s.pdf") as pages:
        return " ".join(" ".join(page.get_textpage().get_text_bounded() for page in pages).split())


def test_a_file_is_said_as_json(run: Run) -> None:
    found = run("template", *EXAMPLE, "-o", "t.pdf", "--json").object
    assert found == {
        "files": [{"file": "t.pdf", "kind": "template", "form": "pdf", "bytes": Path("t.pdf").stat().st_size}]
    }


def test_every_kind_is_made_by_a_command() -> None:
    """The notes by print, and by hear as they are heard."""
    commands = {command.name for command in command_tree()}
    assert set(BY_KIND) - commands == {"notes"}
    assert json.dumps(sorted(commands & set(BY_KIND)))


def test_the_chart_as_text_takes_what_was_chosen(run: Run) -> None:
    text = run("chart", *EXAMPLE, "--narrow", "--names", "french", "--trills", "--no-overblown").out
    assert max(map(len, text.splitlines())) <= NARROW
    assert "La4    ●●● ●●●\n" in text
    assert "Trills" in text
    assert "+" not in text
