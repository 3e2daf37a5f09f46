"""Arguments of the commands that get a file back: what is left of a damaged one, and how it was before."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_force, add_json, add_output, new_command


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_recover(commands)
    _add_earlier(commands)


def _add_recover(commands: Commands) -> None:
    command = new_command(
        commands,
        "recover",
        "recover_command:recover",
        "open a damaged design file as far as possible, and say line by line what cannot be read",
        ("scaledesign recover hurt.toml", "scaledesign recover hurt.toml -o mended.toml"),
    )
    command.add_argument("file", metavar="FILE", help="design file; it stays as it is")
    command.add_argument("-o", "--output", metavar="OUT", help="write what can be read to this file")
    add_force(command)
    add_json(command)


def _add_earlier(commands: Commands) -> None:
    command = new_command(
        commands,
        "earlier",
        "earlier_command:earlier",
        "list the earlier versions of a design file, which every save keeps; have one back",
        (
            "scaledesign earlier flute.toml",
            "scaledesign earlier flute.toml --take 2 -o before.toml",
            "scaledesign earlier flute.toml --take 1 --in-place",
        ),
    )
    command.add_argument("file", metavar="FILE", help="design file, there or not")
    command.add_argument("--take", type=int, metavar="N", help="have this one back, by its number")
    add_output(command)
    add_json(command)
