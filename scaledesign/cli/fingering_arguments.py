"""Arguments of the commands for finding fingerings; standard library only."""

from __future__ import annotations

import argparse

from scaledesign.cli.options import Commands, add_design, add_json, add_output, new_command

BEST = 3
MOST = 50


def add(commands: Commands) -> None:
    """Add them to the tree."""
    command = new_command(
        commands,
        "fingerings",
        "fingerings_command:fingerings",
        "find the fingerings that play a note, a scale, all semitones, a whole chart or trills",
        (
            "scaledesign fingerings flute.toml --note F5",
            'scaledesign fingerings flute.toml --scale "just minor" --tonic E4 --best 1',
            "scaledesign fingerings flute.toml --chromatic --chart --in-place",
            "scaledesign fingerings flute.toml --note E5 --note F#5 --trills",
            "scaledesign fingerings flute.toml --note 659.3Hz --no-halves --register 1",
        ),
    )
    add_design(command)
    which = command.add_mutually_exclusive_group()
    which.add_argument(
        "--note",
        action="append",
        metavar="NOTE",
        help='a note (C5), a frequency ("523.3 Hz") or what lies above the tonic (3/2); may be given again '
        "(default: the notes of the rows)",
    )
    which.add_argument(
        "--scale",
        metavar="NAME",
        help="every note of a scale, over two registers: a name from scaledesign scales",
    )
    which.add_argument("--chromatic", action="store_true", help="all semitones, over two registers")
    command.add_argument(
        "--tonic", metavar="NOTE", help="note that the scale begins on (default: the flute's)"
    )
    what = command.add_mutually_exclusive_group()
    what.add_argument(
        "--chart", action="store_true", help="one fingering a note, chosen together: short ways between them"
    )
    what.add_argument(
        "--trills", action="store_true", help="for each note and the next: two fingerings, few fingers apart"
    )
    command.add_argument(
        "--best", type=_count, default=BEST, metavar="N", help=f"how many of each (default: {BEST})"
    )
    command.add_argument("--no-halves", action="store_true", help="no hole partly open")
    command.add_argument(
        "--open-share",
        type=_share,
        metavar="SHARE",
        help="open share of a hole that is partly open, between 0 and 1 (default: 0.5)",
    )
    command.add_argument(
        "--register",
        type=int,
        choices=(1, 2, 3),
        action="append",
        help="only in this register; may be given again (default: 1 and 2)",
    )
    command.add_argument("--parts", action="store_true", help="show all that is counted into each cost")
    add_output(command)
    command.add_argument("--ascii", action="store_true", help="letters instead of circles")
    add_json(command)


def _count(text: str) -> int:
    """How many of each."""
    if not text.isdecimal() or not 1 <= int(text) <= MOST:
        raise argparse.ArgumentTypeError(f"{text!r} is no number from 1 to {MOST}")
    return int(text)


def _share(text: str) -> float:
    """An open share."""
    try:
        share = float(text)
    except ValueError:
        share = 0.0
    if not 0 < share < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number between 0 and 1")
    return share
