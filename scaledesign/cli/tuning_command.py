"""tuning: one tuning made from another, and where it goes: a scale file, a MIDI instrument, a flute.

Apart from ``scales``, which shows what there is. What is asked for is checked and made first, then written,
then printed, so that what fails writes nothing.
"""

from __future__ import annotations

import argparse
import re
import shlex
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import scaledesign
from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK, USAGE
from scaledesign.cli.files import output_path, put_design
from scaledesign.cli.scales_command import in_full, in_full_object
from scaledesign.errors import EditError, QuantityError, UnknownNameError
from scaledesign.extend.catalogue import Catalogue
from scaledesign.extend.registry import catalogue
from scaledesign.files.document_file import dumps, put_bytes
from scaledesign.model.degrees import SetDegrees, read_degree, settled
from scaledesign.model.document import Design
from scaledesign.model.edits import Retune, apply
from scaledesign.model.pitch import OCTAVE, parse_note
from scaledesign.model.retune import mixed, rotated, stretched, with_added, with_degree, without_degree
from scaledesign.model.scale import Scale, Tuned
from scaledesign.paper.report import blocks
from scaledesign.paper.text import bullets, paragraph
from scaledesign.values import dataclass
from scaledesign.view.consequences import consequence
from scaledesign.view.scale_files import Form, Start, contents, in_a_design, keep_own, own_place, start_of

