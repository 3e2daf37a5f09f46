"""Arguments of the commands about a pattern flute; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import (
    Commands,
    add_design,
    add_force,
    add_json,
    add_output,
    add_units,
    new_command,
)


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_pattern(commands)
    _add_carry(commands)


def _add_pattern(commands: Commands) -> None:
    command = new_command(
        commands,
        "pattern",
        "pattern_command:pattern",
        "look at a good flute that you measured: slips that its notes contradict, and what is remarkable",
        (
            "scaledesign pattern old-flute.toml",
            'scaledesign pattern old-flute.toml --row 1="A4 -4" --row 3="C5 +3" --in-place',
        ),
    )
    add_design(command)
    command.add_argument(
        "--bare",
        action="append",
        default=[],
        metavar="READING",
        help='the tube with every hole taped: "A4 -4" (note and cents) or "438.9 Hz"; may be given again',
    )
    command.add_argument(
        "--row",
        action="append",
        default=[],
        metavar="N=READING",
        help="what the tuner shows for a row, by its number in scaledesign predict; may be given again",
    )
    add_output(command)
    add_units(command)
    add_json(command)


def _add_carry(commands: Commands) -> None:
    command = new_command(
        commands,
        "carry",
        "carry_command:carry",
        "carry a good flute to another tube, key, scale or hand, keeping its character",
        (
            "scaledesign carry old-flute.toml --key G4 -o new.toml",
            'scaledesign carry old-flute.toml --tube "17.5 x 4 x 450 mm" --avoid 171..176 -o new.toml',
            'scaledesign carry old-flute.toml --scale "just major" --hand small --as-it-plays',
        ),
    )
    add_design(command)
    command.add_argument(
        "--tube",
        metavar="TUBE",
        help="the new tube, bore x wall or bore x wall x length (default: one alike)",
    )
    command.add_argument(
        "--avoid",
        default="",
        metavar="STRETCHES",
        help='where the new tube takes no hole, from the sounding edge: "171..177, 300..306"',
    )
    command.add_argument("--key", metavar="NOTE", help="lowest note, such as G4 (default: the pattern's)")
    command.add_argument(
        "--scale", metavar="NAME", help="a name from: scaledesign scales (default: the pattern's)"
    )
    command.add_argument("--reference", type=float, metavar="HZ", help="of A4 (default: the pattern's)")
    command.add_argument("--hand", metavar="NAME", help="small, medium or large (default: the pattern's)")
    command.add_argument(
        "--as-it-plays",
        action="store_true",
        help="keep what the pattern was read to be off its notes, as belonging to it",
    )
    command.add_argument("--name", default="", help="what you call the new flute")
    command.add_argument("-o", "--output", metavar="OUT", help="write the new flute to this file")
    add_force(command)
    add_json(command)
