"""The argument tree: every command, its options, its help.

Apart so that help, shell completion, the README's table and the tests read one description. Standard
library only, and nothing of the engine: ``run`` names the function to import when a command is chosen.
"""

from __future__ import annotations

import argparse
import difflib
import sys
from collections.abc import Sequence
from typing import NoReturn

from scaledesign import __version__
from scaledesign.cli.exit_codes import MEANINGS, USAGE
from scaledesign.locations import EXAMPLES

GRID_OPTIONS = ("--example", "--no-colour", "--ascii", "--browser")
MOUTHS = ("duct", "notch", "rim", "transverse")
FORMS = ("text", "tsv", "csv")


class Parser(argparse.ArgumentParser):
    """An argument parser that complains in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong on stderr and leave with the usage code."""
        print(f"{self.prog}: {message}; see {self.prog} --help.", file=sys.stderr)
        raise SystemExit(USAGE)


def example_names() -> tuple[str, ...]:
    """Names of the designs that come with the program."""
    return tuple(sorted(path.stem for path in EXAMPLES.glob("*.toml")))


def parse(argv: Sequence[str] | None) -> argparse.Namespace:
    """Read the arguments; what cannot be understood is said in one sentence.

    Raises
    ------
    SystemExit
        when that sentence, or help, has been printed.
    """
    given = list(sys.argv[1:] if argv is None else argv)
    parser = build_parser()
    if not given:
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            parser.print_help(sys.stderr)
            raise SystemExit(USAGE)
        given = ["grid"]
    if given[0] in GRID_OPTIONS or given[0].endswith(".toml"):
        given = ["grid", *given]  # a file, or an option of the grid, without its name
    if not given[0].startswith("-") and given[0] not in command_names(parser):
        nearest = difflib.get_close_matches(given[0], command_names(parser), 1)
        meant = f"; did you mean {nearest[0]}?" if nearest else "; scaledesign --help lists them."
        print(f"scaledesign has no command {given[0]!r}{meant}", file=sys.stderr)
        raise SystemExit(USAGE)
    args, unknown = parser.parse_known_args(given)
    if unknown:
        print(
            f"scaledesign {given[0]}: {' '.join(unknown)} is not understood; "
            f"see scaledesign {given[0]} --help.",
            file=sys.stderr,
        )
        raise SystemExit(USAGE)
    return args


def command_names(parser: Parser) -> tuple[str, ...]:
    """Names of the commands."""
    (commands,) = (a for a in parser._actions if isinstance(a, argparse._SubParsersAction))
    return tuple(commands.choices)