_NUMBERED = re.compile(r"\s*(\d{1,4})\s*=(.*)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Made:
    """The tuning that was asked for."""

    tuned: Tuned
    kept: tuple[int, ...]
    """What each degree of the start has become, -1: taken out."""
    listed: bool
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Into:
    """A design tuned so, what became of its rows, and what is to be said of it."""

    path: Path
    design: Design
    rewritten: tuple[tuple[int, str, str], ...]
    """Row (from 1), note before, note after."""
    left: tuple[int, ...]
    """Rows (from 1) without counterpart."""
    said: tuple[str, ...]


def tuning(args: argparse.Namespace) -> int:
    """Make the tuning, write it where asked, print it."""
    if wrong := _misused(args):
        print(f"scaledesign tuning: {wrong}.", file=sys.stderr)
        return USAGE
    found = catalogue()
    output = _output(args)
    host = scaledesign.load(args.into) if args.into else None
    made = _made(args, found, host)
    scale = made.tuned.scale
    mine = None
    if args.mine:
        force = ", or --force to replace it"
        mine = own_place(scale, found, over=args.force, name="--name", or_else=force)
    into = _into(args, found, made, host) if host else None
    printed = in_full(made.tuned)
    listed = {**in_full_object(made.tuned), "remarks": list(made.remarks)}
    written: list[str] = []
    if output:
        put_bytes(_contents(args, made.tuned, output, into), output)
        written.append(str(output))
    if mine:
        keep_own(scale, mine)
        written.append(str(mine))
    if into and args.in_place:
        put_design(dumps(into.design), into.path)
        written.append(str(into.path))
    if args.json:
        print_json({**listed, "written": written, "into": _object(into) if into else None})
    else:
        print(
            blocks(printed, bullets(made.remarks), _told(into) if into else "", _kept(args, written, scale))
        )
    return OK


def _misused(args: argparse.Namespace) -> str:
    """What makes no sense together."""
    if args.share is not None and not args.mix:
        return "--share says how far toward --mix, which is missing"
    if args.in_place and not args.into:
        return "--in-place writes the design of --into back, which is missing"
    if (args.single_note or args.every_key) and Path(args.output or "").suffix.lower() != ".syx":
        option = "--single-note" if args.single_note else "--every-key"
        return f"{option} is for a file named with -o that ends in .syx"
    return ""


def _output(args: argparse.Namespace) -> Path | None:
    """Where the tuning itself goes; every refusal comes before the work.

    Raises
    ------
    EditError : it would replace what the maker has not given up, or is of no kind that is written
    """
    if args.in_place:
        output_path(argparse.Namespace(in_place=True, file=args.into))
    path = output_path(argparse.Namespace(output=args.output, force=args.force))
    if path and path.suffix.lower() not in (".toml", ".syx"):
        raise EditError(f"{path} is neither a scale file nor a MIDI tuning", "end its name in .toml or .syx")
    return path


def _start(text: str, args: argparse.Namespace, found: Catalogue, tonic: str) -> Start:
    """What a name or a file holds; ``tonic`` is the key that one for MIDI instruments is read from."""
    return start_of(
        text, Path(text), found, tonic, program=args.program, keys=args.repeats, others="--program takes"
    )


def _made(args: argparse.Namespace, found: Catalogue, host: Design | None) -> Made:
    """The tuning that was asked for: everything in the order that ``--help`` tells."""
    wanted = args.tonic or (host.tuning.tonic if host else "")
    start = _start(args.start, args, found, wanted)
    remarks = list(start.remarks)
    scale = start.scale
    if args.rotate is not None:
        scale = rotated(scale, args.rotate - 1)
    if args.mix:
        other = _start(args.mix, args, found, wanted)
        remarks += other.remarks
        scale = mixed(scale, other.scale, 0.5 if args.share is None else args.share)
    if args.stretch is not None:
        if args.stretch > OCTAVE:
            raise QuantityError(f"{args.stretch:g} c", "is too much for an octave", "stretch by a few cents")
        scale = stretched(scale, args.stretch)
    reference = args.reference
    if reference is None:
        reference = (host.tuning.reference if host else start.reference) or 440.0
    if not 100.0 <= reference <= 1000.0:
        raise QuantityError(f"{reference:g} Hz", "is no pitch for A4", "write one near 440")
    tuned = Tuned(scale, parse_note(wanted or start.tonic or "A4"), reference)
    scale, kept = _redegreed(tuned, args.degree, args.remove, args.add)
    if scale != start.scale:
        scale = settled(scale)
    changed = scale != start.scale
    if args.name:
        scale = replace(scale, name=args.name, also=())
    if args.words:
        scale = replace(scale, words=args.words)
    if any("\ud800" <= letter <= "\udfff" for letter in scale.name + scale.words):
        raise QuantityError(ascii(scale.name), "cannot be stored", "write the name and words again")
    return Made(
        replace(tuned, scale=scale), kept, start.listed and not changed and not args.name, tuple(remarks)
    )


def _redegreed(
    tuned: Tuned, degrees: Sequence[str], removed: Sequence[int], added: Sequence[str]
) -> tuple[Scale, tuple[int, ...]]:
    """The scale with degrees changed, taken out and added, and what each has become (-1: taken out)."""
    scale, count = tuned.scale, len(tuned.scale.cents)
    order = list(range(count))
    waiting = [_numbered(text, tuned) for text in degrees]
    while waiting:
        for change in waiting:
            number, cents = change
            try:
                scale = with_degree(scale, order.index(number), cents)
            except QuantityError:  # where another one still is that is about to move
                if change is waiting[-1]:
                    raise
                continue
            order.remove(number)
            order.insert(scale.cents.index(cents), number)
            waiting.remove(change)
            break
    for number in removed:
        if number - 1 not in order:
            raise QuantityError(str(number), "there is no such degree to take out", f"they are 1 to {count}")
        scale = without_degree(scale, order.index(number - 1))
        order.remove(number - 1)
    for text in added:
        cents, _ = read_degree(text, tuned)
        scale = with_added(scale, cents)
        order.insert(scale.cents.index(cents), -1)
    return scale, tuple(order.index(number) if number in order else -1 for number in range(count))


def _numbered(text: str, tuned: Tuned) -> tuple[int, float]:
    """Degree (from 0) and cents of ``"2=316 c"``."""
    said, count = _NUMBERED.fullmatch(text), len(tuned.scale.cents)
    if said is None:
        raise QuantityError(text, "is not a degree and its size", 'write --degree "2=316 c"')
    if not 1 <= int(said[1]) <= count:
        raise QuantityError(text, f"there is no degree {said[1]}", f"degrees are 1 to {count}")
    return int(said[1]) - 1, read_degree(said[2], tuned)[0]


def _contents(args: argparse.Namespace, tuned: Tuned, path: Path, into: Into | None) -> bytes:
    """What goes into the file, by its ending."""
    if into and path.suffix.lower() == ".toml":
        return scaledesign.dumps(into.design).encode()
    form: Form = "notes" if args.single_note else "bulk"
    if path.suffix.lower() == ".toml":
        form = "toml"
    return contents(tuned, form, program=args.program or 0, every=args.every_key)


def _into(args: argparse.Namespace, found: Catalogue, made: Made, host: Design) -> Into:
    """The design in the tuning, its rows written anew."""
    scale = made.tuned.scale
    told = replace(host.tuning, tonic=made.tuned.tonic.name, reference=made.tuned.reference)
    if made.listed or args.mine:
        new, told = scale, replace(told, scale=scale.name, degrees=())
    else:
        new, told = in_a_design(scale, told, "keep it among your own scales with --mine")
    try:
        old = found.scale_of(host.tuning)
    except UnknownNameError:  # the way out of a scale that nobody offers: the rows are taken to be of the new
        old = new
    edits: list[Retune] = [Retune(told, old, new)]
    if (args.degree or args.remove or args.add) and len(old.cents) == len(made.kept):
        moved = replace(host.tuning, tonic=told.tonic, reference=told.reference)
        edits = [Retune(moved, old, old)] if moved != host.tuning else []
        edits.append(SetDegrees(told, old, new, made.kept))
    design, said, left = host, [], set()
    for edit in edits:
        after = apply(design, edit)
        left |= {row + 1 for row in edit.left_behind(design)}
        said.append(consequence(edit, design, after))
        design = after
    pairs = enumerate(zip(host.rows, design.rows, strict=True), 1)
    rewritten = tuple((row, was.note, now.note) for row, (was, now) in pairs if was.note != now.note)
    return Into(Path(args.into), design, rewritten, tuple(sorted(left)), tuple(filter(None, said)))


def _told(into: Into) -> str:
    """What became of the rows of the design."""
    rows = [f"Row {row}: {was} is {now} now." for row, was, now in into.rewritten]
    head = f"{into.path}: {'rows written anew' if rows else 'every row keeps its note'}."
    return blocks(paragraph(head), bullets((*rows, *into.said)))


def _kept(args: argparse.Namespace, written: Sequence[str], scale: Scale) -> str:
    """Where it was written, and what to do next."""
    parts = [paragraph(f"Written to {' and '.join(written)}.")] if written else []
    if args.mine:
        parts.append(paragraph(f"From now on it is found by its name, {scale.name!r}."))
    tuned = args.into if args.in_place else _design_beside(args)
    if tuned:
        parts.append(f"Lay the holes out for it:\n    scaledesign solve {shlex.quote(tuned)} --in-place")
    elif args.into:
        parts.append(paragraph(f"{args.into} is as it was; to write it, add --in-place."))
    return "\n".join(parts)


def _design_beside(args: argparse.Namespace) -> str:
    """The file that the design of --into goes to instead of its own, or ''."""
    beside = args.output or ""
    return beside if args.into and beside.lower().endswith(".toml") else ""


def _object(into: Into) -> dict[str, object]:
    told = into.design.tuning
    return {
        "file": str(into.path),
        "tonic": told.tonic,
        "reference_hz": told.reference,
        "scale": told.scale or None,
        "degrees": list(told.degrees),
        "rewritten": [{"row": row, "before": was, "after": now} for row, was, now in into.rewritten],
        "left": list(into.left),
        "notes": list(into.said),
    }
