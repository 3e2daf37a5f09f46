"""new: from the tube in the maker's hand to a first design.

Apart because it alone asks questions. What is given on the command line is not asked; what has a usual
answer offers it; a wrong answer is asked again, a wrong option ends the command.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import cast

import scaledesign
from scaledesign.cli.exit_codes import USAGE
from scaledesign.cli.files import output_path, shown_name
from scaledesign.cli.parser import MOUTHS
from scaledesign.cli.show import show_solution
from scaledesign.errors import ScaledesignError, UnknownNameError
from scaledesign.extend.registry import catalogue
from scaledesign.model.bits import NAMES as BITS
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Mouth, Units
from scaledesign.model.hands import NAMES as HANDS
from scaledesign.model.hands import hand
from scaledesign.model.pitch import parse_note
from scaledesign.model.units import parse_length

USUAL_BITS: dict[Units, str] = {"mm": "metric 0.5", "in": "inch 1/64"}
USUAL_SYSTEM = "six-hole pentatonic"
EXAMPLE_TUBE: dict[Units, tuple[str, str]] = {"mm": ("16", "3"), "in": ("5/8", "1/8")}


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to know about the flute."""

    name: str
    """Of the option that answers it."""
    words: str
    usual: str | None
    """The usual answer; None where only the maker can know."""
    check: Callable[[str], object]
    """Raises ScaledesignError at an answer that cannot be used."""


def new(args: argparse.Namespace) -> int:
    """Lay out a flute, solve it, write it and print its hole list."""
    output = output_path(args)
    needed = [name for name in ("bore", "wall", "key") if getattr(args, name) is None]
    if needed and not sys.stdin.isatty():
        options = ", ".join(f"--{name}" for name in needed)
        print(f"scaledesign new: {options} must be given; see scaledesign new --help.", file=sys.stderr)
        return USAGE
    ask = bool(needed)
    units = cast("Units", _answer(args, UNITS, ask))
    answers: dict[str, str] = {}
    for question in questions(units, args.scale, answers):
        answers[question.name] = _answer(args, question, ask)
    wanted = scaledesign.Wanted(
        bore=parse_length(answers["bore"], units),
        wall=parse_length(answers["wall"], units),
        length=parse_length(answers["length"], units) if answers["length"] else None,
        key=answers["key"],
        scale=answers["scale"],
        system=answers["system"],
        mouth=cast("Mouth", answers["mouth"]),
        hand=answers["hand"],
        bits=answers["bits"],
        material=answers["material"],
        name=answers["name"],
        units=units,
    )
    solution = scaledesign.new_design(wanted)
    if output:
        scaledesign.save(solution.design, output)
    return show_solution(args, solution, shown_name(args, output))


def _one_of(kind: str, known: tuple[str, ...]) -> Callable[[str], object]:
    def check(text: str) -> None:
        if text not in known:
            raise UnknownNameError(kind, text, known)

    return check


UNITS = Question("units", "Units, mm or in", "mm", _one_of("unit", ("mm", "in")))


def questions(units: Units, scale: str | None, answers: dict[str, str]) -> Iterator[Question]:
    """What is to be known, in the order a maker knows it.

    Each is made when the ones before are in ``answers``: the usual system is one that plays the ``scale``
    given as an option, the usual scale is the one that the system is at home in.
    """
    found = catalogue()
    bore, wall = EXAMPLE_TUBE[units]

    def a_length(text: str) -> object:
        return parse_length(text, units)

    def a_length_or_nothing(text: str) -> object:
        return text and parse_length(text, units)

    yield Question("bore", f"Inside diameter of the tube in {units}, such as {bore}", None, a_length)
    yield Question("wall", f"Thickness of its wall in {units}, such as {wall}", None, a_length)
    yield Question(
        "length", "Longest it may be, sounding edge to foot, if it limits", "", a_length_or_nothing
    )
    yield Question("mouth", f"How it is blown: {', '.join(MOUTHS)}", "duct", _one_of("mouth", MOUTHS))
    yield Question("key", "Lowest note, all holes closed, such as A4 or F#4", None, parse_note)
    fitting = found.systems_for(found.scale(scale)) if scale else ()
    system = fitting[0] if fitting and USUAL_SYSTEM not in fitting else USUAL_SYSTEM
    yield Question("system", "Fingering (scaledesign systems lists them)", system, found.system)
    home = found.system(answers["system"]).home
    yield Question("scale", "Scale (scaledesign scales lists them)", home, found.scale)
    yield Question("hand", f"Hand: {', '.join(HANDS)}", "medium", hand)
    yield Question("bits", f"Your bits: {', '.join(BITS)}", USUAL_BITS[units], bit_set)
    yield Question("material", "What it is made of, for the cautions", "", str)
    yield Question("name", "What you call it", "", str)


def _answer(args: argparse.Namespace, question: Question, ask: bool) -> str:
    """The option if it was given, else what the maker answers, else the usual."""
    given: str | None = getattr(args, question.name)
    if given is not None:
        question.check(given)
        return given
    usual = question.usual or ""
    while ask:
        print(question.words + (f" [{usual}]" if usual else "") + ": ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise KeyboardInterrupt
        text = line.strip() or usual
        if not text and question.usual is None:
            continue
        try:
            question.check(text)
        except ScaledesignError as error:
            print(error, file=sys.stderr)
        else:
            return text
    return usual
