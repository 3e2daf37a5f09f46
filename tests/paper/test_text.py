"""Setting text in lines."""

from __future__ import annotations

import pytest

from scaledesign.paper.text import WIDTH, bullets, paragraph


@pytest.mark.parametrize("held", ["16 61/64 in", "357.8 mm", "17 cents", "± 9.6 mm", "438.9 Hz"])
@pytest.mark.parametrize("before", range(WIDTH - 25, WIDTH))
def test_no_line_ends_inside_a_number_and_its_unit(held: str, before: int) -> None:
    text = f"{'x' * before} {held} and so on"
    lines = paragraph(text).splitlines()
    assert any(held in line for line in lines)
    assert max(map(len, lines)) <= WIDTH
    assert " ".join(lines) == text
    assert any(held in line for line in bullets([text]).splitlines())
