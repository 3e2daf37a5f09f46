"""Arguments of the commands that say what one flute does; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import (
    Commands,
    add_design,
    add_json,
    add_origin,
    add_output,
    add_units,
    new_command,
)


def add(commands: Commands) -> None:
    """Add them to the tree."""
    _add_solve(commands)
    _add_predict(commands)
    _add_chances(commands)
    _add_registers(commands)
    _add_calibrate(commands)


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


def _add_chances(commands: Commands) -> None:
    command = new_command(
        commands,
        "chances",
        "chances_command:show",
        "make many flutes from a design on paper, each a little off, and count those in tune",
        ("scaledesign chances flute.toml", "scaledesign chances flute.toml --flutes 10000 --json"),
    )
    add_design(command)
    command.add_argument(
        "--flutes", type=int, default=1000, metavar="N", help="how many, 100 to 100000 (default: 1000)"
    )
    command.add_argument(
        "--seed", type=int, default=1, metavar="N", help="another number, other flutes (default: 1)"
    )
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
            'scaledesign calibrate flute.toml --bare "A4 -4" --length "380 mm" --in-place',
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
        "--length",
        metavar="LENGTH",
        help="sounding edge to foot when it was blown; wanted with --bare until the flute knows its length",
    )
    command.add_argument(
        "--temperature", metavar="TEMP", help="of the room when it was blown (default: as in the file)"
    )
    command.add_argument(
        "--row",
        action="append",
        default=[],
        metavar="N=READING",
        help="a note of the flute, by its number in scaledesign predict, or so many cents off it (3=+4): the "
        "holes it opens and the foot are taken as cut; may be given again; nothing after the = takes a "
        "reading back",
    )
    add_output(command)
    add_units(command)
    add_json(command)
