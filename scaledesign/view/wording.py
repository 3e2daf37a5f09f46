"""The solver's sentences as the screen says them: without the design file's keys, which nobody sees there."""

from __future__ import annotations

import re

from scaledesign.errors import ScaledesignError

_KEYS = re.compile(r" \((?:tube|shop|voicing|air|tuning|instrument|holes\[\d+\])\.[a-z_]+\)")

_KEY = re.compile(r"^[a-z]+(\[\d+\])?\.[a-z_.\[\]0-9]+ = ")


def plain(sentence: str) -> str:
    """A sentence without keys such as ``(tube.locked)``."""
    return _KEYS.sub("", sentence)


def sentence(fault: ScaledesignError) -> str:
    """An error as a sentence; the cell says where, so the key of a file does not."""
    text = _KEY.sub("", " ".join(str(fault).split()))
    return text if text.endswith((".", "?")) else f"{text}."
