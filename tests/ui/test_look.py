"""Every tone can be read on every ground; hues and the measure of contrast are published ones."""

from __future__ import annotations

import pytest

from scaledesign.ui.look import DAY, NIGHT, Look


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
    """4.5 to 1 for text (success criterion 1.4.3) on page and head; 3 to 1 for the tube and for ranges."""
    for (tone, ground), style in look.styles.items():
        assert style.color is not None
        assert style.bgcolor is not None
        ratio = contrast(style.color.name, style.bgcolor.name)
        least = 4.5 if ground in ("page", "head", "cursor") and tone not in ("wood", "finger") else 3.0
        assert ratio >= least, (tone, ground, round(ratio, 2))
