"""Paper of a flute whose tube is cut and whose holes are drilled shows it as it is: nobody is sent to saw."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import scaledesign
from scaledesign.model.document import Design, LogEntry
from scaledesign.model.widths import foot_is_cut, length_there
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.sheet.body import frame_of
from scaledesign.paper.template.page import laid
from scaledesign.paper.template.strip import strip_of
from tests.paper.sheet.flutes import example, sheet
from tests.paper.sheet.reading import faults, read

WHEN = datetime(2026, 3, 1, 10, 0)
NEED = "told step by step at the bench"


def in_hand(*, long: float = 0.0, drilled: bool = True) -> Design:
    """A blown flute with its holes, sawn ``long`` m longer than it is to become; its raw tube was longer."""
    wren = scaledesign.calibrate(example("marsh-wren"), "G#4 -10", length=0.38).design
    return replace(
        wren,
        tube=replace(wren.tube, blank=0.43),
        holes=tuple(replace(hole, drilled=drilled) for hole in wren.holes),
        log=(*wren.log, LogEntry(WHEN, "cut", length=round(wren.tube.length + long, 7))),
    )


def sheet_words(design: Design) -> str:
    document = read(sheet(design)[0])
    assert faults(document) == []
    return " ".join(document.words.split())


def template_words(design: Design) -> list[str]:
    _, marks = laid(design, strip_of(design), PaperChoices())
    return [words.text for words in marks.words]


def test_a_finished_flute_is_drawn_cut() -> None:
    done = in_hand()
    said = sheet_words(done)
    for wrong in ("saw here", "raw tube", "430", "tube now"):
        assert wrong not in said, wrong
    assert "open, cut" in said
    frame = frame_of(done, 180.0)
    assert frame.right - frame.x(done.tube.length) < 1e-6, "nothing is drawn beyond the foot"
    assert "foot" in template_words(done)
    assert not any("cut here" in words for words in template_words(done))


def test_what_is_still_too_long_is_drawn_as_long_as_it_is_now() -> None:
    rough = in_hand(long=0.012)
    assert not foot_is_cut(rough)
    assert length_there(rough) == round(rough.tube.length + 0.012, 7)
    said = sheet_words(rough)
    assert "saw here" in said
    assert "tube now, from edge" in said
    assert "430" not in said, "so long it was once"
    assert "foot: cut here" in template_words(rough)
    assert not foot_is_cut(in_hand(drilled=False)), "the last of it comes off when the holes are there"


def test_where_all_is_drilled_nobody_is_told_to_solve_before_drilling() -> None:
    done = in_hand()
    off = replace(done, tube=replace(done.tube, length=done.tube.length + 0.004))
    off = replace(off, log=(*off.log, LogEntry(WHEN, "cut", length=off.tube.length)))
    said = sheet_words(off)
    assert f"opened, filled or taken off the foot is {NEED}" in said
    assert "before you drill" not in said.replace("finish the window before you drill", "")
    held = replace(off, tube=replace(off.tube, locked=True))
    assert f"opened or filled is {NEED}" in sheet_words(held)
    begun = replace(off, holes=(replace(off.holes[0], drilled=False), *off.holes[1:]))
    assert "Solve again, or mend their rows, before you drill." in sheet_words(begun)
