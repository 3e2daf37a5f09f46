"""Arguments of the commands for hands and for laying out without a tape; standard library only."""

from __future__ import annotations

import argparse

from scaledesign.cli.options import Commands, add_design, add_json, add_output, add_units, new_command

WAYS = ("cord", "fingers", "bore", "rules")


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_hands(commands)
    _add_cord(commands)


def _add_hands(commands: Commands) -> None:
    command = new_command(
        commands,
        "hands",
        "hands_command:hands",
        "say which holes are too far, too close or too wide for a hand, and what would help, with its cents",
        (
            "scaledesign hands",
            "scaledesign hands flute.toml",
            "scaledesign hands flute.toml --hand small",
            'scaledesign hands flute.toml --span "62 mm" --pad "15 mm"',
            'scaledesign hands flute.toml --spread "28,26,28" --gap 60 --pad 14 --take 1 -o hers.toml',
        ),
    )
    add_design(command, required=False)
    which = command.add_mutually_exclusive_group()
    which.add_argument("--hand", metavar="NAME", help="a named hand (default: the design's own)")
    which.add_argument(
        "--spread",
        metavar="LENGTHS",
        help='three comfortable spreads, index to middle, middle to ring, ring to little: "28,26,28"; '
        "with --gap and --pad",
    )
    which.add_argument(
        "--span",
        metavar="LENGTH",
        help="measured simply: index to ring finger, spread in comfort; with --pad",
    )
    command.add_argument(
        "--gap", metavar="LENGTH", help="from the upper hand's last finger to the lower's first"
    )
    command.add_argument("--pad", metavar="LENGTH", help="breadth of a finger tip")
    command.add_argument("--all", action="store_true", help="every remedy, not only the best few of each")
    command.add_argument(
        "--take",
        type=_number,
        metavar="N",
        help="put remedy N into the design that is written; without it only the hand is",
    )
    add_output(command)
    add_units(command)
    add_json(command)


def _add_cord(commands: Commands) -> None:
    command = new_command(
        commands,
        "cord",
        "cord_command:cord",
        "lay the holes out without a tape, by a folded cord, fingers or the bore, and judge rules of thumb",
        (
            "scaledesign cord flute.toml",
            "scaledesign cord flute.toml --with cord",
            'scaledesign cord flute.toml --with fingers --finger "18 mm" -o by-eye.toml',
            "scaledesign cord flute.toml --with rules",
        ),
    )
    add_design(command)
    command.add_argument(
        "--with",
        dest="way",
        choices=WAYS,
        help="only this: a folded cord, finger widths, widths of the bore, or rules of thumb (default: all)",
    )
    command.add_argument(
        "--finger", metavar="LENGTH", help="your finger's width (default: that of the design's hand)"
    )
    command.add_argument(
        "--rule",
        metavar="NAME",
        help="with --with rules: write the layout of this one",
    )
    add_output(command)
    add_units(command)
    add_json(command)


def _number(text: str) -> int:
    """Number of a remedy."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of a remedy, such as 1")
    return int(text)
