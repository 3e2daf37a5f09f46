"""The chart for the player."""

from __future__ import annotations

from dataclasses import replace
from math import nan

from scaledesign.model.document import Design
from scaledesign.paper.chart_text import fingering_chart


def test_circles(design: Design) -> None:
    assert fingering_chart(design).splitlines() == [
        "Reed bunting in A4, pentatonic minor",
        "● closed   ○ open   ◐ partly open   mouth to the left",
        "",
        "A4   ●   ● ●",
        "C5   ●   ● ○",
        "C#5  ●   ◐ ○  between",
        "A5   ●   ● ●  blow harder",
    ]


def test_letters_for_a_phone_that_spoils_circles(design: Design) -> None:
    text = fingering_chart(design, ascii_only=True)
    assert text.isascii()
    assert "C#5  X   / o  between" in text


def test_nothing_about_acoustics(design: Design) -> None:
    assert not any(word in fingering_chart(design) for word in ("cents", "Hz", "±", "mm"))


def test_a_fingering_that_sounds_as_another_note_is_not_promised(design: Design) -> None:
    text = fingering_chart(design, (0.0, 70.0, -51.0, 12.0))
    assert "C#5 " not in text
    assert "◐" not in text
    assert text.endswith("\n\nLeft out, because it would not sound as its note: C#5.")
    assert "C5  ●   ● ○" in text  # of the scale: the maker has to mend it, not the chart


def test_a_fingering_that_cannot_sound_is_not_promised(design: Design) -> None:
    text = fingering_chart(design, (nan, 0.0, nan, 12.0))
    assert "A4  ●   ● ●" in text
    assert text.endswith("its note: C#5.")


def test_also_is_said_of_a_second_way_only(design: Design) -> None:
    rows = (*design.rows, replace(design.rows[3], note="C6"), replace(design.rows[2], role="alternate"))
    last = fingering_chart(replace(design, rows=rows)).splitlines()[-3:]
    assert [line.partition("  ●   ")[2][5:] for line in last] == ["blow harder", "blow harder", "also"]


def test_no_half_hole_no_sign_for_it(design: Design) -> None:
    plain = replace(design, rows=design.rows[:2])
    assert "half" not in fingering_chart(plain)
