"""Small things that every sentence needs: how many of something, how it begins, which ones, which hole.

Apart so that all parts say them alike. English only, and no numbers with a unit (``units.py``).
"""

from __future__ import annotations

from collections.abc import Sequence

ROLE_WORDS = {"scale": "scale", "chromatic": "between", "alternate": "other"}
"""What a row is for, by the file's word: a note of the scale, one between these, another fingering."""


def counted(count: int, what: str, none: str = "0") -> str:
    """``"1 row"``, ``"3 rows"``; ``none`` stands for no number."""
    return f"{count} {what}" if count == 1 else f"{count or none} {what}s"


def begun(words: str) -> str:
    """The same with a capital at the beginning."""
    return words[:1].upper() + words[1:]


def listed(things: Sequence[object]) -> str:
    """``"a"``, ``"a and b"``, ``"a, b and c"``; '' for none."""
    words = [str(thing) for thing in things]
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else "".join(words)


def hole_words(hole: int, finger: str) -> str:
    """A hole (0-based) by its number and its finger: ``"hole 6 (R3)"``, ``"hole 7"`` where none covers it."""
    return f"hole {hole + 1}" + ("" if finger == "none" else f" ({finger})")
