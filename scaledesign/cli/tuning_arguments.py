"""Arguments of the commands for making and exchanging tunings; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_json, new_command

ORDER = """\
What is asked for is done in this order, whatever the order it is typed in:
rotate, mix, stretch, degree, remove, add, name. --degree and --remove number the
degrees as they stand after rotate, mix and stretch.

OUT.syx is for MIDI instruments. The key of the tonic sounds the tonic; each
degree has the key nearest to where it is written, a key of its own, and the keys
between sound as in equal temperament from the tonic. A scale of more degrees than
its period has semitones goes up key by key from the tonic."""


def add(commands: Commands) -> None:
    """Add them to the tree."""
    command = new_command(
        commands,
        "tuning",
        "tuning_command:tuning",
        "make a tuning from another: begun elsewhere, stretched, mixed, degrees changed",
        (
            "scaledesign tuning major --rotate 2",
            'scaledesign tuning "just major" --degree "7=7/4" --name "seventh major" -o own.toml',
            "scaledesign tuning vallotti --mix chromatic --share 0.5 --stretch 5 -o own.syx",
            'scaledesign tuning flute.toml --degree "2=C5 +16" --into flute.toml --in-place',
            "scaledesign tuning piano.syx --tonic D4 --mine",
        ),
    )
    command.description = f"{command.description}\n\n{ORDER}"
    command.add_argument(
        "start",
        metavar="FROM",
        help="a scale by name, a scale file, a design file, or a tuning for MIDI instruments (.syx)",
    )
    steps = command.add_argument_group("what to do to it")
    steps.add_argument("--rotate", type=int, metavar="N", help="begin on degree N, on the same tonic")
    steps.add_argument("--mix", metavar="OTHER", help="go toward this tuning, degree by degree; as FROM")
    steps.add_argument("--share", type=float, metavar="PART", help="how far toward it, 0 to 1 (default: 0.5)")
    steps.add_argument(
        "--stretch", type=float, metavar="CENTS", help="octaves of so many cents more, degrees in proportion"
    )
    steps.add_argument(
        "--degree",
        action="append",
        default=[],
        metavar="N=SIZE",
        help='a degree written anew: "2=316 c", "2=6/5", "2=523.3 Hz", "2=C5 +16" as a tuner shows it; may '
        "be given again",
    )
    steps.add_argument(
        "--remove",
        action="append",
        default=[],
        type=int,
        metavar="N",
        help="take out degree N; may be given again",
    )
    steps.add_argument(
        "--add", action="append", default=[], metavar="SIZE", help="one more degree; may be given again"
    )
    steps.add_argument("--name", help="what to call it")
    steps.add_argument("--words", help="what to say of it in a list of scales")
    where = command.add_argument_group("where it stands")
    where.add_argument(
        "--tonic", metavar="NOTE", help="its tonic (default: the flute's; C4 of a .syx; else A4)"
    )
    where.add_argument("--reference", type=float, metavar="HZ", help="of A4 (default: the flute's, else 440)")
    where.add_argument(
        "--program",
        type=int,
        metavar="N",
        help="number of a tuning in .syx, 0 to 127 (default: the first; 0)",
    )
    where.add_argument(
        "--repeats",
        type=int,
        metavar="KEYS",
        help="after how many keys a .syx repeats (default: found, else 12)",
    )
    out = command.add_argument_group("where it goes")
    out.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        help="a scale file, .toml (with --into that design), or a tuning for MIDI, .syx",
    )
    out.add_argument("--force", action="store_true", help="let -o and --mine replace what is there")
    out.add_argument(
        "--single-note",
        action="store_true",
        help="OUT.syx changes the keys at once instead of storing a tuning",
    )
    out.add_argument(
        "--every-key", action="store_true", help="OUT.syx has a degree on every key, however few they are"
    )
    out.add_argument(
        "--mine", action="store_true", help="keep it among your own scales, to be found by its name"
    )
    out.add_argument("--into", metavar="FILE", help="tune this design so, its rows written anew")
    out.add_argument("--in-place", action="store_true", help="write the design of --into back")
    add_json(command)
