"""Where the cursor is in a pane, and the range that Shift has drawn out from it.

Positions only: rows and columns by number, kept inside the pane by ``within``.
"""

from __future__ import annotations

from dataclasses import replace

from scaledesign.values import dataclass


@dataclass(frozen=True, slots=True)
class Selection:
    """The cursor's cell and the other corner of the range; one cell where they are the same."""

    row: int = 0
    column: int = 1
    anchor_row: int | None = None
    """None: no range, the cursor's cell alone."""
    anchor_column: int | None = None

    @property
    def rows(self) -> range:
        """Rows of the range."""
        other = self.row if self.anchor_row is None else self.anchor_row
        return range(min(self.row, other), max(self.row, other) + 1)

    @property
    def columns(self) -> range:
        """Columns of the range."""
        other = self.column if self.anchor_column is None else self.anchor_column
        return range(min(self.column, other), max(self.column, other) + 1)

    def moved(self, rows: int, columns: int, *, stretch: bool = False) -> Selection:
        """The cursor moved; the range stretched along with it, or gone."""
        return self.at(self.row + rows, self.column + columns, stretch=stretch)

    def at(self, row: int, column: int, *, stretch: bool = False) -> Selection:
        """The cursor put somewhere; the range stretched to it, or gone."""
        if not stretch:
            return Selection(row, column)
        anchor_row = self.row if self.anchor_row is None else self.anchor_row
        anchor_column = self.column if self.anchor_column is None else self.anchor_column
        return Selection(row, column, anchor_row, anchor_column)

    def within(self, rows: int, columns: int) -> Selection:
        """The same inside a pane of so many rows and columns; its first column is a label."""

        def row(value: int) -> int:
            return max(0, min(rows - 1, value))

        def column(value: int) -> int:
            return max(1, min(columns - 1, value))

        return replace(
            self,
            row=row(self.row),
            column=column(self.column),
            anchor_row=None if self.anchor_row is None else row(self.anchor_row),
            anchor_column=None if self.anchor_column is None else column(self.anchor_column),
        )
