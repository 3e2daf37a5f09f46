"""earlier: the versions of a design file that saves replaced, and one of them back.

Apart from ``recover``, which works with what is in the file now. ``files/earlier.py`` keeps the versions.
"""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path, put_design
from scaledesign.errors import EditError
from scaledesign.files.earlier import Version, versions
from scaledesign.paper.text import table
from scaledesign.view.earlier_list import version_design, version_time, version_words


def earlier(args: argparse.Namespace) -> int:
    """List the versions of a file; write one where asked."""
    path = Path(args.file)
    found = versions(path)
    if args.take is None:
        if args.output is not None or args.in_place:
            raise EditError("It is not said which version", "add --take with its number")
        if args.json:
            print_json({"file": args.file, "versions": [_object(version) for version in found]})
        else:
            print(_list(args.file, found))
        return OK
    if not 1 <= args.take <= len(found):
        there = f"they go from 1 to {len(found)}" if found else "there is none"
        raise EditError(
            f"There is no version {args.take} of {path}", f"{there}; leave --take out to see them"
        )
    output = output_path(args)
    version = found[args.take - 1]
    if output is not None:
        put_design(version.read(), output)
    if args.json:
        print_json({**_object(version), "written": None if output is None else str(output)})
    elif output is not None:
        print(f"Written to {output}, as it was until {version_time(version)}.")
    else:
        print(version.read().decode("utf-8", "replace"), end="")
    return OK


def _list(file: str, found: tuple[Version, ...]) -> str:
    if not found:
        return f"No earlier version of {file} is kept: no save has replaced it yet."
    rows = [
        (str(number), version_time(each), version_words(version_design(each)))
        for number, each in enumerate(found, 1)
    ]
    name = shlex.quote(file)
    return (
        f"Earlier versions of {file}, newest first\n\n"
        f"{table(('', 'until', 'then'), rows, 'rll')}\n\n"
        f"To have one back: scaledesign earlier {name} --take 1 -o before.toml"
    )


def _object(version: Version) -> dict[str, object]:
    design = version_design(version)
    return {
        "when": version.when.isoformat(),
        "path": str(version.path),
        "tube_length_m": design.tube.length if design else None,
        "holes": len(design.holes) if design else None,
        "rows": len(design.rows) if design else None,
    }
