"""new: from the tube in the maker's hand to a first design.

Apart because it alone asks questions. What is given on the command line is not asked; what has a usual
answer offers it; "?" lists the choices; a wrong answer is asked again, a wrong option ends the command.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import cast

import scaledesign
from scaledesign.cli.exit_codes import USAGE
from scaledesign.cli.files import output_path
from scaledesign.cli.parser import MOUTHS
from scaledesign.cli.show import show_solution
from scaledesign.cli.tube import tube_length, tube_words, unit_system
from scaledesign.errors import EditError, ScaledesignError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.model.bits import NAMES as BITS
from scaledesign.model.bits import bit_set
from scaledesign.model.document import Mouth, Units
from scaledesign.model.hands import NAMES as HANDS
from scaledesign.model.hands import hand
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Scale
from scaledesign.paper.text import bullets

USUAL_BITS: dict[Units, str] = {"mm": "metric 0.5", "in": "inch 1/64"}
USUAL_SYSTEM = "six-hole pentatonic"
EXAMPLE_TUBE: dict[Units | None, str] = {None: "5/8 in x 1/8 in", "mm": "16 x 3", "in": "5/8 x 1/8"}


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
    choices: tuple[str, ...] = ()
    """What "?" lists."""


def new(args: argparse.Namespace) -> int:
    """Lay out a flute, solve it, write it and print its hole list."""
    output = output_path(args)
    parts = [part for part in ("bore", "wall", "length") if getattr(args, part) is not None]
    if args.tube is not None and parts:
        print(f"scaledesign new: --tube already says the {parts[0]}; leave one out.", file=sys.stderr)
        return USAGE
    missing = _missing(args)
    if missing and not sys.stdin.isatty():
        print(
            f"scaledesign new: {', '.join(missing)} must be given; see scaledesign new --help.",
            file=sys.stderr,
        )
        return USAGE
    ask = bool(missing)
    units, bore, wall, length = _tube(args, ask)
    answers: dict[str, str] = {}
    for question in questions(catalogue(), units, args, answers):
        answers[question.name] = _answer(args, question, ask)
    solution = scaledesign.new_design(
        scaledesign.Wanted(
            bore=bore,
            wall=wall,
            length=length,
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
    )
    return show_solution(args, solution, output)


def _missing(args: argparse.Namespace) -> list[str]:
    """Options without which there is something to ask."""
    tube = [f"--{part}" for part in ("bore", "wall") if getattr(args, part) is None]
    if args.tube is not None:
        tube = []
    elif len(tube) == 2 and args.length is None:
        tube = ["--tube"]
    return tube + (["--key"] if args.key is None else [])


def _tube(args: argparse.Namespace, ask: bool) -> tuple[Units, float, float, float | None]:
    """Units of the design; bore, wall, and the length that limits or None, in m."""
    units: Units | None = args.units
    if args.tube is None and (args.bore is not None or args.wall is not None or args.length is not None):
        bore, wall = (_answer(args, question, ask) for question in _parts(units))
        length = args.length or ""
        units = units or unit_system(bore)
    else:
        words = f"Your tube, bore x wall or bore x wall x length, such as {EXAMPLE_TUBE[units]}"
        question = Question("tube", words, None, lambda text: tube_words(text, units))
        bore, wall, length, said = tube_words(_answer(args, question, ask), units)
        units = units or said
    return (
        units or "mm",
        tube_length("bore", bore, units),
        tube_length("wall", wall, units),
        tube_length("length", length, units) if length else None,
    )


def _parts(units: Units | None) -> Iterator[Question]:
    """The tube asked for in pieces, when a piece is given already."""
    bare = f"in {units or 'mm'} if you name no unit"
    for name, words in (("bore", "Inside diameter of the tube"), ("wall", "Thickness of its wall")):
        yield Question(name, f"{words}, {bare}", None, partial(tube_length, name, units=units))


def questions(
    found: Catalogue, units: Units, args: argparse.Namespace, answers: dict[str, str]
) -> Iterator[Question]:
    """What is to be known besides the tube, in the order a maker knows it.

    Each is made when the ones before are in ``answers``: the usual system is one that plays the scale, the
    usual scale is the one that the system given as an option is at home in.
    """
    yield Question("mouth", f"How it is blown: {', '.join(MOUTHS)}", "duct", _one_of("mouth", MOUTHS))
    yield Question("key", "Lowest note, all holes closed, such as A4 or F#4", None, parse_note)
    home = found.system(args.system or USUAL_SYSTEM).home
    playable = (scale for scale in found.scales() if found.systems_for(scale))
    scales = tuple(f"{scale.name}: {len(scale.cents)} notes. {scale.words}" for scale in playable)
    yield Question("scale", "Scale (? lists them)", home, lambda text: _playable(found, text), scales)
    scale = found.scale(answers["scale"])

    def fits(text: str) -> object:
        return found.rows(text, scale, parse_note(answers["key"]), 440.0)

    fitting = found.systems_for(scale)
    system = USUAL_SYSTEM if USUAL_SYSTEM in fitting or not fitting else fitting[0]
    systems = tuple(f"{name}: {found.system(name).words}" for name in fitting)
    yield Question("system", "Fingering (? lists those that fit)", system, fits, systems)
    yield Question("hand", f"Hand: {', '.join(HANDS)}", "medium", hand)
    yield Question("bits", "Your bits (? lists the sets)", USUAL_BITS[units], bit_set, BITS)
    yield Question("material", "What it is made of, for the cautions", "", str)
    yield Question("name", "What you call it", "", str)


def _playable(found: Catalogue, name: str) -> Scale:
    """The scale of a name, if some fingering system plays it."""
    scale = found.scale(name)
    if not found.systems_for(scale):
        raise EditError(f"No fingering system plays the {len(scale.cents)} notes of {name}", "choose another")
    return scale


def _one_of(kind: str, known: tuple[str, ...]) -> Callable[[str], object]:
    def check(text: str) -> None:
        if text not in known:
            raise UnknownNameError(kind, text, known)

    return check


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
        if text == "?" and question.choices:
            print(bullets(question.choices), file=sys.stderr)
            continue
        if not text and question.usual is None:
            continue
        try:
            question.check(text)
        except ScaledesignError as error:
            print(error, file=sys.stderr)
        else:
            return text
    return usual
