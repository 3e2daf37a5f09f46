"""Values that stand in for those a flute cannot be without and that could not be read.

Apart from ``document_recover.py``, which puts them in and says so. None of them is a maker's number: each is
only near enough that the rest can be looked at. A hole goes between those beside it and is as wide as the
others; a finger is the first that is free, so that the letters of every fingering still fit; the tube is as
long as its blank, or reaches past the last hole.
"""

from __future__ import annotations

import math
from statistics import median
from typing import get_args

from scaledesign.files.document_kinds import write_length
from scaledesign.files.document_values import Style, toml_string
from scaledesign.files.toml_outline import Path
from scaledesign.model.document import Design, Finger

TUBE = {"length": 0.4, "bore": 0.016, "wall": 0.003}
"""Metres that stand in where nothing better is known."""
_SHARE_OF_BORE = 0.4
"""Diameter of a hole where no other can be read."""


def stand_in(design: Design, path: Path, wrong: set[Path]) -> str | None:
    """TOML text of a value for the key at ``path``, None where the key may be left out.

    Parameters
    ----------
    design : what could be read, NaN where nothing could
    path : names and 0-based indices of the key
    wrong : paths of all that is wrong, which nothing is taken from
    """
    if path[0] == "tube" and path[1:2] and path[1] in TUBE:
        return _text(design, _of_tube(design, str(path[1]), wrong))
    if path[0] != "holes" or len(path) < 3:
        return None
    index = int(path[1])
    if path[2] == "at":
        return _text(design, _place(design, index, wrong))
    if path[2] == "diameter":
        return _text(design, _diameter(design, wrong))
    if path[2] == "finger":
        taken = {hole.finger for i, hole in enumerate(design.holes) if i != index}
        return toml_string(next((finger for finger in get_args(Finger) if finger not in taken), "none"))
    return None


def _text(design: Design, metres: float) -> str:
    return write_length(round(metres, 4), Style(design.units), "")


def _of_tube(design: Design, key: str, wrong: set[Path]) -> float:
    if key != "length":
        return TUBE[key]
    if design.tube.blank is not None and math.isfinite(design.tube.blank):
        return design.tube.blank
    places = (hole.at for i, hole in enumerate(design.holes) if ("holes", i, "at") not in wrong)
    return 1.2 * max((at for at in places if math.isfinite(at)), default=TUBE["length"] / 1.2)


def _diameter(design: Design, wrong: set[Path]) -> float:
    """As wide as half of the others."""
    bad = {path[:2] for path in wrong}
    sizes = [hole.diameter for i, hole in enumerate(design.holes) if ("holes", i) not in bad]
    sizes = [size for size in sizes if math.isfinite(size)]
    return median(sizes) if sizes else _SHARE_OF_BORE * TUBE["bore"]


def _place(design: Design, index: int, wrong: set[Path]) -> float:
    """Between the holes beside it; beyond the last, a third of what is left of the tube."""
    length = design.tube.length if math.isfinite(design.tube.length) else TUBE["length"]
    places = [
        (i, hole.at)
        for i, hole in enumerate(design.holes)
        if i != index and ("holes", i, "at") not in wrong and 0 < hole.at < length
    ]
    before = max((at for i, at in places if i < index), default=None)
    after = min((at for i, at in places if i > index), default=None)
    if before is not None and after is not None and before < after:
        return (before + after) / 2
    if before is not None:
        return before + (length - before) / 3
    return after * 0.8 if after is not None else length / 2
