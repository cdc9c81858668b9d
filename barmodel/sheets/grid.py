"""Ruled tables, and how they are set in columns over the sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.sheets.head import TITLE
from barmodel.sheets.paper import BOLD, LINE, THIN, Page, Paper, rows_of

ROW = 6.0
"""Height of a table row. [mm]"""
SIZE = 11.0
"""Of the figures: read at arm's length in a workshop. [pt]"""
NOTE, LINE_OF_NOTE = 9.0, 4.6
"""Size of what stands under a table [pt], and the height of a line of it. [mm]"""
BETWEEN = 8.0
"""Space between tables. [mm]"""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of words under a heading."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    note: str = ""

    @property
    def width(self) -> float:
        """Width on paper. [mm]"""
        return sum(self.widths)


class Flow:
    """Places tables one under another in columns, and goes on to the next sheet when full."""

    def __init__(self, paper: Paper, head: float = TITLE) -> None:
        self.paper = paper
        self.head = head
        self.pages: list[Page] = []
        self._open_page()

    def _open_page(self) -> None:
        self.page = Page(*self.paper.size, "tables")
        self.pages.append(self.page)
        left, _, _, top = self.page.inner
        self.x, self.y, self.wide = left, top - self.head, 0.0

    @property
    def _column(self) -> float:
        """Height of a whole column. [mm]"""
        return self.page.inner[3] - self.head - self.page.inner[1]

    def _next_column(self, width: float) -> None:
        self.x += self.wide + BETWEEN
        self.y, self.wide = self.page.inner[3] - self.head, 0.0
        if self.x + width > self.page.inner[2]:
            self._open_page()

    def place(self, table: Table) -> None:
        """Place a table, in pieces if it must be."""
        rows = list(table.rows)
        note = rows_of(table.note, self.page, size=NOTE, room=table.width) if table.note else []
        while rows:
            used = 8.0 + ROW + LINE_OF_NOTE * len(note)
            free = int((self.y - self.page.inner[1] - used) // ROW)
            whole = int((self._column - used) // ROW)
            # what fits into one column is not broken; the rest is, but not after a row or two
            least = len(rows) if len(rows) <= whole else 3
            if free < least or self.x + table.width > self.page.inner[2] + 0.1:
                self._next_column(table.width)
                continue
            if 0 < len(rows) - free < 3:  # nor before a row or two
                free = max(least, len(rows) - 3)
            piece, rows = rows[:free], rows[free:]
            self._draw(table, piece, [] if rows else note)

    def _draw(self, table: Table, rows: Sequence[Sequence[str]], note: Sequence[str]) -> None:
        page, x, y = self.page, self.x, self.y
        page.text(x, y - 3.0, table.heading, size=11.0, bold=True, room=table.width)
        y -= 7.5
        grid(page, x, y, table.widths, [table.columns, *rows])
        y -= ROW * (len(rows) + 1)
        for line in note:
            page.text(x, y - 3.0, line, size=NOTE)
            y -= LINE_OF_NOTE
        self.y, self.wide = y - BETWEEN, max(self.wide, table.width)


def grid(
    page: Page, left: float, top: float, widths: Sequence[float],
    rows: Sequence[Sequence[str]], *, height: float = ROW, size: float = SIZE,
) -> None:  # fmt: skip
    """Draw a ruled table; the first row is its head."""
    edges = left + np.r_[0.0, np.cumsum(widths)]
    bottom = top - height * len(rows)
    for index in range(len(rows) + 1):
        y = top - index * height
        page.line([left, edges[-1]], [y, y], pen=BOLD if index in (0, 1) else THIN)
    for edge in edges:
        page.line([edge, edge], [top, bottom], pen=LINE)
    for index, row in enumerate(rows):
        y = top - (index + 0.5) * height
        for column, words in enumerate(row):
            if not words:
                continue
            room = widths[column] - 2.0
            first = column == 0 and len(words) > 8
            x = edges[column] + 1.0 if first else (edges[column] + edges[column + 1]) / 2
            page.text(x, y, words, size=size - 1.0 if index == 0 else size, bold=index == 0,
                      align="left" if first else "center", room=room)  # fmt: skip
