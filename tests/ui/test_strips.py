"""What a terminal is sent of a line: as few codes as look the same, and only the part that changed."""

from __future__ import annotations

import pytest
from rich.segment import Segment

from scaledesign.ui.look import LOOKS, Ground, Look
from scaledesign.ui.strips import lean, part_changed
from scaledesign.view.lines import Tone

PIECES: tuple[tuple[str, Tone, Ground], ...] = (
    (" 1 ", "faint", "page"), ("", "wrong", "page"), ("A4", "plain", "page"), ("   ", "faint", "page"),
    (" ", "plain", "page"), ("+5", "plain", "page"), (" ", "sharp", "page"), ("441", "moved", "page"),
    ("  ", "plain", "page"), ("  ", "plain", "range"), ("x", "plain", "range"), (" ", "plain", "cursor"),
)  # fmt: skip


def seen(segments: list[Segment]) -> list[object]:
    """What a reader sees of every cell: a blank has no colour but what is behind it."""
    cells: list[object] = []
    for text, style, _ in segments:
        assert style is not None
        for sign in text:
            blank = sign == " " and not style.underline and not style.reverse
            cells.append((sign, style.bgcolor if blank else style))
    return cells


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_a_lean_line_looks_the_same_and_has_fewer_codes(look: Look) -> None:
    line = [Segment(text, look.style(tone, ground)) for text, tone, ground in PIECES]
    found = lean(line)
    assert seen(found) == seen(line)
    assert len(found) < len(line) - 3
    assert lean(found) == found


def test_only_what_lies_between_the_first_and_the_last_change_is_sent() -> None:
    old = [("  1 A4 ", "plain"), ("+5", "sharp"), (" ○ ○", "plain")]
    assert part_changed(old, old) is None
    assert part_changed(old, [("  1 A4 +", "plain"), ("5", "sharp"), (" ○ ○", "plain")]) == (7, 8)
    assert part_changed(old, [("  1 A4 ", "plain"), ("+6", "sharp"), (" ○ ●", "plain")]) == (8, 13)
    assert part_changed(old, [("  1 A4 ", "plain"), ("+5", "flat"), (" ○ ○ ●", "plain")]) == (7, 15)
    assert part_changed(old, old[:2]) == (9, 13)


def test_a_line_with_wide_signs_is_sent_whole() -> None:
    part = part_changed([("笛 a", "plain")], [("笛 b", "plain")])
    assert part is not None
    assert part[0] == 0
    assert part[1] >= 4
