"""chances: how many of many flutes made from one design come out in tune.

Apart from ``predict``, which tells of one note at a time.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import read_design
from scaledesign.model.document import Design
from scaledesign.model.fingering import format_fingering
from scaledesign.model.units import format_cents
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph, table
from scaledesign.workshop.chances import Chances, chances, in_words


def show(args: argparse.Namespace) -> int:
    """Print the chances of the whole flute and of each note."""
    design = read_design(args)
    found = chances(design, args.flutes, args.seed)
    if args.json:
        print_json(_object(design, found))
    else:
        print(
            blocks(title(design), paragraph(in_words(found, design)), _notes(design, found), _legend(found))
        )
    return OK


def _notes(design: Design, found: Chances) -> str:
    fingers = [hole.finger for hole in design.holes if hole.finger != "none"]
    rows = []
    for place, i in enumerate(found.rows):
        row, within, sharp = design.rows[i], float(found.within[place]), float(found.sharp[place])
        rows.append(
            (
                str(i + 1),
                row.note,
                format_fingering(row.holes, fingers),
                "" if row.register == 1 else str(row.register),
                _percent(within),
                _percent(max(1 - within - sharp, 0.0)),
                _percent(sharp),
                format_cents(float(found.low[place])),
                format_cents(float(found.high[place])),
            )
        )
    return table(
        ("", "note", "fingering", "reg", "in tune", "flat", "sharp", "from", "to"), rows, "rllrrrrrr"
    )


def _legend(found: Chances) -> str:
    return paragraph(
        f"in tune: within {found.tolerance:g} cents of what you want. from, to: cents between which half of "
        "the flutes lie. What varies is what the ± of a prediction is made of: mouth, bore, wall, air, each "
        "hole's place and width, what the calculation leaves out; [uncertainty] in the file says how much."
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _object(design: Design, found: Chances) -> dict[str, object]:
    return {
        "name": design.name,
        "flutes": found.count,
        "within_cents": found.tolerance,
        "every_note_share": found.every,
        "every_note_brought_to_pitch_share": found.together,
        "no_note_sharp_share": found.none_sharp,
        "calibrated": found.blown,
        "rows": [
            {
                "row": i + 1,
                "note": design.rows[i].note,
                "planned_cents": float(found.planned[place]),
                "within_share": float(found.within[place]),
                "sharp_share": float(found.sharp[place]),
                "low_cents": float(found.low[place]),
                "high_cents": float(found.high[place]),
            }
            for place, i in enumerate(found.rows)
        ],
    }
