"""What is made: every form of every kind, by its name, the same bytes each time; and trills."""

from __future__ import annotations

import base64
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image

from scaledesign.errors import EditError
from scaledesign.files.document_file import loads
from scaledesign.outputs.kinds import OUTPUTS, Form, Kind
from scaledesign.outputs.make import Work, file_name, make, make_all, numbered
from scaledesign.outputs.trills import chart_trills
from scaledesign.paper.choices import PaperChoices
from tests.files.samples import FULL, INCHES, ODD, SMALLEST
from tests.outputs.flutes import NAMES, example, work

EVERY: tuple[tuple[Kind, Form], ...] = tuple((one.kind, form) for one in OUTPUTS for form in one.forms)
ROOT = str(Path(__file__).parents[2])
DIGESTS = """\
import hashlib
from scaledesign.outputs.make import make
from scaledesign.paper.choices import PaperChoices
from tests.outputs.flutes import work
from tests.outputs.test_make import EVERY

for kind, form in EVERY:
    for made in make(work("night-heron"), kind, form, PaperChoices(trills=True), ppi=40):
        print(made.name, hashlib.sha256(made.data).hexdigest())
"""


@pytest.mark.slow
def test_the_same_design_gives_the_same_bytes() -> None:
    """In two processes that hash otherwise, one of them in another place and language."""
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", DIGESTS],
            stdout=subprocess.PIPE,
            text=True,
            env={
                **os.environ,
                "PYTHONPATH": str(Path(__file__).parents[2]),
                "PYTHONHASHSEED": seed,
                **change,
            },
        )
        for seed, change in (("1", {}), ("2", {"TZ": "Asia/Tokyo", "LC_ALL": "C", "SOURCE_DATE_EPOCH": "1"}))
    ]
    said = [run.communicate()[0] for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    assert said[0] == said[1]
    assert len(said[0].splitlines()) >= len(EVERY)


def test_a_form_that_is_not_made_is_said() -> None:
    with pytest.raises(EditError, match=r"no drilling template as \.wav; make \.pdf, \.svg or \.dxf\."):
        make(work("marsh-wren"), "template", "wav", PaperChoices())


def test_names_of_files() -> None:
    design = example("marsh-wren")
    assert file_name(design, "chart", "pdf") == "marsh-wren-chart.pdf"
    assert file_name(replace(design, name="../Ré / 7\0"), "notes", "mid") == "ré-7-notes.mid"
    assert file_name(replace(design, name=""), "sheet", "svg") == "flute-sheet.svg"
    assert file_name(replace(design, name=" ?"), "sheet", "svg", "A whistle") == "a-whistle-sheet.svg"
    assert file_name(design, "sheet", "svg", "whistle") == "marsh-wren-sheet.svg"
    assert numbered("a-chart.svg", 1) == ("a-chart.svg",)
    assert numbered("a.b.svg", 2) == ("a.b-1.svg", "a.b-2.svg")


def test_several_are_made_in_their_order() -> None:
    wanted: list[tuple[Kind, Form]] = [("notes", "mid"), ("holes", "csv"), ("chart", "txt")]
    names = [made.name for made in make_all(work("marsh-wren"), wanted, PaperChoices())]
    assert names == ["marsh-wren-notes.mid", "marsh-wren-holes.csv", "marsh-wren-chart.txt"]


def test_each_thing_is_worked_out_once() -> None:
    here = Work(example("marsh-wren"))
    choices = PaperChoices(trills=True)
    assert here.chart(choices) is here.chart(choices)
    assert here.score is here.score
    assert here.steps is here.steps
    assert here.chart(PaperChoices()).trills == ()


def test_a_template_says_what_is_known_and_is_made_of_what_nobody_can_predict_too() -> None:
    """Its ± is that of the hole list; a scale that nobody offers leaves it out, with all else in place."""
    here = work("marsh-wren")
    (listed,) = make(here, "holes", "txt", PaperChoices())
    (doubt,) = re.findall(r"^(± \d+ cents) until you blow", listed.data.decode("utf-8"), re.MULTILINE)
    (known,) = make(here, "template", "pdf", PaperChoices())
    assert f"notes may be {doubt} off" in words_of(known.data)
    assert words_of(known.data).count("begin ") == len(here.design.holes)
    tuning = replace(here.design.tuning, scale="a scale of the moon", degrees=())
    (unknown,) = make(Work(replace(here.design, tuning=tuning)), "template", "pdf", PaperChoices())
    assert "notes may be far off" in words_of(unknown.data)


def words_of(pdf: bytes) -> str:
    """All words of a PDF."""
    file = pypdfium2.PdfDocument(pdf)
    pages = [page.get_textpage().get_text_bounded() for page in file]
    file.close()
    return " ".join(" ".join(pages).split())


ODD_NAME = '<b>#let x \\ "q" $a$ *b* _c_ @d {{e}} é 笛 \N{RIGHT-TO-LEFT OVERRIDE} '
FLUTES = {
    "every key": loads(FULL),
    "in inches": loads(INCHES),
    "oddly written": loads(ODD),
    "the smallest": loads(SMALLEST),
    "an odd name": replace(example("marsh-wren"), name=8 * ODD_NAME),
    "no holes": replace(example("marsh-wren"), holes=(), rows=()),
}
HARD = PaperChoices(
    paper="letter", units="in", origin="foot", names="numbers", style="rows", large=True, maker=ODD_NAME
)


@pytest.mark.parametrize("name", FLUTES)
def test_everything_can_be_made_of_any_flute(name: str) -> None:
    """But the notes of one that has none."""
    here = Work(FLUTES[name])
    for kind, form in EVERY:
        if form in ("svg", "png", "csv", "tsv"):
            continue
        if kind == "notes" and not here.design.rows:
            with pytest.raises(EditError, match="no row of this flute sounds"):
                make(here, kind, form, HARD)
        else:
            assert all(made.data for made in make(here, kind, form, HARD))


@pytest.mark.parametrize("name", NAMES)
def test_trills_lie_between_neighbours_and_move_what_they_say(name: str) -> None:
    here = work(name)
    found = chart_trills(here.design, here.plain_chart)
    scale = [note.note for note in here.plain_chart.notes if note.role == "scale"]
    assert len(found) >= len(scale) // 2
    fingers = [hole.finger for hole in here.plain_chart.holes]
    for trill in found:
        assert (trill.low, trill.high) in list(pairwise(scale))
        differ = tuple(
            finger
            for finger, low, high in zip(fingers, trill.low_states, trill.high_states, strict=True)
            if low != high
        )
        assert trill.moving == differ != ()
        assert "H" not in (*trill.low_states, *trill.high_states)


def test_a_flute_of_one_note_has_no_trills() -> None:
    here = Work(replace(example("marsh-wren"), rows=example("marsh-wren").rows[:1]))
    assert here.chart(PaperChoices(trills=True)).trills == ()


def test_what_a_camera_noted_does_not_leave_with_the_web_page() -> None:
    exif = Image.Exif()
    exif[0x9286] = "51.5 N, 0.1 W"
    stream = io.BytesIO()
    Image.new("L", (30, 20), 255).save(stream, "JPEG", exif=exif)
    assert b"51.5 N" in stream.getvalue()
    (page,) = make(work("marsh-wren"), "chart", "html", PaperChoices(picture=stream.getvalue()))
    packed = re.findall(rb"data:image/[^;]+;base64,([A-Za-z0-9+/=]+)", page.data)
    inner = [base64.b64decode(each) for each in packed]
    assert any(b"<image" in each for each in inner)
    deepest = [base64.b64decode(each.partition(b"base64,")[2].partition(b'"')[0]) for each in inner]
    assert all(b"51.5 N" not in each for each in (*inner, *deepest))
