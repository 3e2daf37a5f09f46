"""Signs and tones: each says one thing."""

from __future__ import annotations

import pytest

from scaledesign.view.lines import DRAWN, TYPED, Signs, tone_of


@pytest.mark.parametrize("signs", [DRAWN, TYPED], ids=lambda signs: signs.name)
def test_what_was_cut_has_a_sign_of_its_own(signs: Signs) -> None:
    others = [getattr(signs, name) for name in Signs.__dataclass_fields__ if name not in ("name", "dots")]
    assert others.count(signs.ellipsis) == 1
    assert len(signs.ellipsis) == 1


@pytest.mark.parametrize(
    ("cents", "tone"),
    [(0.0, "true"), (5.0, "true"), (-5.0, "true"), (5.1, "sharp"), (-5.1, "flat"), (float("nan"), "true")],
)
def test_the_tone_of_an_error(cents: float, tone: str) -> None:
    assert tone_of(cents, 5.0) == tone
