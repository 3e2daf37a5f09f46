"""Arguments of the command that mends a finished flute; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_design, add_json, add_output, add_units, new_command

KINDS = ("open", "undercut", "fill", "move", "cut")
MOST = 3


def add(commands: Commands) -> None:
    """Add it to the tree."""
    command = new_command(
        commands,
        "rescue",
        "rescue_command:rescue",
        "say how to mend a finished flute: which holes to open, undercut, fill or move, fewest changes first",
        (
            "scaledesign rescue flute.toml",
            'scaledesign rescue flute.toml --row 3="D5 -14" --row 4="E5 +2"',
            "scaledesign rescue flute.toml --only open --only undercut --hold 2",
            "scaledesign rescue flute.toml --plan 2",
            "scaledesign rescue flute.toml --plan 2 --in-place",
        ),
    )
    add_design(command)
    command.add_argument(
        "--row",
        action="append",
        default=[],
        metavar="N=READING",
        help="what the tuner shows for a note, by its number in scaledesign predict; may be given again, on "
        "top of those in the file",
    )
    command.add_argument(
        "--only",
        action="append",
        choices=KINDS,
        help="think only of this kind of change; may be given again (default: all)",
    )
    command.add_argument(
        "--most", type=int, default=MOST, metavar="N", help=f"changes at most, 1 to 4 (default: {MOST})"
    )
    command.add_argument(
        "--hold",
        action="append",
        default=[],
        metavar="HOLE",
        help="leave this hole alone, by its number, or the foot: --hold foot; may be given again",
    )
    pitch = command.add_mutually_exclusive_group()
    pitch.add_argument(
        "--own-pitch",
        dest="own_pitch",
        action="store_true",
        default=None,
        help="mend the notes against each other, at the pitch the flute has by itself (default: where they "
        "are off together)",
    )
    pitch.add_argument(
        "--wanted-pitch",
        dest="own_pitch",
        action="store_false",
        help="bring every note to the pitch of the tuning, come what may",
    )
    command.add_argument(
        "--plan", type=int, default=1, metavar="N", help="the plan to show in full, and to write (default: 1)"
    )
    add_output(command)
    add_units(command)
    add_json(command)
