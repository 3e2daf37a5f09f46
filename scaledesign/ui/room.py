"""What there is room for: which tables and pictures a terminal of some size shows, and how large.

Apart from the screen that lays them out; plain numbers, no widget.
"""

from __future__ import annotations

from collections.abc import Mapping

from scaledesign.values import dataclass
from scaledesign.view.columns import PaneName

WIDE, TALL = 116, 30
"""Cells from which all tables stand side by side."""
LEFT, RIGHT = 104, 37
"""Cells that grid and hole list want at most, and that form and sound want at least."""
LISTENING = 71
"""Cells that are left to the grid, up to its holes, while the sound or the scale has the rest."""
AROUND = 11
"""Lines of title, flute and what is said, beside the grid and the hole list."""

HEAD_AND_SPARE = 2
"""Lines of a table besides its rows."""
PICTURE = 8
"""Lines of each picture beneath the form or the scale."""


@dataclass(frozen=True)
class Room:
    """What is shown, by the name of its widget, and how large."""

    wide: bool
    """All tables stand side by side."""
    shown: Mapping[str, bool]
    left: int | str
    """Width of grid and hole list."""
    holes: int | str
    """Height of the hole list."""


def most_said(height: int) -> int:
    """Lines for what was said and for the verdict, at most, on a terminal of a height."""
    return min(4, max(2, height - 20))


def room(
    size: tuple[int, int],
    pane: PaneName,
    holes: int,
    degrees: int,
    *,
    sounding: bool = False,
    guide: bool = False,
) -> Room:
    """What a terminal has room for.

    Parameters
    ----------
    size : width and height of the terminal in cells
    pane : the pane in use
    holes, degrees : how many holes there are, and lines of the scale
    sounding : a look at the sound is in front
    guide : the walk through a first flute is shown
    """
    width, height = size
    wide = width >= WIDE and height >= TALL
    below = 0  # pictures beneath the scale that leave it its lines
    if wide and pane == "scale":
        below = max(0, height - AROUND - degrees - HEAD_AND_SPARE) // PICTURE
    shown = {
        "guide": guide,
        "rows": wide or (pane == "rows" and not sounding),
        "holes": wide or (pane == "holes" and not sounding),
        "setup": (pane == "setup" or (wide and pane != "scale")) and not sounding,
        "scale": pane == "scale" and not sounding,
        "errors": sounding or (wide and (pane != "scale" or below >= 1)),
        "spectrum": sounding or (wide and (pane != "scale" or below >= 2)),
        "left": wide or (pane in ("rows", "holes") and not sounding),
        "right": wide or pane in ("setup", "scale") or sounding,
    }
    if not wide:
        return Room(wide, shown, "1fr", "1fr")
    left = min(LISTENING if sounding or pane == "scale" else LEFT, width - RIGHT)
    return Room(wide, shown, left, min(holes + 3, (height - AROUND) // 2))
