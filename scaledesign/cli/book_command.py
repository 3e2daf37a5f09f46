"""book: what the maker's finished flutes teach of the next one, and the putting of it into a flute.

Apart from the reckoning (``workshop/book.py``). Without --for or --flute the whole folder is told.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from datetime import datetime
from difflib import get_close_matches
from math import exp
from pathlib import Path

import scaledesign
from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK, USAGE
from scaledesign.cli.files import kept, next_file, output_path, read_design, write_design
from scaledesign.errors import UnknownNameError
from scaledesign.files.settings import load_settings
from scaledesign.model.document import Design, Units
from scaledesign.model.units import format_cents, format_length
from scaledesign.paper.report import blocks, title
from scaledesign.paper.text import bullets, on_one_line, paragraph, table
from scaledesign.workshop.book import Book, Flute, called, read_book
from scaledesign.workshop.book_advice import Advice, advise, bare, taken
from scaledesign.workshop.book_words import better, habits, outlooks, warnings
from scaledesign.workshop.from_book import doubts, story

NAME = 20
"""Letters of a flute's name in a table."""
LEGEND = (
    "measures: tube that the mouth should add by its measures. learnt: what the flute's own readings say. "
    "off: how far apart these are. cents: how much sharper or flatter the bare tube is for it."
)


def folder_of(args: argparse.Namespace) -> Path | None:
    """The folder that the arguments or the settings name."""
    given: str | None = getattr(args, "folder", None) or getattr(args, "book", None)
    if getattr(args, "no_book", False):
        return None
    chosen = given or load_settings()[0].book
    return Path(chosen) if chosen else None


def book(args: argparse.Namespace) -> int:
    """Tell the book, or a flute of it, or what it says of a flute."""
    if args.file is None and (args.in_place or args.output):
        print("scaledesign book: --in-place and -o go with --for FILE.", file=sys.stderr)
        return USAGE
    folder = folder_of(args)
    if folder is None:
        print(
            "scaledesign book: name the folder of your finished designs, or write it into settings.toml: "
            '[book] folder = "~/flutes".',
            file=sys.stderr,
        )
        return USAGE
    if args.file is not None:
        output = output_path(args)
        design = read_design(args)
        return _for(args, read_book(folder).without(Path(args.file), design), design, output)
    found = read_book(folder)
    if args.flute is not None:
        return _story(args, _named(found, args.flute))
    if args.json:
        print_json(_object(found))
    else:
        print(_told(found, args.units or _units(found)))
    return OK


def _told(found: Book, units: Units) -> str:
    """Everything that was learnt."""
    taught = found.taught
    count = f"{len(taught)} flute" if len(taught) == 1 else f"{len(taught)} flutes"
    head = f"The book in {found.folder}: {count} to learn from"
    left = len(found.flutes) - len(taught)
    if left:
        head += f", {left} that {'teaches' if left == 1 else 'teach'} nothing yet"
    if not taught:
        how = "Blow your flutes bare, type what the tuner shows (scaledesign calibrate), and keep them here."
        return blocks(f"{head}.", how, bullets(warnings(found)))
    return blocks(
        f"{head}.",
        _table(taught, units),
        paragraph(f"Lengths in {units}. {LEGEND}"),
        bullets(habits(found, units)),
        _next(found, units),
        bullets(warnings(found)),
    )


def _table(flutes: tuple[Flute, ...], units: Units) -> str:
    header = ("flute", "key", "bore", "mouth", "measures", "learnt", "±", "off", "cents")

    def shown(metres: float) -> str:
        return format_length(metres, units, unit=False)

    rows = [
        (
            on_one_line(called(flute), NAME),
            flute.key,
            shown(flute.plain.tube.bore[0].value),
            flute.mouth,
            shown(flute.estimate.added_length),
            shown(flute.learnt),
            shown(flute.doubt),
            f"{100 * (exp(flute.off) - 1):+.0f} %",
            format_cents(flute.cents),
        )
        for flute in flutes
    ]
    return table(header, rows, "llrlrrrrr")


def _next(found: Book, units: Units) -> str:
    """What the next flute of each kind would be sure to."""
    header = ("the next one", "bore", "± without", "± with the book", "from")
    rows = []
    for outlook in outlooks(found):
        without, with_it = outlook.advice.cents
        bore = format_length(outlook.like.plain.tube.bore[0].value, units)
        alike = len(outlook.advice.alike)
        flutes = f"{alike} flute" if alike == 1 else f"{alike} flutes"
        rows.append((outlook.like.mouth, bore, f"{without:.0f} cents", f"{with_it:.0f} cents", flutes))
    said = "± of the note of the bare tube before it is blown; scaledesign new and book --for take it in."
    return f"{table(header, rows, 'llrrl')}\n\n{paragraph(said)}"


