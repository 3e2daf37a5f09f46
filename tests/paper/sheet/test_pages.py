"""The sheet as printed: nothing overlaps or is cut, tables say what the list says, the flute is to scale."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from PIL import Image

import scaledesign
from scaledesign.errors import DesignError, EditError
from scaledesign.model.document import Design, Units
from scaledesign.model.pitch import format_reading
from scaledesign.paper.choices import PAPERS, Paper, PaperChoices
from scaledesign.paper.hole_list import hole_list, length
from scaledesign.paper.layout import Origin, distance_from, has_cut_end
from scaledesign.paper.sheet.page import sheet_pages
from scaledesign.paper.sheet.rows import bit_words
from scaledesign.paper.unblown import spare_length
from scaledesign.solver.problem import voicing_of
from tests.paper.sheet.flutes import EXAMPLE_NAMES, EXTREMES, example, known, sheet
from tests.paper.sheet.reading import Box, Read, faults, pixels, read

EACH_PAPER: tuple[Paper, ...] = ("a4", "letter")
EACH_UNIT: tuple[Units, ...] = ("mm", "in")
TOLERANCE = {"mm": r" ± \d\.\d{1,2}(?!\d)", "in": r" (?:± 1[/⁄](?:64|32)|< 1[/⁄]64|a hair)"}
"""How a slip is told: in inches as a ruler has it, never as a decimal."""
DOTS = 12.0
"""Pixels an mm."""


def origins(design: Design) -> tuple[Origin, ...]:
    return ("edge", "foot", "cut-end") if has_cut_end(design) else ("edge", "foot")


def line_of(document: Read, first: Box, right: float) -> str:
    """Everything on the line of a box, from there on as far as ``right`` mm."""
    line = sorted(
        (
            box
            for box in document.boxes
            if box.page == first.page
            and first.left <= box.left < right
            and abs((box.top + box.bottom - first.top - first.bottom) / 2) < 0.8
        ),
        key=lambda box: box.left,
    )
    return " ".join(box.text for box in line)


def right_of(document: Read, title: str) -> float:
    """mm: where the block beside begins."""
    return next(box.left for box in document.boxes if box.text == title) - 1.0


@pytest.mark.parametrize("units", EACH_UNIT)
@pytest.mark.parametrize("paper", EACH_PAPER)
@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_every_example_on_every_paper(name: str, paper: Paper, units: Units) -> None:
    """From each end in turn: the four sheets of an example are measured from every end it has."""
    design = example(name)
    ends = origins(design)
    origin = ends[(2 * EACH_PAPER.index(paper) + EACH_UNIT.index(units)) % len(ends)]
    (pdf,) = sheet(design, PaperChoices(paper, units, origin))
    document = read(pdf)
    assert faults(document) == []
    assert len(document.sizes) == 1, "an example takes one page"
    assert document.sizes[0] == pytest.approx([side * 1000 for side in PAPERS[paper]], abs=0.01)
    holes_are_those_of_the_list(design, document, units, origin)
    figures_over_the_drawing(design, document, units, origin)


def holes_are_those_of_the_list(design: Design, document: Read, units: Units, origin: Origin) -> None:
    prediction, _ = known(design)
    listed = hole_list(design, prediction, units=units, origin=origin).splitlines()
    rows = [re.split(r"\s{2,}", line.strip()) for line in listed if re.match(r" *\d+  ", line)]
    assert len(rows) == len(design.holes)
    heading = next(box for box in document.boxes if box.text == "Holes")
    numbers = [
        box for box in document.boxes
        if abs(box.left - heading.left) < 0.6 and box.text.isdigit() and box.top > heading.top
    ]  # fmt: skip
    for (number, at, other, wood, width, bit, finger, *_), box in zip(rows, numbers, strict=True):
        said = line_of(document, box, right_of(document, "Tube and mouth"))
        tolerances = re.findall(TOLERANCE[units], said)
        assert len(tolerances) == 2
        plain = re.sub(TOLERANCE[units], "", said)
        expected = f"{number} {finger} {at} {other} {wood} {width} {bit_words(bit, units)}"
        assert plain == expected


def figures_over_the_drawing(design: Design, document: Read, units: Units, origin: Origin) -> None:
    """Every hole's distance, and that of the far end, in the line above the drawing, from left to right."""
    holes = sorted(design.holes, key=lambda hole: hole.at)
    wanted = [length(distance_from(design, origin, hole.at), units) for hole in holes]
    far = 0.0 if origin == "foot" else design.tube.length
    end = length(distance_from(design, origin, far), units)
    wanted = [end, *wanted] if origin == "foot" else [*wanted, end]
    top = [box for box in document.boxes if 33.0 < box.top < 40.0]
    assert " ".join(box.text for box in sorted(top, key=lambda box: box.left)) == " ".join(wanted)


