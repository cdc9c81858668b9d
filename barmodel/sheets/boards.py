"""One board with the blanks that come out of it, drawn to scale."""

from __future__ import annotations

from collections.abc import Sequence

from barmodel.instrument import Sawn
from barmodel.pitch import note_of
from barmodel.sheets.paper import BOLD, LINE, Page
from barmodel.units import MM

HEADING = 6.0
"""Height of a board's heading. [mm]"""
BOARD_FOOT = 6.0
"""Space under a board. [mm]"""
WASTE = 0.88
"""Shade of what is left over; 1 is white. [1]"""


def board_height(size: tuple[float, float], scale: float) -> float:
    """Height on paper of a board with its heading. [mm]"""
    return HEADING + size[1] / MM * scale


def draw_board(
    page: Page,
    left: float,
    top: float,
    name: str,
    size: tuple[float, float],
    items: Sequence[Sawn],
    scale: float,
) -> None:
    """Draw a board, its blanks named and their lengths told; grey is what is left over.

    Parameters
    ----------
    page : Page
    left, top : float
        Upper left corner. [mm of paper]
    name : str
    size : tuple of float
        Length and width of the board. [m]
    items : sequence of Sawn
    scale : float
        Paper over wood. [1]
    """
    length, width = (value / MM for value in size)
    used = sum(item.piece.length * item.piece.width for item in items) / (size[0] * size[1])
    words = f"{name}: {length:g} × {width:g} mm, {100 * used:.0f} % used; grain lengthwise"
    page.text(left, top - HEADING / 2, words, size=10.0, bold=True)
    bottom = top - HEADING - width * scale
    x = [left, left + length * scale, left + length * scale, left]
    page.fill(x, [bottom, bottom, bottom + width * scale, bottom + width * scale], WASTE)
    page.box(left, bottom, length * scale, width * scale, pen=BOLD)
    for item in items:
        _blank(page, left, bottom + width * scale, item, scale)


def _blank(page: Page, left: float, top: float, item: Sawn, scale: float) -> None:
    piece = item.piece
    long, wide = piece.length / MM * scale, piece.width / MM * scale
    x, y = left + item.at / MM * scale, top - item.across / MM * scale - wide
    page.fill([x, x + long, x + long, x], [y, y, y + wide, y + wide], 1.0)
    page.box(x, y, long, wide, pen=LINE)
    words = f"{note_of(piece.semitone)}  {piece.length / MM:.0f} × {piece.width / MM:g}"
    page.text(x + long / 2, y + wide / 2, words, size=8.5, align="center", room=long - 2.0)
