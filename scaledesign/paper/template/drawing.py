"""The drilling template as a drawing: the whole strip at true size in one DXF, for machines.

Apart from the sheets because a drawing has no paper, so no joints and no bars to measure. Millimetres, x to
the foot, the front line at y = 0, y upwards. Layers: ``holes`` outlines as a bit cuts them from the outside,
``centres`` a point and a cross in each, ``lines`` edges, rings, front and back line, window, ``text``.

ezdxf, the extra ``[dxf]``, is imported here alone. It would stamp the drawing with the time of day and a
random number; it has an option that leaves both out.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import TYPE_CHECKING

from scaledesign.errors import EditError
from scaledesign.locations import install
from scaledesign.model.document import Design
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.template.ink import LAYERS, Layer, Words, height_of
from scaledesign.paper.template.marks import marks_of
from scaledesign.paper.template.strip import strip_of

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

COLOURS: dict[Layer, int] = {"holes": 1, "centres": 5, "lines": 8, "text": 7}
"""Number of each layer's colour in a DXF: red, blue, grey, black on white."""
_MILLIMETRES = 4


def template_dxf(design: Design, choices: PaperChoices) -> bytes:
    """The strip as a DXF, release 2010, in millimetres.

    Raises
    ------
    EditError
        when ezdxf is not installed, a hole is wider than the tube, or the holes leave no seam.
    DesignError
        when measured from a cut end that the design does not state.
    """
    strip = strip_of(design)
    marks = marks_of(design, strip, choices)
    try:
        from ezdxf.filemanagement import new
    except ImportError:
        raise EditError("a DXF needs ezdxf, which is not installed", install("dxf")) from None
    with _the_same_each_time():
        drawing = new("R2010", units=_MILLIMETRES)
        for layer, colour in COLOURS.items():
            drawing.layers.add(layer, color=colour)
        space = drawing.modelspace()
        for stroke in marks.strokes:
            points = [_point(u, v) for u, v in stroke.points]
            space.add_lwpolyline(points, close=stroke.closed, dxfattribs={"layer": LAYERS[stroke.look]})
        for opening in strip.openings:
            if opening.hole is not None:
                u, v = opening.middle
                space.add_point(_point(u * 1e3, v * 1e3), dxfattribs={"layer": "centres"})
        for words in marks.words:
            _write(space, words)
        # Written as they are found they would stand in another order in every process.
        drawing.classes.add_required_classes(drawing.dxfversion)
        classes = drawing.classes.classes
        for key in sorted(classes):
            classes[key] = classes.pop(key)
        text = StringIO()
        drawing.write(text)
    return text.getvalue().encode("utf-8")


def _point(u: float, v: float) -> tuple[float, float]:
    """x and y, to a ten-thousandth of a millimetre."""
    return round(u, 4), round(-v, 4) + 0.0


def _write(space: Modelspace, words: Words) -> None:
    from ezdxf.enums import TextEntityAlignment

    space.add_text(
        _plain(words.text).replace("⌀", "%%c").replace("°", "%%d"),
        height=height_of(words.face, words.size),
        rotation=90.0 if words.turned else 0.0,
        dxfattribs={"layer": "text"},
    ).set_placement(_point(words.u, words.v), align=TextEntityAlignment.MIDDLE_CENTER)


def _plain(text: str) -> str:
    """Words in which nothing is a code of a DXF's own: underlining, a tab, a sign by its number."""
    coded = text.replace("%", "%%%") if "%%" in text else text
    return coded.replace("^", "^ ").replace("\\U+", "\\U +")


@contextmanager
def _the_same_each_time() -> Iterator[None]:
    """While this lasts, drawings carry neither the time of day nor a random number."""
    from ezdxf import options  # type: ignore[attr-defined]  # its types leave it out

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