def build_parser() -> Parser:
    """Return the whole tree."""
    parser = Parser(
        prog="scaledesign",
        description="For makers of finger-hole flutes: a tube and a scale in, holes that play in tune out.",
        epilog="to begin:\n"
        "  scaledesign                      (the grid, on the screen)\n"
        "  scaledesign solve --example marsh-wren\n"
        "  scaledesign new -o flute.toml\n\n"
        "exit codes:\n" + "\n".join(f"  {code:<4} {text}" for code, text in MEANINGS.items()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"scaledesign {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=Parser)
    _add_grid(commands)
    _add_new(commands)
    _add_solve(commands)
    _add_predict(commands)
    _add_registers(commands)
    _add_calibrate(commands)
    _add_holes(commands)
    _add_chart(commands)
    _add_check(commands)
    _add_catalogue(commands)
    _add_accuracy(commands)
    _add_completion(commands)
    return parser


def _command(
    commands: argparse._SubParsersAction[Parser], name: str, run: str, words: str, examples: tuple[str, ...]
) -> Parser:
    """Add one command with its sentence and the examples that ``--help`` shows."""
    command = commands.add_parser(
        name,
        help=words,
        description=words[0].upper() + words[1:] + ".",
        epilog="examples:\n" + "\n".join(f"  {example}" for example in examples),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    command.set_defaults(run=f"scaledesign.cli.{run}")
    return command


def _add_design(command: Parser, *, required: bool = True) -> None:
    """The design: a file of the maker's or one of the examples."""
    names = example_names()
    which = command.add_mutually_exclusive_group(required=required)
    which.add_argument("file", nargs="?", metavar="FILE", help="design file")
    which.add_argument("--example", metavar="NAME", choices=names, help=f"one of ours: {', '.join(names)}")


def _add_output(command: Parser) -> None:
    """Where a changed design goes."""
    where = command.add_mutually_exclusive_group()
    where.add_argument("-o", "--output", metavar="OUT", help="write the design to this file")
    where.add_argument("--in-place", action="store_true", help="write the design back to FILE")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")


def _add_json(command: argparse._ActionsContainer) -> None:
    command.add_argument(
        "--json", action="store_true", help="one JSON object for programs, SI units named in the keys"
    )


def _add_form(command: argparse._ActionsContainer) -> None:
    command.add_argument(
        "--as",
        dest="form",
        choices=FORMS,
        help="text to read, or tsv or csv for a spreadsheet, not rounded for the hand "
        "(default: by the ending of OUT, else text)",
    )


def _add_written(command: Parser) -> None:
    """Where a list goes."""
    command.add_argument("-o", "--output", metavar="OUT", help="write it to this file instead of printing it")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")


def _add_units(command: Parser) -> None:
    command.add_argument("--units", choices=("mm", "in"), help="units to print (default: the design's own)")


def _add_origin(command: Parser) -> None:
    command.add_argument(
        "--from",
        dest="origin",
        choices=("edge", "foot", "cut-end"),
        default="edge",
        help="end you measure holes from: sounding edge, foot, or the tube's mouth-side cut end",
    )


def _add_grid(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands, "grid", "grid_command:grid",
        "open a flute on the screen, true on every edit; the same as no command at all",
        (
            "scaledesign grid", "scaledesign grid flute.toml", "scaledesign grid --example night-heron",
            "scaledesign grid --browser flute.toml",
        ),
    )  # fmt: skip
    _add_design(command, required=False)
    command.add_argument("--no-colour", action="store_true", help="no colours, as with NO_COLOR set")
    command.add_argument("--ascii", action="store_true", help="draw with plain letters only")
    command.add_argument(
        "--browser", action="store_true", help="in a browser on this computer; needs the extra [browser]"
    )
    command.add_argument(
        "--port", type=int, metavar="N", help="port for --browser (default: any that is free)"
    )


def _add_new(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "new",
        "new_command:new",
        "start a flute from the tube in your hand; asks for what is not given",
        (
            "scaledesign new -o flute.toml",
            'scaledesign new --tube "5/8 in x 1/8 in x 20 in" --key F#4 -o flute.toml',
            "scaledesign new --bore 16 --wall 3 --key D5 --scale major -o flute.toml",
            'scaledesign new --tube "19 x 5 mm" --key D4 --mouth notch -o flute.toml',
        ),
    )
    command.add_argument("--name", help="what you call the flute")
    command.add_argument(
        "--tube",
        metavar="TUBE",
        help='bore x wall, or bore x wall x length: "5/8 in x 1/8 in x 20 in"; instead of the next three',
    )
    command.add_argument("--bore", metavar="LENGTH", help='inside diameter: 16, "16 mm", "5/8 in"')
    command.add_argument("--wall", metavar="LENGTH", help="thickness of the wall")
    command.add_argument(
        "--length", metavar="LENGTH", help="usable length of your tube, sounding edge to foot, if it limits"
    )
    command.add_argument(
        "--units",
        choices=("mm", "in"),
        help="units of bare numbers and of the list (default: the tube's, or mm)",
    )
    command.add_argument("--mouth", choices=MOUTHS, help="how it is blown (default: duct)")
    command.add_argument("--key", metavar="NOTE", help="lowest note, all holes closed, such as A4 or F#4")
    command.add_argument(
        "--scale", metavar="NAME", help="a name from: scaledesign scales (default: the system's home)"
    )
    command.add_argument(
        "--system", metavar="NAME", help="a name from: scaledesign systems (default: one that fits)"
    )
    command.add_argument("--hand", metavar="NAME", help="small, medium or large (default: medium)")
    command.add_argument(
        "--bits",
        metavar="NAME",
        help='your bits: "metric 0.1", "inch 1/32", "inch all" ... (default: metric 0.5 or inch 1/64)',
    )
    command.add_argument("--material", metavar="NAME", help="what the tube is made of, for the cautions")
    command.add_argument("-o", "--output", metavar="OUT", required=True, help="write the design to this file")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")
    _add_origin(command)
    _add_json(command)


def _add_solve(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "solve",
        "design_commands:solve",
        "place and size the holes so that the notes come out",
        (
            "scaledesign solve --example marsh-wren",
            "scaledesign solve flute.toml --in-place",
            "scaledesign solve flute.toml --units in --from foot -o solved.toml",
        ),
    )
    _add_design(command)
    _add_output(command)
    _add_units(command)
    _add_origin(command)
    _add_json(command)


def _add_predict(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "predict",
        "design_commands:predict",
        "say what the flute will play as it stands, with a ± on every note",
        ("scaledesign predict flute.toml", "scaledesign predict flute.toml --no-losses --json"),
    )
    _add_design(command)
    command.add_argument(
        "--no-losses", action="store_true", help="ideal air, to compare with other calculations"
    )
    _add_units(command)
    _add_json(command)


def _add_registers(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "registers",
        "registers_command:show",
        "say whether the second octave will speak, and why not where it does not",
        ("scaledesign registers flute.toml", "scaledesign registers --example reed-bunting --json"),
    )
    _add_design(command)
    _add_json(command)


def _add_calibrate(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "calibrate",
        "calibrate_command:calibrate",
        "take in what your tuner shows, so that the ± shrinks",
        (
            'scaledesign calibrate flute.toml --bare "A4 -4" --in-place',
            'scaledesign calibrate flute.toml --bare "G#4 +12" --bare "G#5 +20" --length "380 mm" --in-place',
            'scaledesign calibrate flute.toml --row 1="A4 -4" --row 3="C5 +3" --in-place',
        ),
    )
    command.add_argument("file", metavar="FILE", help="design file")
    command.add_argument(
        "--bare",
        action="append",
        default=[],
        metavar="READING",
        help='the tube blown with no holes, or all taped: "A4 -4" (note and cents) or "438.9 Hz"; may be '
        "given again, overblown too",
    )
    command.add_argument(
        "--length", metavar="LENGTH", help="sounding edge to foot when it was blown, if it has been cut since"
    )
    command.add_argument(
        "--temperature", metavar="TEMP", help="of the room when it was blown (default: as in the file)"
    )
    command.add_argument(
        "--row",
        action="append",
        default=[],
        metavar="N=READING",
        help="a note of the flute, by its number in scaledesign predict; may be given again; nothing after "
        "the = takes a reading back",
    )
    _add_output(command)
    _add_units(command)
    _add_json(command)


def _add_holes(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "holes",
        "design_commands:holes",
        "print the hole list to take to the bench",
        (
            "scaledesign holes flute.toml",
            "scaledesign holes flute.toml --units in --from foot -o holes.txt",
            "scaledesign holes flute.toml -o holes.csv",
        ),
    )
    _add_design(command)
    _add_units(command)
    _add_origin(command)
    form = command.add_mutually_exclusive_group()
    _add_form(form)
    _add_json(form)
    _add_written(command)


def _add_chart(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "chart",
        "design_commands:chart",
        "print a fingering chart as plain text, to send in a message",
        (
            "scaledesign chart flute.toml",
            "scaledesign chart flute.toml --ascii",
            "scaledesign chart flute.toml --as tsv > fingerings.txt",
        ),
    )
    _add_design(command)
    _add_form(command)
    _add_written(command)
    command.add_argument("--ascii", action="store_true", help="letters instead of circles")


def _add_check(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "check",
        "design_commands:check",
        "read design files and name everything that is wrong in them",
        ("scaledesign check flute.toml", "scaledesign check *.toml"),
    )
    command.add_argument("files", nargs="+", metavar="FILE", help="design file")


def _add_catalogue(commands: argparse._SubParsersAction[Parser]) -> None:
    for name, words in (
        ("scales", "list the scales, with their words"),
        ("systems", "list the fingering systems, with their words"),
        ("plugins", "list the plug-ins, what each adds, and which are switched off and why"),
    ):
        command = _command(
            commands,
            name,
            f"catalogue_commands:{name}",
            words,
            (f"scaledesign {name}", f"scaledesign {name} --json"),
        )
        _add_json(command)


def _add_accuracy(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "accuracy",
        "accuracy_command:accuracy",
        "say how far off the program is, published case by published case",
        ("scaledesign accuracy", "scaledesign accuracy | less", "scaledesign accuracy -o accuracy.md"),
    )
    form = command.add_mutually_exclusive_group()
    _add_json(form)
    form.add_argument("-o", "--output", metavar="OUT", help="write the page to this file, as Markdown")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")


def _add_completion(commands: argparse._SubParsersAction[Parser]) -> None:
    command = _command(
        commands,
        "completion",
        "completion:completion",
        "print the script that lets your shell complete these commands",
        (
            "scaledesign completion bash > ~/.local/share/bash-completion/completions/scaledesign",
            "scaledesign completion zsh > ~/.zfunc/_scaledesign   (a folder in your fpath)",
            "scaledesign completion fish > ~/.config/fish/completions/scaledesign.fish",
        ),
    )
    command.add_argument("shell", choices=("bash", "zsh", "fish"))