@pytest.mark.parametrize("name", EXTREMES)
def test_flutes_that_nobody_would_make(name: str) -> None:
    design = EXTREMES[name]()
    for choices in (
        PaperChoices("letter", "in", "foot", maker="A maker of flutes and pipes and other things that sound"),
        PaperChoices("a4", "mm", large=True),
    ):
        (pdf,) = sheet(design, choices, placed=("undetermined",) * len(design.holes))
        document = read(pdf)
        assert faults(document) == []
        for page in range(len(document.sizes)):
            text = document.text(page)
            assert f"sheet {page + 1} of {len(document.sizes)}" in text
            assert "Safety data sheets, local rules and licensed practice come before this sheet." in text


@pytest.mark.parametrize(
    ("name", "paper", "origin"),
    [("dust-lark", "a4", "edge"), ("night-heron", "letter", "foot"), ("marsh-wren", "a4", "cut-end"),
     ("reed-bunting", "letter", "edge")],
)  # fmt: skip
def test_the_drawing_is_to_scale(name: str, paper: Paper, origin: Origin) -> None:
    """Holes are looked for in the pixels as rings of the size they should have."""
    design = example(name)
    (pdf,) = sheet(design, PaperChoices(paper, "mm", origin))
    document = read(pdf)
    stated = re.search(r"drawn 1 : ([\d.]+)", document.text())
    assert stated
    ratio = float(stated[1])
    dark = pixels(pdf, 0, DOTS)
    top = max(box.bottom for box in document.boxes if 33.0 < box.top < 40.0)
    found = []
    for i, hole in enumerate(design.holes):
        label = next(box for box in document.boxes if box.text == f"{i + 1} {hole.finger}" and box.top < 90)
        radius = hole.diameter * 1000 / ratio / 2
        near = (label.left + label.right) / 2
        x, _, score = ring(dark, radius, (near - 4, near + 4), (top + 6, label.top - 1))
        for wrong in (radius * 0.85, radius * 1.15):
            assert ring(dark, wrong, (x - 0.2, x + 0.2), (top + 6, label.top - 1))[2] < score
        found.append(x)
    for i, j in combinations(range(len(found)), 2):
        wanted = (design.holes[j].at - design.holes[i].at) * 1000 / ratio
        assert found[j] - found[i] == pytest.approx(wanted, abs=0.3)
    if origin == "cut-end":  # lies beyond a break
        return
    start, _, _ = ring(dark, 0.75, (12, document.sizes[0][0] - 12), (top + 1, top + 6))
    for x, hole in zip(found, design.holes, strict=True):
        wanted = distance_from(design, origin, hole.at) * 1000 / ratio
        assert abs(x - start) == pytest.approx(wanted, abs=0.3)


