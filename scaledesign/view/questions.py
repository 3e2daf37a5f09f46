"""A question as a dialog shows it: words, answer, choices, help, and what is wrong with the answer.

Apart because every dialog asks in the same way. An answer stays as it was typed, however wrong; nothing here
knows what is asked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Self, cast

from scaledesign.errors import ScaledesignError
from scaledesign.values import dataclass


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer to choose, and a line that tells it from the others."""

    answer: str
    words: str = ""
    kind: str = ""
    """What it is listed among."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question and how it stands."""

    name: str
    words: str
    answer: str
    """As typed; blank while nothing is."""
    usual: str = ""
    """What counts while nothing is typed; '' where only the maker can know."""
    help: str = ""
    choices: tuple[Choice, ...] = ()
    """Empty where anything may be typed."""
    note: str = ""
    """A word beside the answer: why it is usual, or what follows from it."""
    problem: str = ""
    """One sentence, '' when the answer will do or there is none yet."""
    asked: bool = True
    """False: after the other answers it does not matter, and is not shown."""

    @property
    def taken(self) -> str:
        """The answer that counts: as typed, else the usual one."""
        return self.answer.strip() or self.usual


class Answers:
    """The answers of a dialog, a field each as typed; what is a frozen dataclass of them begins with this.

    A text field is an answer, and has its question's name; what else there is to know are other fields.
    """

    def answered(self, name: str, text: str) -> Self:
        """The same with one answer typed; '' goes back to the usual one.

        Raises
        ------
        KeyError
            when there is no such answer.
        """
        if not isinstance(getattr(self, name, None), str):
            raise KeyError(name)
        changed: Self = replace(cast("Any", self), **{name: text})
        return changed


def problem_with(check: Callable[[str], object], text: str) -> str:
    """What ``check`` says against an answer, '' when nothing; a blank one is not checked."""
    if not text.strip():
        return ""
    try:
        check(text)
    except ScaledesignError as error:
        return str(error)
    return ""
