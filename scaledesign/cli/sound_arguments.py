"""Arguments of the commands for hearing a flute and writing its notes; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_force, add_json, example_names, new_command

WHAT = ("plays", "wanted", "both")
ORDERS = ("listed", "up", "down", "up-down")
TEMPO = 60.0


def add(commands: Commands) -> None:
    """Add them to the tree."""
    command = new_command(
        commands,
        "hear",
        "hear_command:hear",
        "hear a flute or tunings side by side; or write it as sound, MIDI or notation",
        (
            "scaledesign hear flute.toml",
            "scaledesign hear flute.toml --what both",
            'scaledesign hear flute.toml --what wanted --scale "just major" --drone tonic',
            'scaledesign hear --scale major --scale "just major" --tonic D5 --whole',
            "scaledesign hear flute.toml --rows 1,3,5 --together -o chord.wav",
            "scaledesign hear flute.toml --rows all -o chart.musicxml",
            "scaledesign hear my-scale.toml --order up-down --tempo 90 -o scale.mid",
        ),
    )
    names = example_names()
    which = command.add_mutually_exclusive_group()
    which.add_argument("file", nargs="?", metavar="FILE", help="design file, or scale file")
    which.add_argument("--example", metavar="NAME", choices=names, help=f"one of ours: {', '.join(names)}")
    command.add_argument(
        "--scale",
        action="append",
        default=[],
        metavar="NAME",
        help="also in this scale: a name from scaledesign scales, or a scale file; may be given again, and "
        "needs no FILE",
    )
    command.add_argument(
        "--tonic", metavar="NOTE", help="note that a scale begins on (default: the flute's, else A4)"
    )
    command.add_argument(
        "--what",
        choices=WHAT,
        help="what the flute plays, what you wanted, or both, the wanted first (default: plays)",
    )
    command.add_argument(
        "--rows",
        metavar="ROWS",
        help="1-5,8 by their numbers in scaledesign predict, or all (default: those of the scale)",
    )
    command.add_argument(
        "--order", choices=ORDERS, default="listed", help="order of the notes (default: as they are listed)"
    )
    how = command.add_mutually_exclusive_group()
    how.add_argument(
        "--whole", action="store_true", help="one tuning whole after the other, not note by note"
    )
    how.add_argument("--together", action="store_true", help="all notes at once, as a chord")
    command.add_argument(
        "--drone",
        metavar="NOTE",
        help='a note held under it all: A3, "220 Hz", tonic, or 1/2, an octave below that',
    )
    command.add_argument(
        "--tempo",
        type=float,
        default=TEMPO,
        metavar="N",
        help=f"beats a minute, one a note (default: {TEMPO:g})",
    )
    command.add_argument("--vibrato", action="store_true", help="with a slow, small vibrato, when it sounds")
    command.add_argument(
        "-o",
        "--output",
        metavar="OUT",
        help="write it to this file instead: .wav to hear, .mid and .musicxml for other programs, both with "
        "the exact tuning",
    )
    add_force(command)
    command.add_argument(
        "--midi",
        choices=("bend", "tuning"),
        default="bend",
        help="how .mid tells the exact pitch: bends, or tuning messages for instruments that know them "
        "(default: bend)",
    )
    add_json(command)
