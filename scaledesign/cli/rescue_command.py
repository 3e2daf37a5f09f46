"""rescue: what few changes mend a finished flute, each with what it does to every note.

Apart from the reckoning (``workshop/rescue.py``) and from its sentences (``view/rescue_words.py``), which the
grid shares.
"""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Sequence
from datetime import datetime
from math import isfinite

from scaledesign.cli.as_json import json_text
from scaledesign.cli.calibrate_command import row_reading
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import kept, output_path, read_design, write_design
from scaledesign.errors import EditError, QuantityError
from scaledesign.model.fingering import format_fingering
from scaledesign.model.units import format_cents
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import WIDTH, bullets, paragraph, table
from scaledesign.view.rescue_words import RescueWords
from scaledesign.workshop.readings import with_readings
from scaledesign.workshop.rescue import Proposal, Rescue
from scaledesign.workshop.rescue import rescue as work_out
from scaledesign.workshop.rescue_beyond import beyond
from scaledesign.workshop.rescue_levers import KINDS, Change, Kind
from scaledesign.workshop.rescue_taken import taken

INDENT = "   "
LEGEND = (
    "as the readings and the model together have it, calibrated or not. ±: two notes in three come out "
    "within it."
)


def rescue(args: argparse.Namespace) -> int:
    """Print what mends the flute; write it with a plan carried out where asked."""
    output = output_path(args)
    design = read_design(args)
    rows = dict(row_reading(text, design) for text in args.row)
    if rows:
        design = with_readings(design, None, None, None, rows, datetime.now().replace(microsecond=0))
    only: Sequence[Kind] = tuple(kind for kind in KINDS if not args.only or kind in args.only)
    hold = [held(text, len(design.holes)) for text in args.hold]
    found = work_out(design, most=args.most, only=only, hold=hold, own_pitch=args.own_pitch)
    words = RescueWords(found, args.units or design.units)
    plan = _chosen(found, args.plan)
    if args.json:
        text = json_text(_object(found, words))
    else:
        text = _text(found, words, plan, args)
        if plan is not None and output:
            text = blocks(text, kept(args, output))
    if output:
        if plan is None:
            raise EditError("There is no plan to write", "leave -o and --in-place out")
        done = taken(design, plan, words.headline(plan) + ".", datetime.now())
        write_design(args, done, output)
    print(text)
    return OK


def held(text: str, count: int) -> int | None:
    """A hole by its number, 0-based, or None for the foot.

    Raises
    ------
    QuantityError
    """
    if text.strip().casefold() == "foot":
        return None
    if not text.isdecimal() or len(text) > 9 or not 1 <= int(text) <= count:
        raise QuantityError(text, "that is no hole of this flute", f"write --hold 1 to {count}, or foot")
    return int(text) - 1


def _chosen(found: Rescue, number: int) -> Proposal | None:
    if not found.proposals:
        return None
    if not 1 <= number <= len(found.proposals):
        count = len(found.proposals)
        many = f"there are 1 to {count}" if count > 1 else "there is one"
        raise EditError(f"There is no plan {number}", f"{many}; leave --plan out for the first")
    return found.proposals[number - 1]


def _text(found: Rescue, words: RescueWords, plan: Proposal | None, args: argparse.Namespace) -> str:
    first = found.proposals[0] if found.proposals else None
    asked = "" if plan is None or plan is first else f"Plan {args.plan}: {words.headline(plan)}."
    return blocks(
        title(words.design),
        paragraph(words.verdict()),
        bullets(words.remarks()),
        paragraph(asked),
        "" if plan is None else _steps(words, plan),
        _notes(found, words, plan),
        paragraph(f"{_columns(found, words, plan)}, {LEGEND}"),
        _others(found, words, args),
        bullets(words.beyond()),
    )


def _steps(words: RescueWords, plan: Proposal) -> str:
    """What to do, in order, with the cautions at the step that needs them; each caution once."""
    parts, told = [], set()
    for number, act in enumerate(plan.acts, 1):
        lines = [_indented(words.what(act), f"{number}. ")]
        lines += [_indented(said) for said in words.on_the_way(act)]
        for caution in words.cautions(act):
            if caution not in told:
                lines.append(_indented(f"{caution.hazard}: {caution.text}"))
                told.add(caution)
        parts.append("\n".join(lines))
    if lasting := words.lasting(plan):
        parts.append(_indented(lasting))
    return "\n\n".join(parts)


def _indented(text: str, first: str = INDENT) -> str:
    filled = paragraph(text, INDENT)
    return first + filled[len(INDENT) :]


