"""bench: the one next step of making a flute; what was done and heard goes into its file.

Apart from the grid's screen of the same: both say it in the words of ``view/bench_words.py`` and note it
through ``workshop/noting.py``. A session is this one command, again and again.
"""

from __future__ import annotations

import argparse
import textwrap
from datetime import datetime

from scaledesign.cli.as_json import json_text
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import kept, output_path, read_design, write_design
from scaledesign.errors import EditError, NoPitchError, QuantityError
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.limits import LIMITS
from scaledesign.model.units import parse_length, parse_temperature
from scaledesign.model.widths import length_now, length_unknown
from scaledesign.paper.cautions import at_work
from scaledesign.paper.layout import Origin, mouth_side
from scaledesign.paper.report import blocks, remarks, title
from scaledesign.paper.text import WIDTH, paragraph, table
from scaledesign.view.bench_words import Words, too_sharp
from scaledesign.view.lines import DRAWN, TYPED
from scaledesign.workshop.making.plan import ended, next_step, plan
from scaledesign.workshop.making.step import Account, Plan, Step
from scaledesign.workshop.noting import Act, ActKind, Noted, Told, foretold, note, room_now, taken_back

KINDS: dict[str, ActKind] = {
    "cut": "cut", "drilled": "drilled", "opened": "opened", "undercut": "undercut", "filled": "filled",
}  # fmt: skip
DIGITS = 9
"""Most letters of a hole's number that are read."""
LABEL = 12
"""Letters for the name of a fact."""
EXAMPLE_LENGTH = {"mm": '"385 mm"', "in": '"15 1/4 in"'}
"""How a length is typed, by the units of the design."""


def bench(args: argparse.Namespace) -> int:
    """Note what was done, print what it taught and the step that comes now."""
    output = output_path(args)
    design = read_design(args)
    when = _when(args.when)
    temperature = room_now(design, when) if args.temperature is None else _temperature(args.temperature)
    told = Told(
        did=args.did,
        acts=tuple(_act(design, kind, text, args.origin) for kind, text in args.acts),
        blew=args.blew,
        bare=args.bare,
        temperature=temperature,
        length=None if args.length is None else parse_length(args.length, design.units),
        even_so=args.even_so,
    )
    _sensible(args, design, told)
    said, noted = list[str](), None
    before = Words(
        design, args.units or design.units, args.origin, TYPED if args.ascii else DRAWN, temperature
    )
    if args.back:
        design, entry = taken_back(design)
        what = entry.measured or entry.event
        said.append(f"Taken back: {what}, of {entry.when:%d %B %Y, %H:%M}.")
    elif told.anything:
        noted = note(design, next_step(design), told, when, next_step)
        design = noted.design
        said += [" ".join(before.done(act) for act in noted.acts), before.heard(noted), before.moved(noted)]
    words = Words(design, before.units, before.origin, before.signs, temperature)
    changed = noted is not None or args.back
    try:
        found = foretold(design, plan(design))
    except NoPitchError:  # what was done stays noted, whatever comes of it
        if output and changed:
            write_design(args, design, output)
        raise
    design = ended(design, found) if changed else design
    if args.json:
        text = json_text(
            {"noted": None if noted is None else _noted_object(noted), **plan_object(design, found)}
        )
    else:
        text = blocks(
            "\n".join(paragraph(line) for line in said if line),
            remarks(noted.notes) if noted else "",
            step_text(words, found.now),
            paragraph(f"{title(design)}. {words.standing(found)}"),
            account_text(words, found),
            coming_text(words, found),
            remarks(found.notes),
            caution_text(found.now, design.instrument.material),
            kept(args, output) if changed else "",
        )
    if output and changed:
        write_design(args, design, output)
    print(text)
    return OK


def step_text(words: Words, step: Step) -> str:
    """The step, large: what to do, what there is to know for it, why, and what to do otherwise."""
    lines = [f"NOW  {words.headline(step)}", ""]
    facts = [*words.facts(step), *([("room", words.room_apart)] if step.sounds and words.room_apart else [])]
    lines += [f"     {name.ljust(LABEL)}{value}" for name, value in facts]
    more = " ".join(filter(None, (step.why, words.otherwise(step), words.besides(step))))
    if more:
        lines += [*([""] if lines[-1] else []), paragraph(more, "     ")]
    return "\n".join(lines)


def account_text(words: Words, found: Plan) -> str:
    """How the holes stand, a line each, as they are worked on."""
    rows = [words.account(found, each) for each in found.holes]
    header = ("hole", words.end_title, "now", "in the end", "note", "off", "")
    return table(header, rows, "lrrrlrl")


def coming_text(words: Words, found: Plan) -> str:
    """What comes after it, a line each."""
    lines = [f"then  {words.coming(step)}" for step in found.steps[1:]]
    return "\n".join(textwrap.fill(line, WIDTH, subsequent_indent=" " * 6) for line in lines)


def caution_text(step: Step, material: str) -> str:
    """What can hurt at this step."""
    found = at_work(step.kind, material)
    if not found:
        return ""
    last = "Safety data sheets, local rules and licensed practice come before this."
    lines = [paragraph(f"{each.hazard}. {each.text}", "  ") for each in found]
    return "\n".join(["Before you start", *lines, f"  {last}"])


