"""Blocks of cells from and to the clipboard, as spreadsheets put them there: rows of text with tabs between.

Apart because it only takes text apart and puts it together; what a cell means is decided by the column it
falls in. Only tabs part cells: a comma or a semicolon may belong to what was copied, so a block without
tabs is one column.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from scaledesign.errors import QuantityError
from scaledesign.paper.separated import tab_separated

Cells = tuple[tuple[str, ...], ...]

MOST_ROWS = 400
MOST_COLUMNS = 100
"""What is taken at once: far more than a flute has, little enough to be read while a key is down."""
LONGEST = 1_000_000
"""Characters taken at once."""

_CELL = re.compile(r'(?:"([^"]*+(?:""[^"]*+)*+)"|([^\t\r\n]*))(\t|\r\n|\r|\n)')
"""A cell and what ends it. A quote that is not closed right before the cell's end is an ordinary sign."""
_INVISIBLE = dict.fromkeys(map(ord, "\u200b\u2060\ufeff"))
_SIGNS = {**_INVISIBLE, ord("−"): "-", ord("¢"): "c"}
_CENT_SIGN = re.compile(r"(?<=[0-9.])\s*(?:c|cents?)\Z", re.IGNORECASE)
_SHOWN = 30


def parse_table(text: str) -> Cells:
    r"""Rows of cells of a copied block; rows that are short are filled up with empty cells.

    Parameters
    ----------
    text : tab-separated; rows end with ``\r\n``, ``\n`` or ``\r``, the last one may; a cell in quotes may
        hold tabs and line ends, and its quotes are doubled

    Returns
    -------
    Rows of equal length, of at least one cell each; no row for an empty text.

    Raises
    ------
    QuantityError
        when the block has over ``MOST_ROWS`` rows, ``MOST_COLUMNS`` columns or ``LONGEST`` characters.
    """
    if not text:
        return ()
    if len(text) > LONGEST:
        raise _too_large(text, f"{LONGEST} characters")
    ended = text if text.endswith(("\n", "\r")) else text + "\n"
    rows: list[list[str]] = []
    row: list[str] = []
    for found in _CELL.finditer(ended):
        quoted, plain, end = found.groups("")
        row.append(quoted.replace('""', '"') or plain)
        if len(row) > MOST_COLUMNS:
            raise _too_large(text, f"{MOST_COLUMNS} columns")
        if end != "\t":
            rows.append(row)
            row = []
            if len(rows) > MOST_ROWS:
                raise _too_large(text, f"{MOST_ROWS} rows")
    width = max(map(len, rows))
    return tuple((*row, *[""] * (width - len(row))) for row in rows)


def format_table(cells: Sequence[Sequence[str]]) -> str:
    """Text of a block of cells that ``parse_table`` and spreadsheets read back.

    Every row ends with a line end. A row by itself goes without, so that a copied cell can be pasted into a
    line of text; an empty cell by itself keeps it, else there would be nothing to paste.
    """
    text = tab_separated(cells)
    return text[:-1] if len(cells) == 1 and text != "\n" else text


def plain_text(cell: str) -> str:
    """A pasted cell in signs that the program reads, without blanks around it.

    The minus of typesetters becomes the one on the keyboard, ¢ becomes c, every kind of blank a plain one;
    signs that cannot be seen go.
    """
    return " ".join(cell.translate(_SIGNS).split())


def plain_cents(cell: str) -> str:
    """A pasted cell of a column of cents: as ``plain_text`` has it, without the unit.

    Only for such columns: among notes ``"702 c"`` is an interval and its c counts.
    """
    return _CENT_SIGN.sub("", plain_text(cell))


def _too_large(text: str, limit: str) -> QuantityError:
    start = " ".join(text[:_SHOWN].split()) + "..."
    return QuantityError(start, f"that block has more than {limit}", "copy fewer cells at once")
