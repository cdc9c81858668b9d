"""A sheet of paper as a drawing surface measured in millimetres.

Nothing here knows of bars. A `Page` is a matplotlib figure whose only axes cover the sheet, so
that one unit is one millimetre of paper.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.ft2font import LoadFlags
from matplotlib.patches import Ellipse, PathPatch, Polygon
from matplotlib.path import Path as MplPath
from matplotlib.text import Text
from numpy.typing import ArrayLike

from barmodel.errors import InputError
from barmodel.plots.style import FONT, INK

MARGIN = 10.0
"""What home printers leave white, with some to spare (common practice, no source). [mm]"""
PAPERS = {"a4": (210.0, 297.0), "a3": (297.0, 420.0), "letter": (215.9, 279.4)}
"""Width and height upright: ISO 216:2007 for A4 and A3, ANSI/ASME Y14.1 for letter. [mm]"""
MM_PER_INCH = 25.4
DOTS = 144
"""Fineness at which a page is checked on screen; the PDF itself has no dots. [1/in]"""
POINT = MM_PER_INCH / 72
"""One typographic point. [mm]"""

THIN, LINE, BOLD = 0.5, 0.9, 1.6
"""Line widths. [pt]"""


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


@dataclass(slots=True)
class Page:
    """One sheet being drawn, origin at its lower left corner. [mm]"""

    width: float
    height: float
    view: str
    figure: Figure = field(init=False)
    axes: Axes = field(init=False)
    texts: list[Text] = field(init=False, default_factory=list)
    _renderer: Any = field(init=False)
    strokes: dict[tuple[float, Any], list[Any]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        size = (self.width / MM_PER_INCH, self.height / MM_PER_INCH)
        self.figure = Figure(figsize=size, facecolor="white", dpi=DOTS)
        self.axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.axes.set_xlim(0.0, self.width)
        self.axes.set_ylim(0.0, self.height)
        self.axes.set_axis_off()
        self._renderer = FigureCanvasAgg(self.figure).get_renderer()  # type: ignore[no-untyped-call]

    @property
    def inner(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of what may be printed on. [mm]"""
        return MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN

    def line(self, x: ArrayLike, y: ArrayLike, *, pen: float = LINE, dash: Any = "-") -> None:
        """Draw straight lines through points; widths in points."""
        points = np.column_stack([np.asarray(x, dtype=float), np.asarray(y, dtype=float)])
        self.strokes.setdefault((pen, dash), []).append(points)

    def box(self, left: float, bottom: float, width: float, height: float, **kind: Any) -> None:
        """Draw a rectangle."""
        x = [left, left + width, left + width, left, left]
        self.line(x, [bottom, bottom, bottom + height, bottom + height, bottom], **kind)

    def finish(self) -> None:
        """Put the lines on the sheet, all of one pen at once; nothing is drawn after it."""
        for (pen, dash), lines in self.strokes.items():
            path = MplPath.make_compound_path(*(MplPath(points) for points in lines))
            path.should_simplify = False  # a template must keep every point
            self.axes.add_patch(
                PathPatch(path, fill=False, edgecolor=INK, linewidth=pen, linestyle=dash,
                          capstyle="butt", joinstyle="miter", snap=False)
            )  # fmt: skip
        self.strokes.clear()

    def fill(self, x: ArrayLike, y: ArrayLike, shade: str) -> None:
        """Fill a polygon without an outline."""
        corners = np.column_stack([np.asarray(x), np.asarray(y)])
        self.axes.add_patch(Polygon(corners, facecolor=shade, edgecolor="none", zorder=0))

    def circle(self, x: float, y: float, diameter: float) -> None:
        """Draw a circle with a cross that runs a little beyond it."""
        self.axes.add_patch(
            Ellipse((x, y), diameter, diameter, fill=False, edgecolor=INK, linewidth=LINE)
        )
        reach = diameter / 2 + 2.0
        self.line([x - reach, x + reach], [y, y], pen=THIN)
        self.line([x, x], [y - reach, y + reach], pen=THIN)

    def text(
        self, x: float, y: float, words: str, *, size: float = 9.0, bold: bool = False,
        align: str = "left", anchor: str = "center", turn: float = 0.0, room: float | None = None,
    ) -> Text:  # fmt: skip
        """Write words; with `room` [mm] they are made smaller, then shortened, until they fit."""
        if room is not None:
            words, size = fitted(words, size, bold, room)
        made = self.axes.text(
            x,
            y,
            words,
            fontsize=size,
            fontweight="bold" if bold else "normal",
            ha=align,
            va=anchor,
            rotation=turn,
            rotation_mode="default",
            color=INK,
            parse_math=False,
        )
        if hasattr(made, "set_fontfeatures"):  # ligatures would embed every font twice
            made.set_fontfeatures(("-liga",))
        self.texts.append(made)
        return made

    @staticmethod
    def width_of(words: str, *, size: float, bold: bool = False) -> float:
        """Width that words will have. [mm]"""
        return sum(_advance(letter, bold) for letter in words) * size * POINT

    def extent(self, text: Text) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of a written text. [mm]"""
        box = text.get_window_extent(renderer=self._renderer)
        return tuple(float(v) * MM_PER_INCH / DOTS for v in (box.x0, box.y0, box.x1, box.y1))  # type: ignore[return-value]


def fitted(words: str, size: float, bold: bool, room: float) -> tuple[str, float]:
    """Words and size that fit into `room` [mm]: smaller first, to 7 points, then shortened."""
    width = Page.width_of(words, size=size, bold=bold)
    if width > room:
        size = max(min(7.0, size), size * room / width)
    end = ""
    while len(words) > 1 and Page.width_of(words + end, size=size, bold=bold) > room + 1e-6:
        words, end = words[:-1], ".."
    return words + end, size


@cache
def _advance(letter: str, bold: bool) -> float:
    """How far one letter moves the pen, in ems; kerning is left out, it only narrows."""
    face = get_font(findfont(FontProperties(family=FONT, weight="bold" if bold else "normal")))
    face.set_size(1000.0, 72.0)
    return float(face.load_char(ord(letter), flags=LoadFlags.NO_HINTING).linearHoriAdvance) / (
        65536.0 * 1000.0
    )


def rows_of(text: str, page: Page, *, size: float, room: float) -> list[str]:
    """Break a sentence into lines no wider than `room`. [mm]"""
    rows: list[str] = []
    for word in text.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and page.width_of(longer, size=size) <= room:
            rows[-1] = longer
        else:
            rows.append(word)
    return rows