def ring(
    dark: np.ndarray[Any, np.dtype[np.float64]],
    radius: float,
    across: tuple[float, float],
    down: tuple[float, float],
) -> tuple[float, float, float]:
    """Where a ring of that radius (mm) is darkest: its middle, and how dark it is there."""
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    x, y = np.arange(*across, 1.0 / DOTS), np.arange(*down, 1.0 / DOTS)
    columns = np.rint((x[None, :, None] + radius * np.cos(turn)) * DOTS - 0.5).astype(int)
    rows = np.rint((y[:, None, None] + radius * np.sin(turn)) * DOTS - 0.5).astype(int)
    score = dark[rows, columns].mean(axis=-1)
    best = np.argwhere(score >= score.max() - 0.02).mean(axis=0)
    return float(x[0] + best[1] * 1.0 / DOTS), float(y[0] + best[0] * 1.0 / DOTS), float(score.max())


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    design = example("reed-bunting")
    (pdf,) = sheet(design)
    document = read(pdf)
    said = next(box for box in document.boxes if re.fullmatch(r"\d+ mm", box.text))
    words = next(box for box in document.boxes if box.text.startswith("drawn 1 :"))
    ratio = float(words.text.removeprefix("drawn 1 : "))
    dark = pixels(pdf, 0, DOTS)
    band = dark[
        int(said.top * DOTS) : int(said.bottom * DOTS), int(words.right * DOTS) + 6 : int(said.left * DOTS)
    ]
    inked = np.flatnonzero(band.max(axis=0) > 0.5)
    long = (inked[-1] - inked[0] + 1) / DOTS - 0.18
    assert long == pytest.approx(float(said.text.removesuffix(" mm")) / ratio, abs=0.15)


def test_what_is_drilled_and_heard_stands_in_the_order_of_the_steps() -> None:
    design = example("marsh-wren")
    (pdf,) = sheet(design)
    document = read(pdf)
    heading = next(box for box in document.boxes if box.text == "Drill and listen")
    rows = [
        line_of(document, box, right_of(document, "Notes to expect"))
        for box in document.boxes
        if re.fullmatch(r"bare|\d [LR]\d", box.text) and box.top > heading.top and box.left < heading.left + 1
    ]
    assert rows[0].startswith("bare 380.5 long G♯4"), "left 20 mm longer than the flute will be"
    assert [row.split()[:2] for row in rows[1:]] == [[str(n), f] for n, f in (
        (6, "R3"), (5, "R2"), (4, "R1"), (3, "L3"), (2, "L2"), (1, "L1")
    )]  # fmt: skip
    assert rows[1].startswith("6 R3 7.5 9.5")
    text = document.words.replace("−", "-")
    _, steps = known(design)
    for step in steps:
        for pitch in (step.begun, step.finished):
            assert format_reading(pitch, 440.0).replace("#", "♯") in text


def test_notes_cautions_trust_air_and_remarks_are_there() -> None:
    design = replace(example("grey-heron"), rows=(replace(example("grey-heron").rows[0], measured="F#4 -6"),
                                                  *example("grey-heron").rows[1:]))  # fmt: skip
    (pdf,) = sheet(design, PaperChoices(maker="Alder bank flutes"))
    text = " ".join(read(pdf).words.split())
    for words in (
        "Alder bank flutes", "Grey heron", "duct flute, five-hole pentatonic, F♯4 pentatonic minor",
        "Cedar.", "ask HSE or OSHA", "Hot tools.", "Material: western red cedar.",
        "± 87 cents until you blow the bare tube, about 21 after that", "A room of 22 °C (71.5 °F)",
        "A4 = 440 Hz", "finish the window before you drill", "wood", "date", "number", "F♯4 −6", "1096.7",
        "C♯6 −19", "blown harder",
    ):  # fmt: skip
        assert words in text, words


def test_a_flute_that_was_blown_and_drilled_needs_no_steps_and_knows_its_doubt() -> None:
    learnt = scaledesign.calibrate(example("night-heron"), "D4 -30").design
    done = replace(learnt, holes=tuple(replace(hole, drilled=True) for hole in learnt.holes))
    (pdf,) = sheet(done)
    words = read(pdf).words
    assert faults(read(pdf)) == []
    assert "Drill and listen" not in words
    assert "going by the readings that the file holds" in words
    assert words.count("drilled") == len(done.holes)
    (half,) = sheet(replace(learnt, holes=(*learnt.holes[:-1], done.holes[-1])))
    assert "bare tube" not in read(half).words, "there is none any more, and none to blow"


