"""A sheet of paper as a drawing surface measured in millimetres.

Nothing here knows of bars. A `Page` gathers lines, shapes and words; `writer` makes a PDF of them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from barmodel.errors import InputError
from barmodel.sheets.letters import ASCENT, CAPITAL, DESCENT, width_in_ems
from barmodel.undercut.piece import Array

MARGIN = 10.0
"""What home printers leave white, with some to spare (common practice, no source). [mm]"""
PAPERS = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}
"""Width and height upright: ISO 216:2007 for A4 and A3, ANSI/ASME Y14.1 for letter. [mm]"""
MM_PER_INCH = 25.4
POINT = MM_PER_INCH / 72
"""One typographic point. [mm]"""

THIN, LINE, BOLD = 0.5, 0.9, 1.6
"""Line widths. [pt]"""

Dash: TypeAlias = "Literal['-'] | tuple[int, tuple[float, ...]]"
"""A full line, or its offset and lengths of marks and gaps in widths of the pen."""


@dataclass(frozen=True, slots=True)
class Paper:
    """Size of the sheets.

    Attributes
    ----------
    name : str
        `a4`, `a3` or `letter`.
    landscape : bool
        Long side level.
    printer_scale : float
        Length a printed ruler really has over the length it claims; the drawing is made larger
        or smaller to undo it. [1]
    """

    name: str = "a4"
    landscape: bool = True
    printer_scale: float = 1.0

    def __post_init__(self) -> None:
        if self.name.lower() not in PAPERS:
            known = ", ".join(PAPERS)
            raise InputError(f"paper {self.name!r} is unknown; use one of {known}")
        if not 0.9 <= self.printer_scale <= 1.1:
            raise InputError(
                f"printer scale {self.printer_scale:g} is beyond 0.9 to 1.1; it is the measured "
                "length of a check ruler over its nominal one; if the printer is further off, "
                "switch off 'fit to page' first"
            )

    @property
    def size(self) -> tuple[float, float]:
        """Width and height as the sheet is read. [mm]"""
        width, height = PAPERS[self.name.lower()]
        return (height, width) if self.landscape else (width, height)

    @property
    def scale(self) -> float:
        """Factor on true lengths in the file. [1]"""
        return 1.0 / self.printer_scale


@dataclass(frozen=True, slots=True)
class Words:
    """Words on a sheet, tied to a place by one edge or the middle of their box.

    Attributes
    ----------
    x, y : float
        The place. [mm]
    size : float
        [pt]
    align : {"left", "center"}
        What of the box lies at `x`.
    anchor : {"center", "top"}
        What of the box lies at `y`.
    turned : bool
        Whether they run upward.
    """

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    align: Literal["left", "center"] = "left"
    anchor: Literal["center", "top"] = "center"
    turned: bool = False

    @property
    def start(self) -> tuple[float, float]:
        """Where the first letter begins on its line. [mm]"""
        long, middle = self._long, CAPITAL / 2 * self.size * POINT
        if self.turned:
            down = {"center": long / 2, "top": long}[self.anchor]
            return self.x + middle, self.y - down
        drop = {"center": middle, "top": ASCENT * self.size * POINT}[self.anchor]
        return self.x - (long / 2 if self.align == "center" else 0.0), self.y - drop

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of what the words may cover. [mm]"""
        x, y = self.start
        over, under = ASCENT * self.size * POINT, DESCENT * self.size * POINT
        if self.turned:
            return x - over, y, x + under, y + self._long
        return x, y - under, x + self._long, y + over

    @property
    def _long(self) -> float:
        return width_in_ems(self.text, self.bold) * self.size * POINT


@dataclass(slots=True)
class Page:
    """One sheet being drawn, origin at its lower left corner. [mm]"""

    width: float
    height: float
    view: str
    texts: list[Words] = field(default_factory=list)
    fills: list[tuple[Array, float]] = field(default_factory=list)
    circles: list[tuple[float, float, float]] = field(default_factory=list)
    strokes: dict[tuple[float, Dash], list[Array]] = field(default_factory=dict)

    @property
    def inner(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of what may be printed on. [mm]"""
        return MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN

    def line(self, x: ArrayLike, y: ArrayLike, *, pen: float = LINE, dash: Dash = "-") -> None:
        """Draw straight lines through points; the width of the pen in points."""
        points = np.column_stack([np.asarray(x, dtype=float), np.asarray(y, dtype=float)])
        self.strokes.setdefault((pen, dash), []).append(points)

    def box(self, left: float, bottom: float, width: float, height: float, **kind: Any) -> None:
        """Draw a rectangle."""
        x = [left, left + width, left + width, left, left]
        self.line(x, [bottom, bottom, bottom + height, bottom + height, bottom], **kind)

    def fill(self, x: ArrayLike, y: ArrayLike, shade: float) -> None:
        """Fill a polygon without an outline; shade 0 is black, 1 is white."""
        self.fills.append((np.column_stack([np.asarray(x), np.asarray(y)]), shade))

    def circle(self, x: float, y: float, diameter: float) -> None:
        """Draw a circle with a cross that runs a little beyond it."""
        self.circles.append((x, y, diameter))
        reach = diameter / 2 + 2.0
        self.line([x - reach, x + reach], [y, y], pen=THIN)
        self.line([x, x], [y - reach, y + reach], pen=THIN)

    def text(
        self, x: float, y: float, text: str, *, size: float = 9.0, bold: bool = False,
        align: Literal["left", "center"] = "left", anchor: Literal["center", "top"] = "center",
        turned: bool = False, room: float | None = None,
    ) -> Words:  # fmt: skip
        """Write words; with `room` [mm] they are made smaller, then shortened, until they fit."""
        if room is not None:
            text, size = fitted(text, size, bold, room)
        self.texts.append(Words(x, y, text, size, bold, align, anchor, turned))
        return self.texts[-1]

    @staticmethod
    def width_of(words: str, *, size: float, bold: bool = False) -> float:
        """Width that words will have. [mm]"""
        return width_in_ems(words, bold) * size * POINT


def fitted(words: str, size: float, bold: bool, room: float) -> tuple[str, float]:
    """Words and size that fit into `room` [mm]: smaller first, to 7 points, then shortened."""
    width = Page.width_of(words, size=size, bold=bold)
    if width > room:
        size = max(min(7.0, size), size * room / width)
    end = ""
    while len(words) > 1 and Page.width_of(words + end, size=size, bold=bold) > room + 1e-6:
        words, end = words[:-1], ".."
    return words + end, size


def rows_of(text: str, page: Page, *, size: float, room: float, bold: bool = False) -> list[str]:
    """Break a sentence into lines no wider than `room`. [mm]"""
    rows: list[str] = []
    for word in text.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and page.width_of(longer, size=size, bold=bold) <= room:
            rows[-1] = longer
        else:
            rows.append(word)
    return rows
