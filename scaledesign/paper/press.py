"""The press: a sheet's source and its data in, pages as PDF, SVG or PNG out.

Apart because every printed thing is set the same way: by typst, with the fonts it brings, without those of
the computer, without the network and without the time of day, so that the same design gives the same bytes.
What stands on a page is the business of whoever fills it. typst is imported when something is printed.

A sheet is ``sheets/NAME.typ``. It gets its data as one JSON object and its pictures as files::

    #import "common.typ": *
    #let data = json(bytes(sys.inputs.data))
    #image("staff-1.svg")
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from scaledesign.paper.choices import PAPERS

if TYPE_CHECKING:
    from typst import Fonts

PageForm = Literal["pdf", "svg", "png"]
SHEETS = Path(__file__).parent / "sheets"
COMMON = "common.typ"
PPI = 144.0
"""Pixels an inch of a PNG, unless another number is asked for."""


class PressError(Exception):
    """A sheet of ours cannot be set: a fault of the program, never of the maker."""


def pressed(
    sheet: str,
    data: Mapping[str, Any],
    form: PageForm,
    pictures: Mapping[str, bytes] = {},
    *,
    ppi: float = PPI,
) -> tuple[bytes, ...]:
    """Set a sheet.

    Parameters
    ----------
    sheet : name of a file in ``sheets``, without its ending
    data : what the sheet shows, anything that JSON can hold
    form : "pdf" (one piece), "svg" or "png" (one piece a page)
    pictures : file names as the sheet calls them (with their ending), and what is in them
    ppi : pixels an inch, for "png" only

    Raises
    ------
    PressError
        when the sheet's source is wrong, or it asks for a font that is not there.
    """
    import typst

    files: Any = {"main.typ": _source(f"{sheet}.typ"), COMMON: _source(COMMON), **pictures}
    try:
        made, warnings = typst.compile_with_warnings(
            files,
            format=form,
            ppi=ppi,
            sys_inputs={
                "data": json.dumps(data, ensure_ascii=False, allow_nan=False),
                "papers": json.dumps({paper: [side * 1e3 for side in PAPERS[paper]] for paper in PAPERS}),
            },
            font_paths=_fonts(),
            timestamp=0,
        )
    except typst.TypstError as error:
        raise PressError(f"{sheet}: {error.diagnostic or error}") from error
    if warnings:
        raise PressError(f"{sheet}: {warnings[0].diagnostic or warnings[0]}")
    pages: bytes | list[bytes] = made
    return tuple(pages) if isinstance(pages, list) else (pages,)


@cache
def _source(name: str) -> bytes:
    return (SHEETS / name).read_bytes()


@cache
def _fonts() -> Fonts:
    import typst

    return typst.Fonts(include_system_fonts=False)
