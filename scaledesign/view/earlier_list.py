"""Earlier versions of the flute in hand, as its saves replaced them, and one of them taken back.

Apart from where they are kept (``files/earlier.py``). What the list says of one the ``earlier`` command says
too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from scaledesign.errors import DesignError, EditError
from scaledesign.files import document_file
from scaledesign.files.earlier import Version, versions
from scaledesign.model.document import Design
from scaledesign.model.edits import Become
from scaledesign.model.saying import begun, counted
from scaledesign.model.units import format_length
from scaledesign.view.columns import Sheet
from scaledesign.view.flute_drawing import flute_lines
from scaledesign.view.found_lines import PICTURE
from scaledesign.view.lines import Line, Span, wrapped
from scaledesign.view.listing import Entry, Listing
from scaledesign.wanted import each
from scaledesign.workshop.variants import differences

BELOW = 9
"""Lines beneath: the flute, and words."""
UNTIL = 22
"""Letters of a time."""
HELP = (
    "until: when a save put the next one in its place. The last twenty are kept, and the last of each day.",
    "Enter brings one back as one step of this flute: undo takes it away again, and nothing is saved by it.",
)


def version_time(version: Version) -> str:
    """When a version was replaced, in the time of this place."""
    return version.when.astimezone().strftime("%d %b %Y, %H:%M:%S")


def version_design(version: Version) -> Design | None:
    """What stands in a version; None where it cannot be read whole."""
    try:
        return document_file.load(version.path)
    except DesignError:
        return None


def version_words(design: Design | None) -> str:
    """What there was of the flute then."""
    if design is None:
        return "not to be read whole"
    length = format_length(design.tube.length, design.units)
    holes, rows = counted(len(design.holes), "hole"), counted(len(design.rows), "row")
    return f"{length}, {holes}, {rows}" + (f", {design.name}" if design.name else "")


def earlier(sheet: Sheet, path: Path) -> Listing:
    """The versions of the file at ``path``, newest first.

    Raises
    ------
    EditError
        where none is kept.
    """
    found = versions(path)
    if not found:
        raise EditError(f"No earlier version of {path.name} is kept", "the next save will keep one")
    head = (Span(f"{'until'.ljust(UNTIL)}then", "label"),)
    entries = tuple(_entry(sheet, path, number, version) for number, version in enumerate(each(found), 1))
    said = "What saves replaced, newest first; beneath, how each differs from the flute in hand."
    return Listing("versions", said, head, entries, BELOW, verb="have it back", help=HELP)


def back(first: Design, version: Version, design: Design) -> Become | None:
    """The step that puts a version in the place of the flute in hand, log and all; None: the same."""
    return None if design == first else Become(f"go back to {version_time(version)}", design)


def _entry(sheet: Sheet, path: Path, number: int, version: Version) -> Entry:
    design = version_design(version)
    line: Line = (
        Span(version_time(version).ljust(UNTIL), "strong"),
        Span(version_words(design), "plain" if design is not None else "faint"),
    )
    refusal = f"It is damaged: scaledesign earlier {path.name} --take {number} -o rest.toml, then recover."
    value = None if design is None else (version, design)
    return Entry(line, _about(sheet, design, refusal), value, version_time(version), refusal=refusal)


def _about(sheet: Sheet, design: Design | None, refusal: str) -> Callable[[int, int], tuple[Line, ...]]:
    def lines(width: int, height: int) -> tuple[Line, ...]:
        if design is None:
            return wrapped(refusal, width)[:height]
        said = "; ".join(differences(sheet.design, design, sheet.design.units))
        logged = len(sheet.design.log) - len(design.log)
        more = f" The bench log was {counted(logged, 'line')} shorter." if logged > 0 else ""
        text = wrapped(f"{begun(said) if said else 'No hole, row or length differs'}.{more}", width)
        drawn = replace(design, units=sheet.design.units)
        states = design.rows[0].holes if design.rows else ()
        picture = flute_lines(drawn, sheet.signs, width, PICTURE, states=states)
        return (*picture, *text[: height - PICTURE])

    return lines
