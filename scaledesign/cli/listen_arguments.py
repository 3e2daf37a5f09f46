"""Arguments of ``listen``; standard library only."""

from __future__ import annotations

from scaledesign.cli.options import Commands, add_json, add_output, add_units, new_command


def add(commands: Commands) -> None:
    """Add it to the tree."""
    command = new_command(
        commands,
        "listen",
        "listen_command:listen",
        "take in a recording of you playing the rows, WAV or FLAC, in place of a tuner's readings",
        (
            "scaledesign listen flute.toml notes.wav",
            "scaledesign listen flute.toml notes.wav --in-place",
            "scaledesign listen flute.toml tube.flac --bare --length 380 --in-place",
            'scaledesign listen flute.toml notes.wav --order any --temperature "19 °C" -o heard.toml',
        ),
    )
    command.add_argument("file", metavar="FLUTE", help="design file")
    command.add_argument("recording", metavar="RECORDING", help="WAV or FLAC; needs the extra [recording]")
    command.add_argument("--bare", action="store_true", help="it is the tube before any hole was drilled")
    command.add_argument(
        "--order",
        choices=("up", "any"),
        default="up",
        help="up: you went up the rows, some left out or played again; any: as it came (default: up)",
    )
    command.add_argument(
        "--length",
        metavar="LENGTH",
        help="with --bare: sounding edge to foot then; wanted until the flute knows its length",
    )
    command.add_argument("--temperature", metavar="TEMP", help="of the room then (default: as in the file)")
    add_output(command)
    add_units(command)
    add_json(command)
