"""The look all pictures share: sizes, colours, and a mark for every mode that survives a photocopy.

A mode is told by colour, by line style and by marker at once, so that a print in black and white
or a colour-blind reader loses nothing. Hues lie far apart for the common kinds of colour
blindness and differ in lightness.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # loaded when something is drawn
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "#1a1a1a"
"""Outlines and text."""
GREY = "#666666"
"""Help lines; still dark enough for a poor printer."""
FAINT = "#c4c4c4"
WOOD = "#ead9b9"
"""Fill of a bar; prints as a light grey."""
REMOVED = "#f6f0e4"
"""What the cuts took, or will take."""

FONT = "DejaVu Sans"
"""Comes with matplotlib: the same letters on every machine."""
TEXT = 11.0
SMALL = 9.5
TITLE = 14.0
"""Type sizes. [pt]"""

_SETTINGS: dict[str, Any] = {
    "font.family": FONT,
    "font.size": TEXT,
    "pdf.fonttype": 42,
    "ps.fonttype": 42,
    "svg.fonttype": "path",
    "text.hinting": "none",  # widths on screen as on paper
    "text.parse_math": False,  # a $ in a name is a $
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "axes.linewidth": 0.9,
    "lines.linewidth": 2.0,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "legend.fontsize": SMALL,
    "legend.frameon": False,
    "svg.hashsalt": "barmodel",
}

_NO_LOOK = ("backend", "interactive", "toolbar", "webagg", "date.epoch", "docstring", "tk.")
"""Settings of matplotlib that are about windows and not about pictures."""


@dataclass(frozen=True, slots=True)
class Mark:
    """How one mode is drawn everywhere."""

    color: str
    line: Any
    marker: str


MODE_MARKS = (
    Mark("#003f7d", "-", "o"),
    Mark("#d55e00", (0, (6, 2)), "s"),
    Mark("#00876c", (0, (6, 2, 1.2, 2)), "^"),
    Mark("#8a4f9e", (0, (1.4, 1.4)), "D"),
)
"""Marks of bending modes 1 to 4; from the fifth they repeat."""


def mark(number: int) -> Mark:
    """Return the mark of bending mode `number`, counted from 1."""
    return MODE_MARKS[(number - 1) % len(MODE_MARKS)]


@contextmanager
def look() -> Iterator[None]:
    """Draw inside this context: settings hold here and nowhere else.

    What a person has set for other pictures (a `matplotlibrc`) does not hold here.
    """
    import matplotlib as mpl

    usual: dict[Any, Any] = {
        k: v for k, v in mpl.rcParamsDefault.items() if not str(k).startswith(_NO_LOOK)
    }
    with mpl.rc_context(usual | _SETTINGS):
        yield


def canvas(width: float, height: float) -> Figure:
    """Return an empty white figure of the given size. [in], [in]"""
    from matplotlib.figure import Figure

    return Figure(figsize=(width, height), facecolor="white")


def axes_at(
    figure: Figure,
    left: float,
    bottom: float,
    width: float,
    height: float,
    *,
    share_x: Axes | None = None,
) -> Axes:
    """Return axes at a place given in inches from the lower left corner of the figure."""
    whole_width, whole_height = figure.get_size_inches()
    box = (left / whole_width, bottom / whole_height, width / whole_width, height / whole_height)
    return figure.add_axes(box, sharex=share_x)


def bare(axes: Axes) -> None:
    """Take away frame and ticks."""
    axes.set_axis_off()


def open_frame(axes: Axes) -> None:
    """Keep only the left and lower line of the frame."""
    axes.spines[["top", "right"]].set_visible(False)


def write(figure: Figure, left: float, bottom: float, text: str, **kind: Any) -> None:
    """Write text at a place in inches from the lower left corner of the figure."""
    width, height = figure.get_size_inches()
    figure.text(left / width, bottom / height, text, **kind)


def signed(cents: float, digits: int = 1) -> str:
    """Write cents with their sign and a real minus; `in tune` is 0.0 without one.

    Examples
    --------
    >>> signed(-3.25), signed(0.01), signed(12.0, 0)
    ('−3.2', '0.0', '+12')
    """
    text = f"{cents:+.{digits}f}"
    return text[1:] if float(text) == 0.0 else text.replace("-", "−")