def _for(args: argparse.Namespace, found: Book, design: Design, output: Path | None) -> int:
    """What the book says of a flute; written where asked."""
    units: Units = args.units or design.units
    advice = advise(found, design)
    result = None
    if output:
        result = taken(design, advice, datetime.now())
    if args.json:
        advice = replace(advice, plain=bare(design))
        without, with_it = doubts(design, advice)
        least = {"least_certain_without_cents": without, "least_certain_with_cents": with_it}
        print_json({"name": design.name, "folder": str(found.folder), **advice_object(advice), **least})
    else:
        file, _ = next_file(args, output)
        blown = design.voicing.calibrated
        own = "This flute was blown: its own readings say more than any book, and nothing is put into it."
        print(
            blocks(
                title(design),
                paragraph(f"{better(advice, doubts(design, advice))}."),
                paragraph(_mouth(advice, units)),
                _alike(advice, units),
                own if blown else kept(args, output) if advice.alike else "",
                f"Lay the holes out for it:\n    scaledesign solve {file} --in-place" if result else "",
                bullets(warnings(found)),
            )
        )
    if output and result:
        write_design(args, result, output)
    return OK


def _mouth(advice: Advice, units: Units) -> str:
    estimate = advice.estimate
    measures = (
        f"{format_length(estimate.added_length, units)}, ± {format_length(estimate.uncertainty, units)}, "
        f"going by {estimate.basis}"
    )
    if not advice.alike:
        return f"Its mouth is taken to add {measures}: blow the bare tube, and the next one has something."
    return (
        f"Its mouth adds {format_length(advice.added_length, units)} of tube, "
        f"± {format_length(advice.uncertainty, units)}, going by {advice.words}. Without them {measures}."
    )


def _alike(advice: Advice, units: Units) -> str:
    """The flutes that it rests on, those first that have the most part."""
    if not advice.alike:
        return ""
    alike = {id(f): a for f, a in zip(advice.flutes, advice.said.alike, strict=True)}
    rows = [
        (
            on_one_line(called(flute), NAME),
            format_length(flute.plain.tube.bore[0].value, units),
            f"{100 * alike[id(flute)]:.0f} %",
            f"{100 * (exp(flute.off) - 1):+.0f} %",
        )
        for flute in advice.alike[:8]
    ]
    return table(("flute", "bore", "alike", "off"), rows, "lrrr")


def _story(args: argparse.Namespace, flute: Flute) -> int:
    """What was done on one flute."""
    design = scaledesign.load(flute.path)
    parts = story(design, args.units or design.units)
    if args.json:
        print_json({**flute_object(flute), **{name.replace(" ", "_"): list(lines) for name, lines in parts}})
        return OK
    told = [f"{name}:\n" + "\n".join(f"    {on_one_line(line)}" for line in lines) for name, lines in parts]
    print(blocks(title(design), str(flute.path), *told))
    return OK


def _named(found: Book, name: str) -> Flute:
    """The flute of that name, or of that file.

    Raises
    ------
    UnknownNameError
    """
    known: dict[str, Flute] = {}
    for flute in reversed(found.flutes):
        known |= {flute.path.stem.casefold(): flute, flute.path.name.casefold(): flute}
        known[called(flute).casefold()] = flute
    if name.casefold() not in known:
        nearest = get_close_matches(name.casefold(), known, 1)
        names = tuple(called(flute) for flute in found.flutes)
        raise UnknownNameError("flute", name, names, called(known[nearest[0]]) if nearest else "")
    return known[name.casefold()]


def _units(found: Book) -> Units:
    """Inches where most flutes are in inches."""
    inches = sum(flute.units == "in" for flute in found.taught)
    return "in" if inches > len(found.taught) / 2 else "mm"


def flute_object(flute: Flute) -> dict[str, object]:
    """One flute of the book."""
    tube = flute.plain.tube
    return {
        "file": str(flute.path),
        "name": flute.name,
        "key": flute.key,
        "mouth": flute.mouth,
        "bore_m": tube.bore[0].value,
        "wall_m": tube.wall[0].value,
        "length_m": tube.length,
        "counts": flute.counts,
        "estimate_m": flute.estimate.added_length,
        "estimate_uncertainty_m": flute.estimate.uncertainty,
        "learnt_m": flute.learnt if flute.counts else None,
        "learnt_uncertainty_m": flute.doubt if flute.counts else None,
        "ratio": exp(flute.off) if flute.counts else None,
        "cents": flute.cents if flute.counts else None,
        "drift_m_per_khz2": flute.drift,
        "bore_correction_m": flute.bore,
        "wall_correction_m": flute.wall,
        "warmth_k": flute.warmth,
        "rows_read": flute.rows_read,
        "last": flute.last or None,
    }


def advice_object(advice: Advice) -> dict[str, object]:
    """What the book says of a flute."""
    without, with_it = advice.cents
    return {
        "estimate_m": advice.estimate.added_length,
        "estimate_uncertainty_m": advice.estimate.uncertainty,
        "added_length_m": advice.added_length,
        "uncertainty_m": advice.uncertainty,
        "bare_tube_without_cents": without,
        "bare_tube_with_cents": with_it,
        "scatter_share": advice.said.scatter,
        "flutes": [str(flute.path) for flute in advice.alike],
    }


def _object(found: Book) -> dict[str, object]:
    return {
        "folder": str(found.folder),
        "flutes": [flute_object(flute) for flute in found.flutes],
        "habits": list(habits(found, _units(found))),
        "next": [
            {"mouth": each.like.mouth, "like": str(each.like.path), **advice_object(each.advice)}
            for each in outlooks(found)
        ],
        "remarks": list(warnings(found)),
    }