# What is typed


def _act(design: Design, kind: str, text: str, origin: Origin) -> Act:
    """What was done, from ``402 mm`` or ``6=5.5 mm`` or ``6=5.5 mm at 241 mm``."""
    if kind == "cut":
        return Act("cut", parse_length(text, design.units))
    number, equals, rest = text.partition("=")
    if not equals or not number.strip().isdecimal() or len(number) > DIGITS:
        raise QuantityError(text, "that is not a hole and its width", f'write --{kind} 6="5.5 mm"')
    hole, count = int(number), len(design.holes)
    if not 1 <= hole <= count:
        raise QuantityError(text, f"there is no hole {hole}", f"holes are 1 to {count}")
    width, elsewhere, place = rest.partition(" at ")
    at = None
    if elsewhere:
        if kind != "drilled":
            raise QuantityError(text, "a hole that is there stays where it is", f'write --{kind} 6="5.5 mm"')
        at = parse_length(place, design.units)
        at = {"edge": at, "foot": (length_now(design) or design.tube.length) - at}.get(origin, at)
        at = at - mouth_side(design) if origin == "cut-end" else at
    return Act(KINDS[kind], parse_length(width, design.units), hole - 1, at)


def _when(text: str | None) -> datetime:
    if text is None:
        return datetime.now().replace(microsecond=0)
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        raise QuantityError(text, "is no time", "write --when 2026-03-01T14:30") from None


def _temperature(text: str) -> float:
    temperature = parse_temperature(text)
    if fault := LIMITS["LogEntry"]["temperature"].fault("temperature", temperature, "mm"):
        raise QuantityError(text, fault.problem, fault.remedy)
    return temperature


def _sensible(args: argparse.Namespace, design: Design, told: Told) -> None:
    if args.back and told.anything:
        raise EditError("--back takes the newest entry back and notes nothing", "do one after the other")
    if told.bare and not told.blew:
        raise EditError("--bare goes with a reading", 'add --blew "A4 -4"')
    if told.length is not None and not told.blew:
        raise EditError("--length goes with a reading of the bare tube", 'add --blew "A4 -4", or say --cut')
    if told.blew and told.length is None and not told.acts and length_unknown(design):
        raise EditError(
            "Nobody knows yet how long this tube is, and what a reading says of the mouth hangs on it",
            f"measure it from the sounding edge to the foot and add --length {EXAMPLE_LENGTH[design.units]}",
        )


# For programs


def plan_object(design: Design, found: Plan) -> dict[str, object]:
    """The whole plan, holes and rows counted from 1."""
    return {
        "name": design.name,
        "now": step_object(found.now),
        "coming": [step_object(step) for step in found.steps[1:]],
        "holes": [_account_object(each) for each in found.holes],
        "length_m": length_now(design),
        "planned_length_m": design.tube.length,
        "notes": list(found.notes),
    }


def step_object(step: Step) -> dict[str, object]:
    """One step."""
    return {
        "kind": step.kind,
        "why": step.why,
        "hole": _counted(step.hole),
        "at_m": step.at,
        "now_m": step.now,
        "to_m": step.to,
        "bit_m": step.bit,
        "final_m": step.final,
        "row": _counted(step.row),
        "fingering": format_fingering(step.holes),
        "register": step.register,
        "sounds_hz": step.sounds,
        "sure_cents": step.sure,
        "aim_hz": step.aim if (wanted := too_sharp(step)) is None else wanted,
        "off_cents": step.off,
        "off_sure_cents": step.off_sure,
        "stays_off_cents": None if step.stays is None else step.stays[0],
        "sharp_chance": step.sharp,
        "another_day": step.rest,
        "shifts": [{"row": each.row + 1, "cents": each.cents} for each in step.shifts],
    }


def _account_object(each: Account) -> dict[str, object]:
    return {
        "hole": each.hole + 1,
        "state": each.state,
        "width_m": each.width,
        "final_m": each.final,
        "row": _counted(each.row),
        "off_cents": each.off,
        "sure_cents": each.sure,
    }


def _noted_object(noted: Noted) -> dict[str, object]:
    heard = noted.heard
    return {
        "done": [
            {"kind": act.kind, "hole": _counted(act.hole), "size_m": act.size, "at_m": act.at}
            for act in noted.acts
        ],
        "heard": None
        if heard is None
        else {
            "said": heard.said,
            "frequency_hz": heard.hertz,
            "expected_hz": heard.ear.expected,
            "sure_cents": heard.ear.sure,
            "off_cents": heard.off,
        },
        "added_length_m": None if noted.added is None else list(noted.added),
        "moved": [
            {
                "hole": each.hole + 1,
                "at_m": [each.before.at, each.after.at],
                "diameter_m": [each.before.diameter, each.after.diameter],
            }
            for each in noted.moved
        ],
        "notes": list(noted.notes),
    }


def _counted(index: int | None) -> int | None:
    return None if index is None else index + 1
