"""Pieces of staff for the web page: outlines that several pieces share are put there once.

Apart because an engraved clef is a long outline and every note has one. The pieces come from
``paper/engraving.py``; here their paths become references, and their black becomes the page's own colour.
"""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence

from scaledesign.model.pitch import Note
from scaledesign.paper.engraving import Frame, frame_of, staff_svg

ALONE = 9.0
"""Width of a piece with one note, staff spaces."""
PAIR = 12.5
"""Width of a piece with two."""
LONG = 60
"""Characters from which an outline is worth sharing."""


def frames(groups: Sequence[Sequence[Note]]) -> tuple[Frame, ...]:
    """A frame for each group of notes: all have one clef, and no group has room for another's notes."""
    whole = frame_of([note for group in groups for note in group])
    own = (frame_of(group) for group in groups)
    return tuple(frame if frame.clef == whole.clef else whole for frame in own)


class Staves:
    """The pieces of one page; ``shared`` is to stand in the page's ``defs``."""

    def __init__(self) -> None:
        self._names: dict[str, str] = {}

    @property
    def shared(self) -> str:
        """The outlines, in the order in which they were first met."""
        return "".join(f'<path id="{name}" d="{outline}"/>' for outline, name in self._names.items())

    def piece(self, notes: Sequence[Note], frame: Frame) -> str:
        """One piece, with its clef."""
        drawn = staff_svg(notes, frame, width=ALONE if len(notes) < 2 else PAIR)
        root = ElementTree.fromstring(drawn.decode())
        parts = "".join(self._part(path) for path in root)
        return (
            f'<svg class="staff" viewBox="{root.get("viewBox")}" fill="currentColor" aria-hidden="true">'
            f"{parts}</svg>"
        )

    def _part(self, path: ElementTree.Element) -> str:
        given = dict(path.items())
        outline = given.pop("d")
        for key in ("fill", "stroke"):
            if given.get(key) == "#000":
                given[key] = "currentColor"
        if len(outline) < LONG:
            return f'<path{_written(given)} d="{outline}"/>'
        name = self._names.setdefault(outline, f"g{len(self._names) + 1}")
        return f'<use href="#{name}"{_written(given)}/>'


def _written(given: dict[str, str]) -> str:
    return "".join(f' {key}="{value}"' for key, value in given.items())