def _notes(found: Rescue, words: RescueWords, plan: Proposal | None) -> str:
    heard = found.heard
    fingers = [hole.finger for hole in words.design.holes if hole.finger != "none"]
    rows, pitch = [], found.aim.pitch
    for i, note in enumerate(heard.notes):
        then = "" if plan is None else _cents(float(plan.cents[i] - pitch))
        rows.append(
            (
                "" if note.row is None else str(note.row + 1),
                note.name,
                format_fingering(note.holes, fingers),
                "" if note.register == 1 else str(note.register),
                note.said,
                _cents(float(heard.off[i] - pitch)),
                f"{heard.sure[i]:.0f}",
                then,
                "" if plan is None else f"{plan.sure[i]:.0f}",
                "" if plan is None else _moved(float(plan.cents[i] - heard.off[i])),
            )
        )
    header = ("", "note", "fingering", "reg", "you read", "now", "±", "then", "±", "moves")
    return table(header, rows, "rllrlrrrrr")


def _columns(found: Rescue, words: RescueWords, plan: Proposal | None) -> str:
    what = "now: cents off" if plan is None else "now, then: cents off"
    return f"{what} the flute's own pitch, {words.pitch()}" if found.aim.pitch else what


def _cents(value: float) -> str:
    return format_cents(value) if isfinite(value) else "gone"


def _moved(value: float) -> str:
    return format_cents(value) if isfinite(value) and round(value) else ""


def _others(found: Rescue, words: RescueWords, args: argparse.Namespace) -> str:
    """The other plans, one a line, and how to see one in full."""
    if len(found.proposals) < 2:
        return ""
    rows = [
        (str(number), words.headline(plan), f"{plan.worst:.0f}", f"{plan.rms:.0f}", "mends it" * plan.mends)
        for number, plan in enumerate(found.proposals, 1)
    ]
    drawn = table(("plan", "", "worst", "all", ""), rows, "rlrrl")
    if max(len(line) for line in drawn.splitlines()) > WIDTH:
        drawn = "\n".join(
            _indented(f"{words.headline(plan)}: worst {plan.worst:.0f}, all {plan.rms:.0f}", f"{number}. ")
            for number, plan in enumerate(found.proposals, 1)
        )
    again = shlex.join([*(["--example", args.example] if args.example else [args.file])])
    other = 1 if args.plan != 1 else 2
    legend = "worst: cents off of the worst note of the scale; all: of all notes, octaves too, on average."
    return f"{drawn}\n{paragraph(legend)}\n{paragraph(f'In full: scaledesign rescue {again} --plan {other}')}"


def _object(found: Rescue, words: RescueWords) -> dict[str, object]:
    heard = found.heard
    return {
        "name": heard.design.name,
        "verdict": words.verdict(),
        "remarks": list(words.remarks()),
        "in_tune": found.in_tune,
        "worst_cents": found.worst,
        "rms_cents": found.rms,
        "common_cents": found.common,
        "pitch_cents": found.aim.pitch,
        "unread_rows": [row + 1 for row in found.unread],
        "notes": [
            {
                "row": None if note.row is None else note.row + 1,
                "note": note.name,
                "fingering": format_fingering(note.holes),
                "register": note.register,
                "target_hz": note.target,
                "read": bool(heard.read[i]),
                "cents": float(heard.off[i]),
                "uncertainty_cents": float(heard.sure[i]),
                "surprise_cents": _number(float(heard.odd[i])),
            }
            for i, note in enumerate(heard.notes)
        ],
        "plans": [_plan(found, plan) for plan in found.proposals],
        "beyond": [
            {
                "why": each.why,
                "notes": [i + 1 for i in each.notes],
                "by_m": each.by,
                "hole": None if each.hole is None else each.hole + 1,
                "rule": each.rule or None,
                "sentence": said,
            }
            for each, said in zip(beyond(found), words.beyond(), strict=True)
        ],
    }


def _plan(found: Rescue, plan: Proposal) -> dict[str, object]:
    heard = found.heard
    return {
        "mends": plan.mends,
        "worst_cents": plan.worst,
        "rms_cents": plan.rms,
        "acts": [
            {
                **_change(act.change),
                "first_m": act.first,
                "blow_note": act.listen + 1,
                "first_hz": _number(float(heard.notes[act.listen].target * 2 ** (act.first_cents / 1200))),
                "then_hz": float(heard.notes[act.listen].target * 2 ** (act.then_cents / 1200)),
                "uncertainty_cents": act.sure,
            }
            for act in plan.acts
        ],
        "notes": [
            {"cents": _number(float(cents)), "uncertainty_cents": float(sure)}
            for cents, sure in zip(plan.cents, plan.sure, strict=True)
        ],
    }


def _change(change: Change) -> dict[str, object]:
    return {
        "kind": change.kind,
        "hole": None if change.hole is None else change.hole + 1,
        "was_m": change.was,
        "to_m": change.to,
    }


def _number(value: float) -> float | None:
    return value if isfinite(value) else None
