"""fingerings: what plays a note, best first; a whole chart, or trills; into the design where asked.

Apart from ``chart``, which prints the rows that a design has: here fingerings are looked for among all there
are.
"""

from __future__ import annotations

import argparse
import sys
from itertools import pairwise

import numpy as np

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path, read_design, write_design
from scaledesign.cli.fingerings_text import Drawing, object_of, trill_object
from scaledesign.cli.signs import can_show
from scaledesign.errors import EditError
from scaledesign.model.document import Design
from scaledesign.model.pitch import parse_note
from scaledesign.model.scale import Tuned
from scaledesign.paper.chart_text import CIRCLES
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import paragraph
from scaledesign.values import dataclass
from scaledesign.workshop import ask, wanted_notes
from scaledesign.workshop.chosen_rows import with_rows
from scaledesign.workshop.finder import Choice, Found, choice_of, find, nearest
from scaledesign.workshop.playable import HALF_OPEN, REGISTERS, playable
from scaledesign.workshop.registers import THREE
from scaledesign.workshop.trills import trills
from scaledesign.workshop.wanted_notes import WantedNote
from scaledesign.workshop.whole_chart import whole_chart


@dataclass(frozen=True)
class Answer:
    """What was found: as text and JSON, the fingerings that may become rows, and what nothing plays."""

    text: str
    object: dict[str, object]
    chosen: list[tuple[WantedNote, Found]]
    missing: list[WantedNote]


def fingerings(args: argparse.Namespace) -> int:
    """Find, print, and write the design where asked."""
    output = output_path(args)
    design = read_design(args)
    registers, share = _registers(args, design), float(args.open_share or HALF_OPEN)
    own = Tuned(ask.scale_of(design), parse_note(design.tuning.tonic), design.tuning.reference)
    notes = _notes(args, design, own, registers[0])
    found = playable(design, halves=not args.no_halves, registers=registers, open_share=share)
    choice = choice_of(design, found)
    letters = args.ascii or not can_show(sys.stdout, "".join(CIRCLES.values()))
    drawing = Drawing(design, letters, args.parts)
    answer = (_chart if args.chart else _trills if args.trills else _each)(
        args, design, choice, notes, drawing
    )
    changed = with_rows(design, own, answer.chosen, share) if output else design
    if output:
        write_design(args, changed, output)
    if args.json:
        print_json({"name": design.name, "open_share": share, "remark": found.remark, **answer.object})
        return OK
    more = len(changed.rows) - len(design.rows)
    far = [(note, nearest(choice, note.frequency)) for note in answer.missing]
    print(
        blocks(
            title(design),
            answer.text,
            drawing.missed(far, halves=not (args.no_halves or args.open_share)),
            paragraph(found.remark),
            f"Written to {output}: {more} more {'row' if more == 1 else 'rows'}." if output else "",
        )
    )
    return OK


def _registers(args: argparse.Namespace, design: Design) -> tuple[int, ...]:
    """Registers to look in, lowest first.

    Raises
    ------
    EditError
        when the mouth is not overblown so far.
    """
    if not args.register:
        return REGISTERS
    if 3 in args.register and design.instrument.mouth not in THREE:
        raise EditError(
            f"a {design.instrument.mouth} flute is not overblown into a third register",
            "ask for register 1 or 2",
        )
    return tuple(sorted(set(args.register)))


def _notes(args: argparse.Namespace, design: Design, own: Tuned, register: int) -> tuple[WantedNote, ...]:
    """The notes that are asked for; scales begin with the lowest note in the lowest register.

    Raises
    ------
    EditError
        when there are none, or too few.
    """
    scale = ask.offers().scale(args.scale) if args.scale else own.scale
    tuned = Tuned(scale, parse_note(args.tonic) if args.tonic else own.tonic, own.reference)
    if args.note:
        notes = wanted_notes.of_texts(tuned, args.note)
    elif args.chromatic:
        notes = wanted_notes.chromatic(tuned, _lowest(design, register))
    elif args.scale or args.tonic:
        notes = wanted_notes.of_scale(tuned, _lowest(design, register))
    else:
        notes = wanted_notes.of_rows(design, own)
    if not notes:
        raise EditError("the design has no rows", "say which notes: --note, --scale or --chromatic")
    if args.trills and len(notes) < 2:
        raise EditError("a trill needs two notes", "give a second --note")
    return notes


def _lowest(design: Design, register: int) -> float:
    """Hz of the lowest note in a register.

    Raises
    ------
    EditError
        when there is none.
    """
    frequency = playable(design, halves=False, registers=(register,)).frequency
    sounding = frequency[np.isfinite(frequency)]
    if not len(sounding):
        raise EditError("this flute plays nothing in that register", "leave out --register")
    return float(sounding.min())


def _each(
    args: argparse.Namespace,
    design: Design,
    choice: Choice,
    notes: tuple[WantedNote, ...],
    drawing: Drawing,
) -> Answer:
    """The best of each note."""
    found = find(design, [note.frequency for note in notes], best=args.best, choice=choice)
    both = list(zip(notes, found, strict=True))
    return Answer(
        drawing.notes(both),
        {"notes": [_note(note, fingerings, drawing) for note, fingerings in both]},
        [(note, fingerings[0]) for note, fingerings in both if fingerings],
        [note for note, fingerings in both if not fingerings],
    )


def _chart(
    args: argparse.Namespace,
    design: Design,
    choice: Choice,
    notes: tuple[WantedNote, ...],
    drawing: Drawing,
) -> Answer:
    """One fingering a note."""
    chart = whole_chart(choice, [note.frequency for note in notes])
    both = list(zip(notes, chart.notes, strict=True))
    return Answer(
        drawing.chart(notes, chart),
        {
            "notes": [_note(note, (found,) if found else (), drawing) for note, found in both],
            "fingers_moved": chart.moved,
            "cost_cents": chart.total,
            "each_by_itself_cents": chart.separate,
        },
        [(note, found) for note, found in both if found],
        [note for note, found in both if not found],
    )


def _trills(
    args: argparse.Namespace,
    design: Design,
    choice: Choice,
    notes: tuple[WantedNote, ...],
    drawing: Drawing,
) -> Answer:
    """Each note and the next."""
    found = [
        ((low, high), trills(choice, low.frequency, high.frequency, best=args.best))
        for low, high in pairwise(notes)
    ]
    chosen = [
        each
        for (low, high), some in found
        for trill in some[:1]
        for each in ((low, trill.low), (high, trill.high))
    ]
    listed = [
        {"notes": [low.name, high.name], "trills": [trill_object(trill, drawing.fingers) for trill in some]}
        for (low, high), some in found
    ]
    missing = [note for note in notes if not len(choice.near(note.frequency))]
    return Answer(drawing.trills(found), {"pairs": listed}, chosen, missing)


def _note(note: WantedNote, found: tuple[Found, ...], drawing: Drawing) -> dict[str, object]:
    listed = [object_of(each, drawing.fingers) for each in found]
    return {"note": note.name, "frequency_hz": note.frequency, "fingerings": listed}
