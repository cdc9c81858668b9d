"""Marks along the bar and the words beside them, set so that no word crosses another's line.

Words stand to the right of the upper end of their own line. A line further right that would cross
a word ends on a lower row: so nothing meets, however close the marks are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from barmodel.sheets.job import Job
from barmodel.sheets.paper import Page
from barmodel.sheets.tiles import Tile
from barmodel.units import MM

ROW = 5.0
"""Height of a row of labels. [mm of paper]"""
LABEL = 8.5
"""Size of labels. [pt]"""
NODE_DASH = (0, (7, 3))
CENTRE_DASH = (0, (9, 2, 2, 2))
NOW_DASH = (0, (2, 2))
CLEAR = 1.5
"""Space kept after a word. [mm of paper]"""


@dataclass(frozen=True, slots=True)
class Label:
    """A word tied to a place on the bar.

    Attributes
    ----------
    x, width : float
        Place, and room the word takes to the right of it. [mm of the bar]
    dash : Any
        Line style of the line through the bar; None for a label without one.
    row : int
        Row it stands on, 0 the uppermost.
    """

    x: float
    words: str
    dash: Any = "-"
    bold: bool = False
    width: float = 0.0
    row: int = 0


def side_marks(job: Job) -> list[Label]:
    """Everything marked on the side of the bar."""
    holes = [hole.ends(job.aim.blank.width)[0] / MM for hole in job.holes]
    return [
        *(Label(x / MM, f"node {x / MM:.1f}", NODE_DASH, bold=True) for x in job.nodes),
        *(Label(x / MM, f"node now {x / MM:.1f}", NOW_DASH) for x in job.nodes_now),
        *(Label(x / MM, f"cut {x / MM:.1f}") for x in job.span or ()),
        *(Label(x, f"hole {x:.1f}", None) for x in holes),
        _centre(job),
    ]


def top_marks(job: Job) -> list[Label]:
    """Everything marked on the top of the bar."""
    rear = [hole.ends(job.aim.blank.width)[1] / MM for hole in job.holes]
    return [
        *(Label(x / MM, f"node {x / MM:.1f}", NODE_DASH, bold=True) for x in job.nodes),
        *(Label(x, f"hole {x:.1f}", None) for x in rear),
        _centre(job),
    ]


def _centre(job: Job) -> Label:
    middle = job.length / MM / 2
    return Label(middle, f"centre {middle:.1f}", CENTRE_DASH, bold=True)


def set_on_rows(labels: list[Label], page: Page, scale: float) -> list[Label]:
    """Give every label its row, from left to right."""
    placed: list[Label] = []
    for label in sorted(labels, key=lambda label: label.x):
        width = (page.width_of(label.words, size=LABEL, bold=label.bold) + 1.0 + CLEAR) / scale
        crossed = [other.row for other in placed if other.x + other.width > label.x]
        placed.append(replace(label, width=width, row=1 + max(crossed, default=-1)))
    return placed


def owns(tile: Tile, x: float) -> bool:
    """Whether a place lies between the joins of this sheet: words are written once only."""
    low = tile.joins[0] if tile.number > 1 else tile.start
    high = tile.joins[-1] if tile.number < tile.count else tile.end
    return low <= x < high
