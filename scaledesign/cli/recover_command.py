"""recover: what is left of a damaged design file, or can be read of one that a newer program wrote.

Apart from ``check``, which says what is wrong and leaves the mending to the maker. Nothing is ever written to
the file itself.
"""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path

from scaledesign.cli.as_json import print_json
from scaledesign.cli.exit_codes import OK
from scaledesign.cli.files import output_path, put_design
from scaledesign.errors import EditError
from scaledesign.files import document_file
from scaledesign.files.document_recover import Recovered
from scaledesign.model.saying import counted


def recover(args: argparse.Namespace) -> int:
    """Say what cannot be read; write the rest where asked."""
    path, output = Path(args.file), output_path(args)
    if output is not None and output.exists() and output.samefile(path):
        raise EditError(f"{path} itself is not written to", "give another name")
    found = document_file.recover(path)
    if output is not None:
        put_design(found.design.text or "", output)
    if args.json:
        print_json(_object(args.file, found, output))
    else:
        print(_text(args.file, found, output))
    return OK


def _text(file: str, found: Recovered, output: Path | None) -> str:
    if not found.faults:
        written = f" Written to {output} as it is." if output else ""
        return f"{file}: nothing is wrong with it.{written}"
    design = found.design
    said = "\n".join(str(fault) for fault in found.faults)
    holes, rows = counted(len(design.holes), "hole"), counted(len(design.rows), "row")
    kept = f"Written to {output}." if output else f"Not written; to keep it, add -o {_name(file)}."
    return f"{said}\n\nThe rest is a flute with {holes} and {rows}. {kept}\n{file} is as it was."


def _name(file: str) -> str:
    """A name for what is kept."""
    return shlex.quote(f"{Path(file).stem}-mended.toml")


def _object(file: str, found: Recovered, output: Path | None) -> dict[str, object]:
    return {
        "file": file,
        "left_out": [
            {"line": f.line, "key": f.key, "value": f.value, "problem": f.problem, "remedy": f.remedy}
            for f in found.faults
        ],
        "holes": len(found.design.holes),
        "rows": len(found.design.rows),
        "written": None if output is None else str(output),
    }
