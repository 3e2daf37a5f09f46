"""Signs that an old terminal cannot show, spelled out instead of spoiled.

Apart because it concerns streams, not texts: lists are written with ±, ° and × and nothing else knows
what becomes of them.
"""

from __future__ import annotations

import codecs
from typing import TextIO

SPELLED = {"±": "+/-", "−": "-", "×": "x", "°": "deg", "’": "'", "…": "..."}
"""What stands for a sign where the encoding lacks it; every other sign becomes a question mark."""
_HANDLER = "scaledesign-spelled"


def spell_out(stream: TextIO) -> None:
    """Let ``stream`` spell out what its encoding cannot show."""
    codecs.register_error(_HANDLER, _spelled)
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors=_HANDLER)


def can_show(stream: TextIO, text: str) -> bool:
    """Whether ``stream`` has all the signs of ``text``."""
    try:
        text.encode(stream.encoding or "utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _spelled(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    wrong = error.object[error.start : error.end]
    return "".join(SPELLED.get(sign, "?") for sign in wrong), error.end
