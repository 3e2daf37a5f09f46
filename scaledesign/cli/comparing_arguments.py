"""Arguments of the commands for comparing tunings, scales and variants of a flute; standard library only."""

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
    _add_suits(commands)
    _add_share(commands)
    _add_compare(commands)


def _add_suits(commands: Commands) -> None:
    command = new_command(
        commands,
        "suits",
        "suits_command:show",
        "say which scales a flute can play as it stands, on which tonics, and with which fingerings",
        (
            "scaledesign suits flute.toml",
            "scaledesign suits flute.toml --no-halves --within 15 --all",
            'scaledesign suits flute.toml --scale dorian --scale "pentatonic major"',
            "scaledesign suits flute.toml --scale dorian --tonic D5",
        ),
    )
    add_design(command)
    command.add_argument(
        "--scale", action="append", default=[], metavar="NAME", help="only this scale; may be given again"
    )
    command.add_argument(
        "--tonic",
        action="append",
        default=[],
        metavar="NOTE",
        help="only on this note (D5), or on the lowest of its name (D); may be given again",
    )
    command.add_argument(
        "--within",
        type=float,
        default=25.0,
        metavar="CENTS",
        help="how far off is still in tune (default: 25)",
    )
    command.add_argument("--no-halves", action="store_true", help="without holes partly open")
    command.add_argument(
        "--all", action="store_true", help="every scale on every tonic, not only the dozen that suit best"
    )
    add_json(command)


def _add_share(commands: Commands) -> None:
    command = new_command(
        commands,
        "share",
        "share_command:share",
        "find one layout of the holes for several scales at once, each with its weight",
        (
            'scaledesign share flute.toml --scale "hirajoshi"',
            'scaledesign share flute.toml --scale "dorian" --scale "mixolydian on G4 x 0.5" -o shared.toml',
            'scaledesign share flute.toml --own 0.5 --scale "just major"',
        ),
    )
    add_design(command)
    command.add_argument(
        "--scale",
        action="append",
        required=True,
        metavar="SCALE",
        help='a scale, with "on NOTE" where it is not on the flute\'s tonic, "x WEIGHT" where it counts for '
        "more or less than 1; may be given again",
    )
    command.add_argument(
        "--own",
        type=float,
        default=1.0,
        metavar="WEIGHT",
        help="how much the flute's own scale counts (default: 1; 0: not at all)",
    )
    add_output(command)
    add_units(command)
    add_json(command)


def _add_compare(commands: Commands) -> None:
    command = new_command(
        commands,
        "compare",
        "compare_command:compare",
        "set variants of a flute side by side, or one flute under several tunings, and take one over",
        (
            "scaledesign compare flute.toml slim.toml wide.toml",
            'scaledesign compare flute.toml --tuning "just major" --tuning "major on G4"',
            "scaledesign compare flute.toml slim.toml --adopt 2 -o flute.toml --force",
        ),
    )
    command.add_argument(
        "files", nargs="+", metavar="FILE", help="design file; the others are held against it"
    )
    command.add_argument(
        "--tuning",
        action="append",
        default=[],
        metavar="SCALE",
        help='solve the one FILE for this scale, such as "just major" or "major on G4"; may be given again',
    )
    command.add_argument("--adopt", type=int, metavar="N", help="write number N of the list to OUT")
    command.add_argument("-o", "--output", metavar="OUT", help="file that --adopt writes to")
    add_force(command)
    add_units(command)
    add_json(command)
