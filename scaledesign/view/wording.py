"""The solver's sentences as the screen says them: without the design file's keys, which nobody sees there."""

from __future__ import annotations

import re

_KEYS = re.compile(r" \((?:tube|shop|voicing|air|tuning|instrument|holes\[\d+\])\.[a-z_]+\)")


def plain(sentence: str) -> str:
    """A sentence without keys such as ``(tube.locked)``."""
    return _KEYS.sub("", sentence)
