"""listen: a recording of the maker playing goes in, readings come out.

Apart from ``calibrate``, which takes readings typed; what is entered and what it teaches is the same.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from scaledesign.cli.as_json import design_object, learnt_object, print_json, reading_object
from scaledesign.cli.calibrate_command import marked, what_next
from scaledesign.cli.exit_codes import CANNOT_USE, OK
from scaledesign.cli.files import kept, next_file, output_path, read_design, write_design
from scaledesign.cli.lesson_text import learnt_table, reading_table
from scaledesign.errors import EditError
from scaledesign.listening.notes import Note
from scaledesign.model.spelling import tuner_shows
from scaledesign.model.units import format_cents, parse_length, parse_temperature
from scaledesign.model.widths import known_length, length_unknown
from scaledesign.paper.report import blocks, missed, remarks, title, trust
from scaledesign.paper.text import paragraph, table
from scaledesign.view import recording
from scaledesign.view.recording import Heard
from scaledesign.wanted import done
from scaledesign.workshop.calibration import Calibration

LEGEND = (
    "plays: the mean in cents over whole waves of the vibrato. spread: cents, one standard deviation of the "
    "note's moments. off: cents from what was expected."
)


def listen(args: argparse.Namespace) -> int:
    """Print the notes found and their rows; enter them where asked."""
    output = output_path(args)
    design = read_design(args)
    if args.length is not None and not args.bare:
        raise EditError("--length is the bare tube's", "add --bare, or leave it out")
    if args.bare and args.length is None and length_unknown(design):
        raise EditError(
            "Nobody knows yet how long this tube was when it was blown",
            "measure it from the sounding edge to the foot and add --length",
        )
    heard = recording.listen_to(
        design,
        Path(args.recording),
        bare=args.bare,
        order=args.order,
        length=known_length(design) if args.length is None else parse_length(args.length, design.units),
        temperature=None if args.temperature is None else parse_temperature(args.temperature),
        told=done,
    )
    any_row = bool(heard.takes())
    result = heard.entered() if output and any_row else None
    learnt = result is not None and result.design is not design
    if output and result is not None and learnt:
        write_design(args, result.design, output)
    if args.json:
        print_json(_object(heard, result))
    else:
        text = [
            title(design),
            paragraph(recording.said(heard)),
            _notes(heard),
            paragraph(LEGEND) if any_row else "",
            _left_out(heard),
            remarks(recording.remarks(heard)),
        ]
        if result is not None:
            units, (file, _) = args.units or design.units, next_file(args, output)
            text += [
                reading_table(result.residuals, design),
                learnt_table(result.learnt, units),
                remarks(result.notes),
                marked(design, result.design, file if learnt else ""),
                trust(result.design, result.after, file, units),
            ]
        if any_row and (result is None or learnt):
            text.append(_kept(args, output))
        if result is not None and learnt and missed(result.design, result.after):
            text.append(what_next(result.design, next_file(args, output)[0]))
        print(blocks(*text))
    return OK if any_row and (result is None or learnt) else CANNOT_USE


def _kept(args: argparse.Namespace, output: Path | None) -> str:
    if output:
        return kept(args, output)
    return "Nothing is entered yet; to enter these readings, add --in-place."


def _notes(heard: Heard) -> str:
    """A line for each note that is of a row."""
    lines = []
    for number, note in enumerate(heard.notes):
        place = heard.of[number]
        if place is None:
            continue
        row = heard.awaited.rows[place]
        lines.append(
            (
                recording.moment(note.start),
                f"{note.seconds:.1f} s",
                tuner_shows(heard.design, note.frequency),
                f"{note.frequency:.1f}",
                f"{note.spread:.0f}",
                f"±{note.vibrato:.0f}, {note.waves:.1f} Hz" if note.vibrato else "",
                heard.awaited.labels[place],
                "" if row is None else heard.design.rows[row].note,
                format_cents(heard.off(number)),
            )
        )
    header = ("at", "long", "plays", "Hz", "spread", "vibrato", "is", "", "off")
    return table(header, lines, "rrrrrrllr") if lines else ""


def _left_out(heard: Heard) -> str:
    every = [(note, heard.why(i)) for i, note in enumerate(heard.notes) if heard.of[i] is None]
    every += recording.passed_over(heard)
    lines = [
        (
            recording.moment(note.start),
            f"{note.seconds:.1f} s",
            tuner_shows(heard.design, note.frequency),
            why,
        )
        for note, why in sorted(every, key=lambda each: each[0].start)
    ]
    return f"Left out:\n{table(('at', 'long', 'plays', 'why'), lines, 'rrrl')}" if lines else ""


def _object(heard: Heard, result: Calibration | None) -> dict[str, object]:
    among = heard.awaited
    notes = []
    for number, note in enumerate(heard.notes):
        place = heard.of[number]
        row = None if place is None else among.rows[place]
        notes.append(
            _note(note)
            | {
                "is": None if place is None else among.labels[place],
                "row": None if row is None else row + 1,
                "register": None if place is None else among.registers[place],
                "expected_hz": None if place is None else float(among.frequency[place]),
                "off_cents": None if place is None else heard.off(number),
                "chance": heard.paired(number).chance,
                "left_out": heard.why(number) or None,
            }
        )
    found: dict[str, object] = {
        "name": heard.design.name,
        "seconds": heard.listened.seconds,
        "overdriven": heard.listened.overdriven,
        "shift_cents": heard.pairing.shift,
        "shift_uncertainty_cents": heard.pairing.shift_doubt,
        "notes": notes,
        "passed_over": [_note(note) | {"why": why} for note, why in recording.passed_over(heard)],
        "remarks": list(recording.remarks(heard)),
        "readings": None,
        "learnt": None,
        "after": None,
    }
    if result is not None:
        found["readings"] = [reading_object(each) for each in result.residuals]
        found["learnt"] = {each.name: learnt_object(each) for each in result.learnt}
        found["after"] = design_object(result.design, result.after, (*result.notes, *result.after.notes))
    return found


def _note(note: Note) -> dict[str, object]:
    return {
        "start_s": note.start,
        "length_s": note.seconds,
        "frequency_hz": note.frequency,
        "spread_cents": note.spread,
        "vibrato_cents": note.vibrato,
        "vibrato_hz": note.waves,
        "above_breath_db": note.above_breath,
    }
