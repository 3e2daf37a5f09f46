"""new: from the tube in the maker's hand to a first design.

Apart because it alone asks questions. What is given on the command line is not asked; what has a usual
answer offers it; "?" lists the choices; a wrong answer is asked again, a wrong option ends the command.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator
from functools import partial

import scaledesign
from scaledesign.cli.book_command import folder_of
from scaledesign.cli.exit_codes import USAGE
from scaledesign.cli.files import next_file, output_path
from scaledesign.cli.show import show_solution
from scaledesign.errors import ScaledesignError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.model.bits import NAMES as BITS
from scaledesign.model.document import Design, Units
from scaledesign.model.hands import NAMES as HANDS
from scaledesign.model.pitch import parse_note
from scaledesign.model.stretches import parse_stretches
from scaledesign.model.tube_words import (
    TubeSize,
    TubeWords,
    tube_length,
    tube_size,
    tube_words,
    unit_system,
)
from scaledesign.model.units import format_length
from scaledesign.paper.text import bullets, paragraph
from scaledesign.paper.unblown import spare_length, spare_words, unblown
from scaledesign.values import dataclass
from scaledesign.workshop import usual
from scaledesign.workshop.book import read_book
from scaledesign.workshop.from_book import new_from_book

INDENT = "    "
"""Before a command that stands on a line of its own."""


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
    tube = _tube(args, ask)
    answers: dict[str, str] = {}
    for question in questions(catalogue(), tube, args, answers):
        answers[question.name] = _answer(args, question, ask)
    folder = folder_of(args)
    solution = new_from_book(
        scaledesign.Wanted(
            bore=tube.bore,
            wall=tube.wall,
            length=tube.length,
            key=answers["key"],
            scale=answers["scale"],
            system=answers["system"],
            mouth=usual.mouth_named(answers["mouth"]),
            hand=usual.hand_named(answers["hand"]),
            bits=usual.bits_named(answers["bits"]),
            material=answers["material"],
            name=answers["name"],
            units=tube.units,
            avoid=parse_stretches(args.avoid or "", tube.units),
        ),
        None if folder is None else read_book(folder),
    )
    file, _ = next_file(args, output)
    return show_solution(args, solution, output, closing=first_work(solution.design, args.units, file))


def first_work(design: Design, units: Units | None, file: str) -> str:
    """How a flute that was laid out is begun: how long to leave the tube, and the command to work by."""
    units = units or design.units
    begin = f"Then work by the bench, hole by hole; it takes your readings as calibrate does:\n{INDENT}"
    command = f"scaledesign bench {file}"
    if not unblown(design):
        return f"{begin}{command}"
    spare = spare_length(design, units)
    long = format_length(design.tube.length + spare, units)
    leave = (
        f"Leave the tube {spare_words(spare, units)} longer, {long} from edge to foot, before you blow it "
    )
    leave += "the first time: what is cut too short stays sharp."
    return f"{paragraph(leave if spare else '')}\n{begin}{command}".lstrip()


def _missing(args: argparse.Namespace) -> list[str]:
    """Options without which there is something to ask."""
    tube = [f"--{part}" for part in ("bore", "wall") if getattr(args, part) is None]
    if args.tube is not None:
        tube = []
    elif len(tube) == 2 and args.length is None:
        tube = ["--tube"]
    return tube + (["--key"] if args.key is None else [])


def _tube(args: argparse.Namespace, ask: bool) -> TubeSize:
    """The tube that the options give, or the maker."""
    units: Units | None = args.units
    if args.tube is None and (args.bore is not None or args.wall is not None or args.length is not None):
        bore, wall = (_answer(args, question, ask) for question in _parts(units))
        said = TubeWords(bore, wall, args.length or "", unit_system(bore))
    else:
        words = f"Your tube, bore x wall or bore x wall x length, such as {usual.EXAMPLE_TUBE[units]}"
        question = Question("tube", words, None, lambda text: tube_words(text, units))
        said = tube_words(_answer(args, question, ask), units)
    return tube_size(said, units)


def _parts(units: Units | None) -> Iterator[Question]:
    """The tube asked for in pieces, when a piece is given already."""
    bare = f"in {units or 'mm'} if you name no unit"
    for name, words in (("bore", "Inside diameter of the tube"), ("wall", "Thickness of its wall")):
        yield Question(name, f"{words}, {bare}", None, partial(tube_length, name, units=units))


def questions(
    found: Catalogue, tube: TubeSize, args: argparse.Namespace, answers: dict[str, str]
) -> Iterator[Question]:
    """What is to be known besides the tube, in the order a maker knows it.

    Each is made when the ones before are in ``answers``: the usual key suits the bore, the usual system plays
    the scale, the usual scale is the one that the system given as an option is at home in.
    """
    ways = f"How it is blown: {', '.join(usual.MOUTHS)} (? tells them apart)"
    mouths = tuple(f"{name}: {words}" for name, words in usual.MOUTHS.items())
    yield Question("mouth", ways, usual.USUAL_MOUTH, usual.mouth_named, mouths)
    mouth = usual.mouth_named(answers["mouth"])
    key = usual.usual_key(tube.bore, tube.wall, mouth, tube.length) or None
    yield Question("key", "Lowest note, all holes closed, such as A4 or F#4", key, parse_note)
    home = usual.usual_scale(found, args.system or "")
    scales = tuple(f"{scale.name}: {usual.scale_words(scale)}" for scale in usual.playable(found))
    yield Question("scale", "Scale (? lists them)", home, partial(usual.scale_named, found), scales)
    scale = found.scale(answers["scale"])
    systems = tuple(f"{name}: {words}" for name, words in usual.systems_to_choose(found, scale))
    yield Question(
        "system",
        "Fingering (? lists those that fit)",
        usual.usual_system(found, scale),
        lambda text: usual.system_named(found, text, scale),
        systems,
    )
    yield Question("hand", f"Hand: {', '.join(HANDS)}", usual.USUAL_HAND, usual.hand_named)
    yield Question(
        "bits", "Your bits (? lists the sets)", usual.USUAL_BITS[tube.units], usual.bits_named, BITS
    )
    yield Question("material", "What it is made of, for the cautions", "", str)
    yield Question("name", "What you call it", "", str)


def _answer(args: argparse.Namespace, question: Question, ask: bool) -> str:
    """The option if it was given, else what the maker answers, else the usual."""
    given: str | None = getattr(args, question.name)
    if given is not None:
        question.check(given)
        return given
    offered = question.usual or ""
    while ask:
        print(
            question.words + (f" [{offered}]" if offered else "") + ": ", end="", file=sys.stderr, flush=True
        )
        line = sys.stdin.readline()
        if not line:
            raise KeyboardInterrupt
        text = line.strip() or offered
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
    return offered
