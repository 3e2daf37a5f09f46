"""Arguments of the commands that print and write what leaves as a file.

Apart because template, sheet, chart and print share what is chosen of all paper. Nothing of the engine is
imported but the names to choose from.
"""

from __future__ import annotations

import argparse

from scaledesign.cli.options import (
    Commands,
    Parser,
    add_design,
    add_form,
    add_json,
    add_origin,
    add_units,
    add_written,
    new_command,
)
from scaledesign.files.settings import PAPERS
from scaledesign.outputs.kinds import BY_KIND, OUTPUTS, Kind
from scaledesign.paper.chart.style_words import STYLE_WORDS
from scaledesign.paper.note_names import LANGUAGES


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_template(commands)
    _add_sheet(commands)
    _add_holes(commands)
    _add_chart(commands)
    _add_print(commands)


def _add_template(commands: Commands) -> None:
    command = new_command(
        commands,
        "template",
        "paper_commands:template",
        "write a drilling template, true size, to wrap around the tube",
        (
            "scaledesign template flute.toml",
            "scaledesign template flute.toml --paper letter -o template.pdf",
            "scaledesign template flute.toml -o template.dxf",
        ),
    )
    add_design(command)
    _add_out(command, "template", "default: the flute's name, -template.pdf, in this folder")
    _add_paper(command)
    add_units(command)
    add_origin(command)
    _add_large(command)
    _add_listed(command)


def _add_sheet(commands: Commands) -> None:
    command = new_command(
        commands,
        "sheet",
        "paper_commands:sheet",
        "write a shop sheet for the bench: dimensions, drill order, boxes to fill",
        (
            "scaledesign sheet flute.toml",
            "scaledesign sheet flute.toml --units in --from foot -o sheet.pdf",
            "scaledesign sheet flute.toml -o sheet.png --ppi 200",
        ),
    )
    add_design(command)
    _add_out(command, "sheet", "default: the flute's name, -sheet.pdf, in this folder")
    _add_paper(command)
    add_units(command)
    add_origin(command)
    _add_names(command)
    _add_large(command)
    _add_own(command)
    _add_ppi(command)
    _add_listed(command)


def _add_holes(commands: Commands) -> None:
    command = new_command(
        commands,
        "holes",
        "paper_commands:holes",
        "print the hole list to take to the bench",
        (
            "scaledesign holes flute.toml",
            "scaledesign holes flute.toml --units in --from foot -o holes.txt",
            "scaledesign holes flute.toml -o holes.csv",
        ),
    )
    add_design(command)
    add_units(command)
    add_origin(command)
    form = command.add_mutually_exclusive_group()
    add_form(form)
    add_json(form)
    add_written(command)


def _add_chart(commands: Commands) -> None:
    command = new_command(
        commands,
        "chart",
        "paper_commands:chart",
        "make a fingering chart: a page, a web page that plays, or text for a message",
        (
            "scaledesign chart flute.toml",
            "scaledesign chart flute.toml -o chart.pdf",
            "scaledesign chart flute.toml --names german --large --trills -o chart.pdf",
            "scaledesign chart flute.toml -o chart.html",
            "scaledesign chart flute.toml --as tsv > fingerings.txt",
        ),
    )
    add_design(command)
    add_form(command)
    _add_out(command, "chart", "else it is printed as text")
    command.add_argument("--ascii", action="store_true", help="text: letters instead of circles")
    command.add_argument("--narrow", action="store_true", help="text: short lines, for a telephone")
    _add_paper(command)
    _add_look(command)
    _add_own(command)
    _add_ppi(command)


def _add_print(commands: Commands) -> None:
    command = new_command(
        commands,
        "print",
        "paper_commands:print_all",
        "write all there is of a flute into one folder: pages, tables, notes",
        (
            "scaledesign print flute.toml",
            "scaledesign print flute.toml --into bench --only template,sheet",
            "scaledesign print flute.toml --only chart --forms pdf,html --names french",
        ),
    )
    add_design(command)
    command.add_argument(
        "--into",
        metavar="FOLDER",
        help="folder to write to, made if need be (default: one of the flute's name)",
    )
    command.add_argument(
        "--only",
        metavar="KINDS",
        help=f"some of {', '.join(output.kind for output in OUTPUTS)} (default: all)",
    )
    command.add_argument(
        "--forms",
        metavar="FORMS",
        help=f"some of {', '.join(dict.fromkeys(form for output in OUTPUTS for form in output.forms))} "
        "(default: the usual of each kind)",
    )
    command.add_argument("--force", action="store_true", help="replace files that are there")
    _add_paper(command)
    add_units(command)
    add_origin(command)
    _add_look(command)
    _add_own(command)
    _add_ppi(command)
    _add_listed(command)


def _add_out(command: Parser, kind: Kind, otherwise: str) -> None:
    """Where it goes, and so the form."""
    endings = ", ".join(f".{form}" for form in BY_KIND[kind].forms)
    command.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        help=f"write it to this file, in the form of its ending: {endings} ({otherwise})",
    )
    command.add_argument("--force", action="store_true", help="replace files that are there")


def _add_listed(command: Parser) -> None:
    command.add_argument("--json", action="store_true", help="say what was written as one JSON object")


def _add_paper(command: Parser) -> None:
    command.add_argument(
        "--paper", choices=PAPERS, help="paper (default: as your settings say, else that of your country)"
    )


def _add_names(command: Parser) -> None:
    command.add_argument(
        "--names",
        choices=tuple(LANGUAGES),
        metavar="LANGUAGE",
        help=f"how notes are called: {', '.join(LANGUAGES)} (default: as your settings say, else english)",
    )


def _add_look(command: Parser) -> None:
    """What concerns the chart."""
    _add_names(command)
    command.add_argument(
        "--style",
        choices=tuple(STYLE_WORDS),
        help=f"look of the chart; {'; '.join(_looks())} (default: as your settings say, else plain)",
    )
    _add_large(command)
    _add_either(command, "--overblown", "with overblown notes or without (default: with)")
    _add_either(command, "--others", "with other fingerings of a note or without (default: with)")
    _add_either(command, "--trills", "with trills between neighbouring notes or without (default: without)")


def _add_large(command: Parser) -> None:
    _add_either(command, "--large", "large print or not (default: as your settings say, else not)")


def _looks() -> list[str]:
    return [f"{name}: {words[0].lower()}{words[1:].rstrip('.')}" for name, words in STYLE_WORDS.items()]


def _add_either(command: Parser, flag: str, words: str) -> None:
    command.add_argument(flag, action=argparse.BooleanOptionalAction, help=words)


def _add_own(command: Parser) -> None:
    """The maker's own."""
    command.add_argument("--maker", metavar="NAME", help="your own name on it")
    command.add_argument("--picture", metavar="FILE", help="your own picture on it: PNG, JPEG or SVG")


def _add_ppi(command: Parser) -> None:
    command.add_argument("--ppi", type=float, metavar="N", help="pixels an inch of a .png (default: 144)")
