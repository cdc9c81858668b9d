"""From places on the bar to places on a sheet, and the lines on which sheets are joined."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.sheets.paper import BOLD, LINE, THIN, Dash, Page
from barmodel.sheets.tiles import Tile
from barmodel.undercut.piece import Array

JOIN_DASH: Dash = (0, (1, 2))


@dataclass(frozen=True, slots=True)
class View:
    """Where one view of the bar lies on one sheet.

    Attributes
    ----------
    left, zero : float
        Paper position of the start of the tile, and of the flat top or front edge. [mm]
    scale : float
        Millimetres of paper to a millimetre of bar. [1]
    tile : Tile
    """

    left: float
    zero: float
    scale: float
    tile: Tile

    def x(self, x_mm: float | Array) -> Array:
        """Paper position of a place along the bar. [mm]"""
        return np.asarray(self.left + (np.asarray(x_mm) - self.tile.start) * self.scale)

    def y(self, y_mm: float | Array) -> Array:
        """Paper position of a height over the zero line of the view. [mm]"""
        return np.asarray(self.zero + np.asarray(y_mm) * self.scale)

    def clipped(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Part of a line, rising in x, that this sheet shows; cut exactly at its limits."""
        start, end = self.tile.start, self.tile.end
        inside = (x >= start) & (x <= end)
        kept_x, kept_y = x[inside], y[inside]
        for limit, at_front in ((start, True), (end, False)):
            if x[0] < limit < x[-1]:
                value = np.interp(limit, x, y)
                kept_x = np.r_[limit, kept_x] if at_front else np.r_[kept_x, limit]
                kept_y = np.r_[value, kept_y] if at_front else np.r_[kept_y, value]
        return kept_x, kept_y


def draw_ends(page: Page, view: View, length: float, top: float, bottom: float) -> None:
    """Draw the ends of the bar between two heights over the zero line. [mm]"""
    for x in (0.0, length):
        if view.tile.holds(x):
            page.line([view.x(x)] * 2, view.y(np.array([top, bottom])), pen=BOLD)


def draw_joins(page: Page, view: View, stretches: Sequence[tuple[float, float]]) -> None:
    """Lines on which two sheets are joined, with crosses to lay over those of the other sheet.

    Parameters
    ----------
    page : Page
    view : View
    stretches : sequence of (float, float)
        Upper and lower end of each part of a join, headings left out. [mm of paper]
    """
    tile = view.tile
    for join in tile.joins:
        x = float(view.x(join))
        right = tile.number < tile.count and join == tile.joins[-1]
        pair = (tile.number, tile.number + 1) if right else (tile.number - 1, tile.number)
        for upper, lower in stretches:
            page.line([x, x], [lower, upper], pen=THIN, dash=JOIN_DASH)
        for y in (*(upper - 2.5 for upper, _ in stretches), stretches[-1][1] - 2.5):
            page.line([x - 4.0, x + 4.0], [y, y], pen=LINE)
            page.line([x, x], [y - 2.5, y + 2.5], pen=LINE)
        page.text(x, stretches[-1][1] - 7.0, f"join {pair[0]} | {pair[1]}", size=8.0, bold=True,
                  align="center")  # fmt: skip
