"""Arguments of the command that shows the handbook; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_json, new_command


def add(commands: Commands) -> None:
    """Add ``read`` to the tree."""
    command = new_command(
        commands,
        "read",
        "read_command:read",
        "read the handbook: its pages, one of them, or where a word stands; needs no network",
        (
            "scaledesign read                     (what pages there are)",
            "scaledesign read first-flute",
            "scaledesign read --search undercut",
            "scaledesign read --web handbook      (all of it for a browser, with its pictures)",
            "scaledesign read --where",
        ),
    )
    command.add_argument(
        "page", nargs="*", metavar="PAGE", help="a page, by its name (default: the list of them)"
    )
    what = command.add_mutually_exclusive_group()
    what.add_argument("--search", metavar="WORD", help="the lines of all pages in which this stands")
    what.add_argument("--where", action="store_true", help="the folder that pages and pictures lie in")
    what.add_argument(
        "--web", metavar="FOLDER", help="write every page into this folder as a web page, pictures in it"
    )
    command.add_argument("--force", action="store_true", help="let --web replace files that are there")
    add_json(command)
