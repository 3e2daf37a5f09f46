"""Arguments of the command for the maker's book; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, Parser, add_json, add_output, add_units, new_command


def add(commands: Commands) -> None:
    """Add it to the tree."""
    command = new_command(
        commands,
        "book",
        "book_command:book",
        "say what your finished flutes teach of the next one's mouth, and put it into a flute not yet blown",
        (
            "scaledesign book flutes",
            'scaledesign book flutes --flute "Marsh wren"',
            "scaledesign book flutes --for flute.toml --in-place",
        ),
    )
    command.add_argument(
        "folder",
        nargs="?",
        metavar="FOLDER",
        help="folder with your finished designs (default: [book] folder in settings.toml)",
    )
    which = command.add_mutually_exclusive_group()
    which.add_argument(
        "--for", dest="file", metavar="FILE", help="what the book says of this flute, which was not blown yet"
    )
    which.add_argument("--flute", metavar="NAME", help="what you did on this one: its log and what it played")
    add_output(command)
    add_units(command)
    add_json(command)


def add_book(command: Parser) -> None:
    """Which book a new flute is begun with."""
    which = command.add_mutually_exclusive_group()
    which.add_argument(
        "--book",
        metavar="FOLDER",
        help="folder with your finished designs, to know the mouth by (default: [book] in settings.toml)",
    )
    which.add_argument("--no-book", action="store_true", help="without your finished designs")