def test_no_pitch_is_said_so() -> None:
    (pdf,) = sheet(EXTREMES["no pitch"]())
    assert read(pdf).words.count("no pitch") == 3 * 3, "of three notes, twice, and at the end of three steps"


def test_the_same_design_gives_the_same_bytes() -> None:
    design = example("night-heron")
    for form in ("pdf", "svg", "png"):
        assert sheet(design, form=form) == sheet(design, form=form)


def test_each_page_is_a_picture_of_its_own() -> None:
    design, choices = example("night-heron"), PaperChoices(large=True)
    (pdf,) = sheet(design, choices)
    count = len(read(pdf).sizes)
    assert count > 1
    assert len(sheet(design, choices, "svg")) == len(sheet(design, choices, "png")) == count


def test_large_print_is_larger() -> None:
    def height(choices: PaperChoices) -> float:
        (pdf,) = sheet(example("night-heron"), choices)
        return max(box.bottom - box.top for box in read(pdf).boxes if box.text == "440.0")

    assert height(PaperChoices(large=True)) == pytest.approx(1.3 * height(PaperChoices()), rel=0.05)


def test_names_of_notes_are_the_makers() -> None:
    (pdf,) = sheet(example("dust-lark"), PaperChoices(names="german"))
    assert "Des5" in read(pdf).words
    with pytest.raises(EditError, match="no way to call notes"):
        sheet(example("dust-lark"), PaperChoices(names="bird calls"))


def test_a_picture_of_the_makers_own() -> None:
    data = BytesIO()
    Image.new("L", (60, 40), 0).save(data, "PNG")
    design = example("night-heron")
    (plain,) = sheet(design, PaperChoices(maker="Alder bank flutes"))
    (pdf,) = sheet(design, PaperChoices(maker="Alder bank flutes", picture=data.getvalue()))
    assert faults(read(pdf)) == []
    corner = np.s_[int(14 * DOTS) : int(27 * DOTS), int(182 * DOTS) : int(198 * DOTS)]
    assert (pixels(pdf, 0, DOTS)[corner] > 0.9).mean() > 0.5 > (pixels(plain, 0, DOTS)[corner] > 0.9).mean()
    with pytest.raises(EditError, match="picture"):
        sheet(design, PaperChoices(picture=b"\x89PNG but no more"))


def test_no_cut_end_no_sheet_from_it() -> None:
    with pytest.raises(DesignError):
        sheet(example("reed-bunting"), PaperChoices(origin="cut-end"))


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_before_it_was_blown_nobody_is_sent_to_saw_or_to_drill_to_size(name: str) -> None:
    """The tube stays longer by twice the doubt of what the mouth adds, and the bare row is of that."""
    design = example(name)
    text = " ".join(read(sheet(design)[0]).words.split())
    assert "saw here" not in text
    assert "not yet: blow it first" in text
    assert "saw and drill to size by the new sheet only" in text
    step = {"mm": 5e-3, "in": 0.25 * 0.0254}[design.units]
    spare = spare_length(design, design.units)
    doubt = voicing_of(design).uncertainty
    assert 2 * doubt <= spare < 2 * doubt + step
    assert f"{length(design.tube.length + spare, design.units)} long" in text.replace("⁄", "/")


def test_what_the_bare_tube_was_read_at_stands_in_its_box() -> None:
    """The newest reading, at the length that it was blown at; nothing asks to blow it any more."""
    design = example("marsh-wren")
    first = scaledesign.calibrate(design, "G#4 -10", length=0.38).design
    learnt = scaledesign.calibrate(first, "G#4 -14", length=0.378).design
    document = read(sheet(learnt)[0])
    box = next(box for box in document.boxes if box.text == "bare")
    said = line_of(document, box, right_of(document, "Notes to expect"))
    assert said.startswith("bare 378.0 long G♯4")
    assert said.endswith("G♯4 −14")
    text = " ".join(document.words.split())
    assert "saw here" in text
    for words in ("once the bare tube", "Cut the tube", "blow it first"):
        assert words not in text


