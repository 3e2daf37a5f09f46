"""The argument tree: every command, its options, its help.

Apart so that help, shell completion, the README's table and the tests read one description. Standard
library only, and nothing of the engine: ``run`` names the function to import when a command is chosen.
"""

from __future__ import annotations

import argparse
import difflib
import sys
from collections.abc import Sequence

from scaledesign import __version__
from scaledesign.cli import (
    bench_arguments,
    book_arguments,
    by_hand_arguments,
    comparing_arguments,
    fingering_arguments,
    listen_arguments,
    paper_arguments,
    pattern_arguments,
    plugin_arguments,
    read_arguments,
    rescue_arguments,
    sound_arguments,
    tube_arguments,
    tuning_arguments,
)
from scaledesign.cli.exit_codes import MEANINGS, USAGE
from scaledesign.cli.options import (
    Commands,
    Parser,
    add_design,
    add_json,
    add_origin,
    add_output,
    add_units,
    new_command,
)

GRID_OPTIONS = ("--example", "--no-colour", "--ascii", "--browser")
MOUTHS = ("duct", "notch", "rim", "transverse")


FILES = ("file", "files", "output", "into", "start", "picture", "recording")
"""Arguments that name files: an empty one would mean the folder we are in."""


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
    named = [getattr(args, name, None) for name in FILES]
    if "" in named or any("" in names for names in named if isinstance(names, list)):
        print(f"scaledesign {given[0]}: the name of a file is empty.", file=sys.stderr)
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
        "  scaledesign new -o flute.toml\n"
        "  scaledesign read                 (the handbook: a first flute, pages for each job, why)\n\n"
        "exit codes:\n" + "\n".join(f"  {code:<4} {text}" for code, text in MEANINGS.items()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"scaledesign {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, parser_class=Parser)
    _add_grid(commands)
    tube_arguments.add(commands)
    _add_new(commands)
    _add_solve(commands)
    _add_predict(commands)
    _add_registers(commands)
    _add_calibrate(commands)
    bench_arguments.add(commands)
    listen_arguments.add(commands)
    rescue_arguments.add(commands)
    pattern_arguments.add(commands)
    book_arguments.add(commands)
    paper_arguments.add(commands)
    _add_check(commands)
    _add_catalogue(commands)
    tuning_arguments.add(commands)
    fingering_arguments.add(commands)
    comparing_arguments.add(commands)
    by_hand_arguments.add(commands)
    sound_arguments.add(commands)
    plugin_arguments.add(commands)
    read_arguments.add(commands)
    _add_accuracy(commands)
    _add_completion(commands)
    return parser


def _add_grid(commands: Commands) -> None:
    command = new_command(
        commands, "grid", "grid_command:grid",
        "open a flute on the screen, true on every edit; the same as no command at all",
        (
            "scaledesign grid", "scaledesign grid flute.toml", "scaledesign grid --example night-heron",
            "scaledesign grid --browser flute.toml",
        ),
    )  # fmt: skip
    add_design(command, required=False)
    command.add_argument("--no-colour", action="store_true", help="no colours, as with NO_COLOR set")
    command.add_argument("--ascii", action="store_true", help="draw with plain letters only")
    command.add_argument(
        "--browser", action="store_true", help="in a browser on this computer; needs the extra [browser]"
    )
    command.add_argument(
        "--port", type=int, metavar="N", help="port for --browser (default: any that is free)"
    )


def _add_new(commands: Commands) -> None:
    command = new_command(
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
        "--avoid",
        metavar="STRETCHES",
        help='where no hole may go, from the sounding edge: "171..177, 300..306"; nodes, cracks, bindings',
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
    book_arguments.add_book(command)
    command.add_argument("-o", "--output", metavar="OUT", required=True, help="write the design to this file")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")
    add_origin(command)
    add_json(command)


def _add_solve(commands: Commands) -> None:
    command = new_command(
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
    add_design(command)
    add_output(command)
    add_units(command)
    add_origin(command)
    add_json(command)


def _add_predict(commands: Commands) -> None:
    command = new_command(
        commands,
        "predict",
        "design_commands:predict",
        "say what the flute will play as it stands, with a ± on every note",
        ("scaledesign predict flute.toml", "scaledesign predict flute.toml --no-losses --json"),
    )
    add_design(command)
    command.add_argument(
        "--no-losses", action="store_true", help="ideal air, to compare with other calculations"
    )
    add_units(command)
    add_json(command)


def _add_registers(commands: Commands) -> None:
    command = new_command(
        commands,
        "registers",
        "registers_command:show",
        "say whether the second octave will speak, and why not where it does not",
        ("scaledesign registers flute.toml", "scaledesign registers --example reed-bunting --json"),
    )
    add_design(command)
    add_json(command)


def _add_calibrate(commands: Commands) -> None:
    command = new_command(
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
    add_output(command)
    add_units(command)
    add_json(command)


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


def _add_accuracy(commands: Commands) -> None:
    command = new_command(
        commands,
        "accuracy",
        "accuracy_command:accuracy",
        "say how far off the program is, published case by published case",
        ("scaledesign accuracy", "scaledesign accuracy | less", "scaledesign accuracy -o accuracy.md"),
    )
    form = command.add_mutually_exclusive_group()
    add_json(form)
    form.add_argument("-o", "--output", metavar="OUT", help="write the page to this file, as Markdown")
    command.add_argument("--force", action="store_true", help="let -o replace a file that is there")


def _add_completion(commands: Commands) -> None:
    command = new_command(
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
