"""A few questions that lead to one thing: what is asked, what the answers come to, what is made of them.

Plain data for the dialog that asks (``ui/question_screen.py``), which knows no question; apart from the
question itself (``questions.py``), which knows nothing of the others.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, Protocol, Self, TypeVar

from scaledesign.values import dataclass
from scaledesign.view.lines import Line
from scaledesign.view.questions import Question


class Asked(Protocol):
    """Answers as typed."""

    def answered(self, name: str, text: str) -> Self:
        """The same with one more answer."""
        ...


A = TypeVar("A", bound=Asked)
T = TypeVar("T")


@dataclass(frozen=True)
class Asking(Generic[A, T]):
    """What to ask and what to do with the answers."""

    title: str
    questions: Callable[[A], tuple[Question, ...]]
    tail: Callable[[A, int], tuple[Line, ...]]
    """What the answers come to, at a width: shown beneath at once."""
    ready: Callable[[A], bool]
    finish: Callable[[A], T]
    """Run in the background when the last needed answer is taken."""
    verb: str
    """What the last Enter does."""
    needed: int
    """How many of the questions lead to the end; the rest may be left."""
    besides: Callable[[A, int], tuple[Line, ...]] = lambda answers, width: ()
    """What is good to know, at a width: shown beneath as far as there is room."""
    to_mend: Callable[[A], str] = lambda answers: ""
    """The question whose answer stands in the way of all of them together, '' where none does."""