@pytest.mark.parametrize(
    ("name", "zero", "column", "fact"),
    [("marsh-wren", "the sounding edge", "from edge", "edge to foot"),
     ("dust-lark", "the blown rim", "from rim", "rim to foot"),
     ("night-heron", "the rim with the notch", "from rim", "rim to foot"),
     ("reed-bunting", "the middle of the mouth hole", "from mouth", "mouth hole to foot")],
)  # fmt: skip
def test_where_lengths_begin_is_said_as_this_flute_has_it(
    name: str, zero: str, column: str, fact: str
) -> None:
    text = read(sheet(example(name))[0]).words
    assert f"from {zero}." in text
    assert column in text
    assert fact in text
    listed = hole_list(example(name), known(example(name))[0], units="mm").replace("\n", " ")
    assert f"from {zero} to the middle of each hole" in listed
    assert column in listed


@pytest.mark.parametrize(
    ("names", "words"),
    [("german", "English: B is H, B♭ is B."), ("nordic", "English: B is H, B♭ is B."), ("english", ""),
     ("dutch", ""), ("french", "")],
)  # fmt: skip
def test_names_of_a_tuner_that_could_be_taken_for_the_maker_s_are_told_apart(names: str, words: str) -> None:
    text = " ".join(read(sheet(example("reed-bunting"), PaperChoices(names=names))[0]).words.split())
    assert ("Tuner names" in text) == bool(words)
    assert words in text


def test_the_tuner_is_printed_as_the_rows_are_written() -> None:
    """Sharps for flats, and nothing else on the page is another; readings stand as they were typed."""

    def respelled(text: str) -> str:
        return re.sub(r"[A-G][b♭](?=\d)", lambda note: "GACDF"["ABDEG".index(note[0][0])] + "#", text)

    flats = example("dust-lark")
    rows = tuple(replace(row, measured="bb4 -3" if row.note == "Bb4" else "") for row in flats.rows)
    flats = replace(flats, rows=rows)
    sharps = replace(flats, rows=tuple(replace(row, note=respelled(row.note)) for row in rows))
    prediction, steps = known(example("dust-lark"))
    pages = (sheet_pages(each, prediction, (), steps, PaperChoices(), "pdf")[0] for each in (flats, sharps))
    one, other = (read(page).words for page in pages)
    assert "b♭4 −3" in one
    assert "G♭4" in one, "the bare tube, which no row is written like"
    assert not re.search(r"[A-G][#♯]\d", one)
    assert sorted(respelled(one).split()) == sorted(other.replace("♯", "#").split())


def test_remarks_on_what_cannot_be_met_come_before_all_others() -> None:
    """Where there is no room the last ones are left out; which notes are off is said in any case."""
    design = example("marsh-wren")
    prediction, steps = known(design)
    notes = (
        *(f"Something light, {n}." for n in range(40)),
        "Row 3 (C5) stays 9 cents flat: hole 6 is locked.",
    )
    off = prediction.cents.copy()
    off[2] = -9.0
    crowded = replace(prediction, notes=notes, cents=off)
    (pdf,) = sheet_pages(design, crowded, (), steps, PaperChoices(), "pdf")
    text = " ".join(read(pdf).words.split())
    assert "Row 3 (C5) stays 9 cents flat" in text
    assert "more remarks" in text
    assert "Something light, 39." not in text
    assert "these notes are not met: C5 (−9)." in text
    assert "are not met" not in read(sheet(design)[0]).words


def test_a_long_name_is_told_whole_where_there_is_room() -> None:
    name = "Sparrow of the long winter evenings, made for and with Annelore Oberhuber"
    document = read(sheet(replace(example("night-heron"), name=name), PaperChoices(maker="Alder bank"))[0])
    assert name in document.words
    assert faults(document) == []
