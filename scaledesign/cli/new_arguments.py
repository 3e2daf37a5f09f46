"""Arguments of the command that begins a flute; standard library only."""

from __future__ import annotations

from scaledesign.cli.book_arguments import add_book
from scaledesign.cli.options import MOUTHS, Commands, add_force, add_json, add_origin, new_command


def add(commands: Commands) -> None:
    """Add it to the tree."""
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
    add_book(command)
    command.add_argument("-o", "--output", metavar="OUT", required=True, help="write the design to this file")
    add_force(command)
    add_origin(command)
    add_json(command)
