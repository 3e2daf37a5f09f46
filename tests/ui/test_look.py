"""Every tone can be read on every ground; hues and the measure of contrast are published ones."""

from __future__ import annotations

import pytest

from scaledesign.ui.look import DAY, NIGHT, PLAIN, Look
from scaledesign.view.lines import Tone


def luminance(colour: str) -> float:
    """Relative luminance: W3C 2023, Web Content Accessibility Guidelines 2.2, definition of the term."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, same source."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("look", [NIGHT, DAY], ids=lambda look: look.name)
def test_text_can_be_read(look: Look) -> None:
    """4.5 to 1 for text (success criterion 1.4.3), 3 to 1 for the tube (1.4.11), on every ground."""
    for (tone, ground), style in look.styles.items():
        assert style.color is not None
        assert style.bgcolor is not None
        ratio = contrast(style.color.name, style.bgcolor.name)
        assert ratio >= (3.0 if tone == "wood" else 4.5), (tone, ground, round(ratio, 2))


@pytest.mark.parametrize("look", [NIGHT, DAY, PLAIN], ids=lambda look: look.name)
def test_what_moved_shows_without_colour(look: Look) -> None:
    usual: tuple[Tone, ...] = ("plain", "finger", "label", "strong", "wood")
    assert look.style("moved").without_color not in [look.style(tone).without_color for tone in usual]
