"""Fingerings as letters: X closed, O open, H partly open.

Apart because files, plug-ins, edits and paper all read or write them; which hole a letter belongs
to is the document's affair.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from scaledesign.errors import QuantityError
from scaledesign.model.document import HoleState

STATES: tuple[HoleState, ...] = ("X", "O", "H")


def parse_fingering(text: str) -> tuple[HoleState, ...]:
    """States from text such as ``"XXX OOO"``; blanks are ignored.

    Raises
    ------
    QuantityError : a letter that is none of X, O and H
    """
    letters = "".join(text.split())
    wrong = next((letter for letter in letters if letter not in STATES), "")
    if wrong:
        raise QuantityError(text, f"{wrong!r} is no fingering letter", _remedy(wrong))
    return cast(tuple[HoleState, ...], tuple(letters))


def format_fingering(states: Sequence[str], fingers: Sequence[str] = ()) -> str:
    """States as text, with a blank where one hand ends and the other begins.

    ``fingers`` are those of the fingered holes, one a state; without them six states are taken as
    three and three.
    """
    if len(fingers) != len(states):
        return " ".join("".join(states[start : start + 3]) for start in range(0, len(states), 3))
    text = ""
    for place, state in enumerate(states):
        if place and fingers[place][0] != fingers[place - 1][0]:
            text += " "
        text += state
    return text


def _remedy(wrong: str) -> str:
    if wrong.upper() in STATES:
        return f"write {wrong.upper()}"
    if wrong == "0":
        return "write the letter O"
    return "write X for closed, O for open, H for partly open"
