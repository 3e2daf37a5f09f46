"""The DXF and the SVG read back: the same curves at the same places; the same bytes each time."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from dataclasses import replace
from io import StringIO
from math import asin

import numpy as np
import pytest

from scaledesign.errors import EditError
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.drawing import template_dxf
from scaledesign.paper.template.page import plan_of, template_pages
from scaledesign.paper.template.strip import strip_of
from tests.paper.template.flutes import example, odd

ezdxf = pytest.importorskip("ezdxf")


def test_the_drawing_has_each_hole_at_true_size() -> None:
    design = example("marsh-wren")
    drawing = ezdxf.read(StringIO(template_dxf(design, PaperChoices()).decode("utf-8")))
    assert not drawing.audit().errors
    assert drawing.units == 4  # millimetres
    space = drawing.modelspace()
    assert {entity.dxf.layer for entity in space} == {"holes", "centres", "lines", "text"}
    outlines = [np.array(each.get_points("xy")) for each in space.query('LWPOLYLINE[layer=="holes"]')]
    centres = sorted((each.dxf.location.x, each.dxf.location.y) for each in space.query("POINT"))
    assert len(outlines) == len(centres) == len(design.holes)
    for hole, outline, centre in zip(
        design.holes, sorted(outlines, key=lambda each: each[0, 0]), centres, strict=True
    ):
        assert centre == pytest.approx((hole.at * 1e3, 0.0), abs=1e-3)
        low, high = outline.min(axis=0), outline.max(axis=0)
        assert (low + high) / 2 == pytest.approx(centre, abs=1e-3)
        assert high - low == pytest.approx(
            (hole.diameter * 1e3, 2 * 11.8 * asin(hole.diameter * 500 / 11.75)), abs=2e-3
        )


def test_the_drawing_shows_the_back_above_or_below_as_the_paper_does() -> None:
    """y upwards where the paper's v runs down: a hole turned clockwise seen from the mouth lies below."""
    design = odd()
    space = ezdxf.read(StringIO(template_dxf(design, PaperChoices()).decode("utf-8"))).modelspace()
    ys = {round(each.dxf.location.x): each.dxf.location.y for each in space.query("POINT")}
    assert ys[312] < -5 < 0 < 2 < ys[245]
    turned = [each for each in space.query("TEXT") if each.dxf.text == "foot"]
    assert turned[0].dxf.rotation == 90


def test_a_name_is_no_code_of_the_drawings() -> None:
    name = "9%%u ^I \\U+0041 5% b°"
    drawing = template_dxf(replace(example("grey-heron"), name=name), PaperChoices()).decode("utf-8")
    said = [each.plain_text() for each in ezdxf.read(StringIO(drawing)).modelspace().query("TEXT")]
    assert name.replace("U+", "U +") in said


def test_without_ezdxf_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in sys.modules if name.split(".")[0] == "ezdxf"]:
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(EditError, match=r"needs ezdxf, .*; in the folder you cloned: .*pip install.*\[dxf\]"):
        template_dxf(example("marsh-wren"), PaperChoices())


def test_an_svg_page_has_the_holes_of_its_piece_where_they_belong() -> None:
    """By the numbers in the file, each hole a closed path of the heaviest line."""
    design, choices = example("night-heron"), PaperChoices()
    plan = plan_of(design, strip_of(design), choices)
    found = []
    for number, page in enumerate(template_pages(design, choices, "svg")):
        text = page.decode("utf-8")
        assert 'width="595.275' in text  # a sheet of A4 in points
        for path in re.finditer(r'<path[^>]*stroke-width="0\.8503937\d*"[^>]*>', text):
            points = drawn(path[0])
            if points is not None and len(points) > 40:
                found.append((number, (points.min(axis=0) + points.max(axis=0)) / 2, np.ptp(points, axis=0)))
    assert len(found) == len(design.holes)
    strip = strip_of(design)
    for hole, opening in zip(design.holes, strip.openings, strict=True):
        u, v = (side * 1e3 for side in opening.middle)
        (placed,) = (
            each for each in plan.placed if (each.piece.before or -99) < u < (each.piece.after or 9e9)
        )
        (size,) = (
            size
            for number, middle, size in found
            if number == placed.sheet and np.hypot(*(middle - placed.at((u, v)))) < 0.005
        )
        assert size == pytest.approx(
            (hole.diameter * 1e3, 2 * 14.05 * asin(hole.diameter * 500 / 14)), abs=0.005
        )


def drawn(path: str) -> np.ndarray | None:
    """Corners of a path made of straight lines, mm; None of any other."""
    shift = re.search(r'transform="translate\(([-\d.]+) ([-\d.]+)\)"', path)
    steps = re.search(r' d="([^"]*)"', path)
    assert steps is not None
    at = np.zeros(2)
    points = []
    for step, numbers in re.findall(r"([MmLlHhVvZzCc])([-\d.eE ,]*)", steps[1]):
        values = [float(each) for each in re.findall(r"-?[\d.]+(?:e-?\d+)?", numbers)]
        if step in "Zz":
            continue
        if step in "Cc":
            return None
        if step in "Mm":
            points.clear()
        if step in "Hh":
            at = np.array([values[0] + (at[0] if step == "h" else 0), at[1]])
        elif step in "Vv":
            at = np.array([at[0], values[0] + (at[1] if step == "v" else 0)])
        else:
            at = np.array(values) + (at if step.islower() else 0)
        points.append(at)
    moved = np.array(points) + (np.array([float(shift[1]), float(shift[2])]) if shift else 0)
    return np.asarray(moved / 72 * 25.4)


def test_the_same_bytes_each_time_in_another_process_too() -> None:
    code = """
import hashlib
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.drawing import template_dxf
from tests.paper.template.flutes import example
print(hashlib.sha256(template_dxf(example("dust-lark"), PaperChoices())).hexdigest())
"""
    pages = """
from scaledesign.paper.template.page import template_pages
print(hashlib.sha256(template_pages(example("dust-lark"), PaperChoices(), "pdf")[0]).hexdigest())
"""
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", source],
            stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONHASHSEED": seed},
        )
        for seed, source in (("1", code), ("4", code + pages))  # the DXF's own sets differed in these
    ]  # fmt: skip
    said = [run.communicate()[0].split() for run in runs]
    assert [run.returncode for run in runs] == [0, 0]
    design, choices = example("dust-lark"), PaperChoices()
    here = (template_dxf(design, choices), *template_pages(design, choices, "pdf"))
    drawing, page = (hashlib.sha256(each).hexdigest() for each in here)
    assert said == [[drawing], [drawing, page]]
