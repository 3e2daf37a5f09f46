"""Arguments of the commands at the bench; standard library only."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any

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
    command = new_command(
        commands,
        "bench",
        "bench_command:bench",
        "say the one next step of making this flute, and note what you did and heard",
        (
            "scaledesign bench flute.toml",
            'scaledesign bench flute.toml --blew "G#4 +12" --length "410 mm" --in-place',
            'scaledesign bench flute.toml --did --blew "C5 -31" --in-place',
            'scaledesign bench flute.toml --opened 6="6.5 mm" --blew "C5 -4" --in-place',
            "scaledesign bench flute.toml --back --in-place",
        ),
    )
    add_design(command)
    done = command.add_argument_group("what you did")
    done.add_argument("--did", action="store_true", help="the step was done exactly as told")
    _act(done, "--cut", "LENGTH", "the tube is so long now, sounding edge to foot")
    _act(
        done,
        "--drilled",
        "HOLE=WIDTH",
        'a new hole: 6="5.5 mm"; elsewhere: 6="5.5 mm at 241 mm"',
    )
    _act(done, "--opened", "HOLE=WIDTH", "a hole is so wide now, by bit or file")
    _act(done, "--undercut", "HOLE=MORE", "so much wider at the bore than outside")
    _act(done, "--filled", "HOLE=WIDTH", "a hole is only so wide now")
    heard = command.add_argument_group("what you heard")
    heard.add_argument(
        "--blew",
        default="",
        metavar="READING",
        help='what the tuner showed for the fingering of the step: "B4 -12" or "438.9 Hz"',
    )
    heard.add_argument("--bare", action="store_true", help="that was the bare tube, all holes taped")
    heard.add_argument("--length", metavar="LENGTH", help="how long the bare tube was that you blew")
    heard.add_argument(
        "--temperature", metavar="TEMP", help="of the room (default: as noted last that day, else the file's)"
    )
    heard.add_argument(
        "--even-so", action="store_true", help="believe a reading that is far from what was expected"
    )
    command.add_argument("--back", action="store_true", help="take the newest entry of the log back")
    command.add_argument("--when", metavar="TIME", help="when that was: 2026-03-01T14:30 (default: now)")
    add_output(command)
    add_origin(command)
    add_units(command)
    command.add_argument("--ascii", action="store_true", help="letters instead of circles")
    add_json(command)


class _Kept(argparse.Action):
    """What was done, in the order in which it is said."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        """Put one more into the list of all."""
        done = [*(getattr(namespace, "acts", None) or ()), (str(option_string)[2:], str(values))]
        namespace.acts = done


def _act(group: Any, option: str, value: str, words: str) -> None:
    group.add_argument(option, action=_Kept, dest="acts", default=(), metavar=value, help=words)
