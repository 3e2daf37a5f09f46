"""Cells as text that other programs split again: by tabs for a spreadsheet's clipboard, by commas for files.

Apart because the clipboard and the exports write the same. Strings in, one string out; which columns there
are is the business of the tables. Every row ends with a line end, the last one too, so that nothing is lost
when the last cells are empty.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence

_NEEDS_QUOTES = re.compile(r'[\t\r\n]|\A"')


def tab_separated(rows: Iterable[Sequence[str]]) -> str:
    """Rows of cells with a tab between; quotes only where a cell would be split or misread without.

    As spreadsheets do: a quoted cell may hold tabs and line ends, and quotes in it are doubled.
    """
    return "".join("\t".join(map(_tab_cell, row)) + "\n" for row in rows)


def comma_separated(rows: Iterable[Sequence[str]]) -> str:
    r"""Rows of cells as RFC 4180 has them: a comma between, ``\r\n`` at the end of each row.

    Nothing is put before a cell to keep a spreadsheet from reckoning: minus numbers stay numbers.
    """
    import csv

    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows(rows)
    return text.getvalue()


def _tab_cell(cell: str) -> str:
    return '"' + cell.replace('"', '""') + '"' if _NEEDS_QUOTES.search(cell) else cell
