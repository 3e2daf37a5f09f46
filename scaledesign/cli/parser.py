"""The argument tree: every command, its options, its help.

Apart so that help, shell completion, the README's table and the tests read one description. Standard
library only, and nothing of the engine: ``run`` names the function to import when a command is chosen.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Iterable, Sequence

from scaledesign import __version__
from scaledesign.cli.exit_codes import MEANINGS, USAGE
from scaledesign.cli.options import Parser
from scaledesign.errors import LONGEST_SAID, shown

GROUPS = {
    "grid_arguments": ("grid",),
    "tube_arguments": ("tube",),
    "new_arguments": ("new",),
    "design_arguments": ("solve", "predict", "chances", "registers", "calibrate"),
    "bench_arguments": ("bench",),
    "listen_arguments": ("listen",),
    "rescue_arguments": ("rescue",),
    "pattern_arguments": ("pattern", "carry"),
    "book_arguments": ("book",),
    "paper_arguments": ("template", "sheet", "holes", "chart", "print"),
    "keeping_arguments": ("recover", "earlier"),
    "catalogue_arguments": ("check", "scales", "systems"),
    "tuning_arguments": ("tuning",),
    "fingering_arguments": ("fingerings",),
    "comparing_arguments": ("suits", "share", "compare"),
    "by_hand_arguments": ("hands", "cord"),
    "sound_arguments": ("hear",),
    "plugin_arguments": ("plugins",),
    "read_arguments": ("read",),
    "program_arguments": ("accuracy", "completion"),
}
"""The modules with the arguments, and the commands in each, in the order of the help."""
HOMES = {command: group for group, commands in GROUPS.items() for command in commands}
"""The module with the arguments of each command."""
GRID_OPTIONS = ("--example", "--no-colour", "--ascii", "--browser")
FILES = ("file", "files", "output", "into", "start", "picture", "recording")
"""Arguments that name files: an empty one would mean the folder we are in."""


def parse(argv: Sequence[str] | None) -> argparse.Namespace:
    """Read the arguments; what cannot be understood is said in one sentence.

    Only the group of the command that is named is built, unless help lists them all.

    Raises
    ------
    SystemExit
        when that sentence, or help, has been printed.
    """
    given = list(sys.argv[1:] if argv is None else argv)
    if not given:
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            build_parser().print_help(sys.stderr)
            raise SystemExit(USAGE)
        given = ["grid"]
    if given[0] in GRID_OPTIONS or given[0].endswith(".toml"):
        given = ["grid", *given]  # a file, or an option of the grid, without its name
    command = given[0]
    if command not in HOMES and not command.startswith("-"):
        print(f"scaledesign has no command {command!r}{_meant(command)}", file=sys.stderr)
        raise SystemExit(USAGE)
    parser = build_parser([HOMES[command]] if command in HOMES else GROUPS)
    args, unknown = parser.parse_known_args(given)
    if unknown:
        words = shown(" ".join(unknown), LONGEST_SAID)
        print(
            f"scaledesign {command}: {words} is not understood; see scaledesign {command} --help.",
            file=sys.stderr,
        )
        raise SystemExit(USAGE)
    named = [getattr(args, name, None) for name in FILES]
    if "" in named or any("" in names for names in named if isinstance(names, list)):
        print(f"scaledesign {command}: the name of a file is empty.", file=sys.stderr)
        raise SystemExit(USAGE)
    return args


def _meant(command: str) -> str:
    """What may have been meant by a word that is no command."""
    import difflib

    nearest = difflib.get_close_matches(command, HOMES, 1)
    return f"; did you mean {nearest[0]}?" if nearest else "; scaledesign --help lists them."


def build_parser(groups: Iterable[str] = GROUPS) -> Parser:
    """Return the tree, whole or with some groups of commands only."""
    parser = Parser(
        prog="scaledesign",
        description="For makers of finger-hole flutes: a tube and a scale in, holes that play in tune out.",
        epilog="to begin:\n"
        "  scaledesign                      (the grid, on the screen)\n"
        "  scaledesign solve --example marsh-wren\n"
        "  scaledesign new -o flute.toml\n"
        "  scaledesign read                 (the handbook: a first flute, pages for each job, why)\n\n"
        "exit codes:\n" + "\n".join(f"  {code:<4} {text}" for code, text in MEANINGS.items()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"scaledesign {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=Parser)
    for group in groups:
        importlib.import_module(f"scaledesign.cli.{group}").add(commands)
    return parser
