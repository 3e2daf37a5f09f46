"""registers: whether the second octave will speak, fingering by fingering, and what to change.

Apart from ``predict``, which says what the rows play: here are the registers that no row asks for too.
"""

from __future__ import annotations

import argparse
from math import isfinite

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import read_design
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import format_cents
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import bullets, paragraph, table
from scaledesign.workshop import register_words
from scaledesign.workshop.registers import LEANING, Played, Register, Registers, firmness, registers

OTHER = 600.0
"""Cents beyond which what speaks is nearer to another register."""
LEGEND = {
    "low": "what a tuner shows for the first register",
    "octave": "cents from twice that",
    "12th": "cents from three times that",
    "firm": "how firm the octave is; 1 or more speaks freely, under 0.5 hardly",
    "cutoff": "the octave as a share of the cutoff of the open holes",
    "Pa": "breath for low note and octave",
    "harder": "cents the low note rises with half as much pressure again",
}
"""What the columns mean; one that is not shown is not explained."""
RULES = "Frequencies are the model's; what follows from them are rules of thumb."


def show(args: argparse.Namespace) -> int:
    """Print verdict, table and advice."""
    design = read_design(args)
    found = registers(design)
    if args.json:
        print_json(_object(design, found))
        return OK
    shown = _table(design, found)
    columns = shown.splitlines()[0].split()
    legend = " ".join(f"{name}: {words}." for name, words in LEGEND.items() if name in columns)
    print(
        blocks(
            title(design),
            "\n".join(paragraph(said) for said in register_words.verdicts(found)),
            shown,
            paragraph(f"{legend} {RULES}"),
            bullets(register_words.advices(design, found)),
        )
    )
    return OK


def _table(design: Design, found: Registers) -> str:
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    header = ("note", "fingering", "low", "octave", "12th", "firm", "cutoff", "Pa", "harder", "the octave")
    rows = []
    for played in found.fingerings:
        low, octave, *later = played.registers
        harder = played.leaning(LEANING[1])
        rows.append(
            (
                played.note,
                format_fingering(played.row.holes, fingers) if played.row else "",
                tuner_shows(design, low.frequency) if isfinite(low.frequency) else "none",
                "" if played.vented else _stretch(octave),
                "" if played.vented or not later else _stretch(later[0]),
                f"{firmness(octave.depth):.1f}" if isfinite(octave.depth) else "",
                f"{played.share(octave):.2f}" if isfinite(played.share(octave)) else "",
                _pressures(low, octave),
                format_cents(harder) if isfinite(harder) else "",
                octave.speech,
            )
        )
    return table(header, rows, "llrrrrrrrl")


def _stretch(register: Register) -> str:
    """Cents, as far as what speaks can be told for that register."""
    return format_cents(register.stretch) if abs(register.stretch) < OTHER else "none"


def _pressures(low: Register, octave: Register) -> str:
    """Breath for both, a dash for a register that is not there; empty where no window is known."""
    asked = [f"{each.pressure:.0f}" if isfinite(each.pressure) else "-" for each in (low, octave)]
    return "" if asked == ["-", "-"] else " ".join(asked)


def _object(design: Design, found: Registers) -> dict[str, object]:
    return {
        "name": design.name,
        "bores_long": found.slenderness,
        "verdicts": list(register_words.verdicts(found)),
        "advice": list(register_words.advices(design, found)),
        "fingerings": [_fingering(design, played) for played in found.fingerings],
    }


def _fingering(design: Design, played: Played) -> dict[str, object]:
    softer, harder = (_number(played.leaning(ratio)) for ratio in LEANING)
    return {
        "note": played.note,
        "fingering": format_fingering(played.row.holes) if played.row else "",
        "rows": [row + 1 for row in played.rows],
        "cutoff_hz": _number(played.cutoff),
        "softer_cents": softer,
        "harder_cents": harder,
        "doubled_cents": _number(played.leaning(2.0)),
        "registers": [
            {
                "register": one.number,
                "frequency_hz": _number(one.frequency),
                "stretch_cents": _number(one.stretch),
                "depth_db": _number(one.depth),
                "quality": _number(one.quality),
                "share_of_cutoff": _number(played.share(one)),
                "pressure_pa": _number(one.pressure),
                "verdict": one.speech,
                "reason": one.reason,
            }
            for one in played.registers
        ],
    }


def _number(value: float) -> float | None:
    """A number, or nothing where there is none."""
    return float(value) if isfinite(value) else None
