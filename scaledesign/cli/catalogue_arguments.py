"""Arguments of the commands for what may stand in a design file; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_json, new_command


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_check(commands)
    _add_catalogue(commands)


def _add_check(commands: Commands) -> None:
    command = new_command(
        commands,
        "check",
        "design_commands:check",
        "read design files and name everything that is wrong in them",
        ("scaledesign check flute.toml", "scaledesign check *.toml"),
    )
    command.add_argument("files", nargs="+", metavar="FILE", help="design file")


def _add_catalogue(commands: Commands) -> None:
    scales = new_command(
        commands,
        "scales",
        "scales_command:show",
        "list the scales, with their words",
        (
            "scaledesign scales",
            "scaledesign scales --notes 5",
            "scaledesign scales --search ney",
            'scaledesign scales "just dorian" --tonic D4',
            "scaledesign scales 19 equal --reference 442",
        ),
    )
    scales.add_argument("name", nargs="*", metavar="NAME", help="show this one in full; 19 equal works too")
    scales.add_argument("--notes", type=int, metavar="N", help="only scales of so many notes")
    scales.add_argument("--search", metavar="WORD", help="only scales of which that is said, or their source")
    scales.add_argument("--tonic", default="A4", metavar="NOTE", help="of the one in full (default: A4)")
    scales.add_argument(
        "--reference",
        type=float,
        default=440.0,
        metavar="HZ",
        help="of A4, for the one in full (default: 440)",
    )
    add_json(scales)
    systems = new_command(
        commands,
        "systems",
        "catalogue_commands:systems",
        "list the fingering systems, with their words",
        ("scaledesign systems", "scaledesign systems --json"),
    )
    add_json(systems)
