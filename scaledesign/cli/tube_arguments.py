"""Arguments of the command that says what a tube can become; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import MOUTHS, Commands, add_json, new_command


def add(commands: Commands) -> None:
    """Add it to the tree."""
    command = new_command(
        commands,
        "tube",
        "tube_command:show",
        "say what a tube can become: the keys that suit it, best first; or which bore to look for",
        (
            'scaledesign tube "5/8 in x 1/8 in x 20 in"',
            'scaledesign tube "16 x 3 x 420 mm" --avoid "171..177, 330..336"',
            'scaledesign tube "5/8 in x 1/8 in x 20 in" --key F#4      (more of one key)',
            "scaledesign tube --key A4                                (the bore to look for)",
            'scaledesign tube --key D4 --length "24 in" --mouth notch',
        ),
    )
    command.add_argument(
        "tube",
        nargs="?",
        metavar="TUBE",
        help='bore x wall, or bore x wall x length: "5/8 in x 1/8 in x 20 in"; the length is what you have, '
        "sounding edge to foot",
    )
    command.add_argument(
        "--key",
        metavar="NOTE",
        help="with a TUBE: more of this key; without: which bore to look for, for this lowest note",
    )
    command.add_argument("--length", metavar="LENGTH", help="without a TUBE: the longest it may be")
    command.add_argument(
        "--wall", metavar="LENGTH", help="without a TUBE: its wall (default: 3 mm or 1/8 in)"
    )
    command.add_argument(
        "--avoid",
        metavar="STRETCHES",
        help='where no hole may go, from the sounding edge: "171..177, 300..306"; nodes, cracks, bindings',
    )
    command.add_argument("--mouth", choices=MOUTHS, help="how it is blown (default: duct)")
    command.add_argument(
        "--scale", metavar="NAME", help="a name from: scaledesign scales (default: the system's home)"
    )
    command.add_argument(
        "--system", metavar="NAME", help="a name from: scaledesign systems (default: one that fits)"
    )
    command.add_argument("--hand", metavar="NAME", help="small, medium or large (default: medium)")
    command.add_argument("--bits", metavar="NAME", help="your bits (default: metric 0.5 or inch 1/64)")
    command.add_argument(
        "--units",
        choices=("mm", "in"),
        help="units of bare numbers and of the answer (default: the tube's, or mm)",
    )
    command.add_argument("--all", action="store_true", help="every key or bore, those too that make no flute")
    add_json(command)
