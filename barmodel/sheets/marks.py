"""Marks along the bar and the words beside them, set so that no word crosses another's line.

Words stand to the right of the upper end of their own line. A line further right that would cross
a word ends on a lower row: so nothing meets, however close the marks are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from barmodel.sheets.job import Job
from barmodel.sheets.paper import LINE, Dash, Page
from barmodel.sheets.view import View
from barmodel.undercut import outline
from barmodel.units import MM, no_deeper

ROW = 5.0
"""Height of a row of labels. [mm of paper]"""
LABEL, SAW = 8.5, 13.0
"""Size of labels, and of those of saw lines, by which alone one cuts. [pt]"""
NODE_DASH: Dash = (0, (7, 3))
CENTRE_DASH: Dash = (0, (9, 2, 2, 2))
SAW_DASH: Dash = (0, (4, 2))
NOW_DASH: Dash = (0, (2, 2))
CLEAR = 1.5
"""Space kept after a word. [mm of paper]"""


@dataclass(frozen=True, slots=True)
class Label:
    """A word tied to a place on the bar.

    Attributes
    ----------
    x, width : float
        Where the word begins, and the room it takes to the right of it. [mm of the bar]
    ahead : float
        How far from there its place lies: mostly nought. [mm of the bar]
    dash : Dash or None
        Line style of the line through the bar; None for a label without one.
    row : int
        Row it stands on, 0 the uppermost.
    size : float
        Of its letters. [pt]
    """

    x: float
    words: str
    dash: Dash | None = "-"
    bold: bool = False
    width: float = 0.0
    row: int = 0
    size: float = LABEL
    ahead: float = 0.0


def side_marks(job: Job) -> list[Label]:
    """Everything marked on the side of the bar."""
    holes = [hole.ends(job.aim.blank.width)[0] for hole in job.holes]
    after = "node then" if job.kind == "cut" else "node now"
    found = [
        *_nodes_and_holes(job, holes),
        *(_label(job, x, after, NOW_DASH) for x in job.nodes_now),
        *(_label(job, x, "undercut") for x in job.span or ()),
        *(_label(job, x, "") for x in inner_walls(job)),
        _centre(job),
    ]
    return [*found, *_saw_lines(job, max(label.x for label in found))]


def _saw_lines(job: Job, last: float) -> list[Label]:
    """New ends, with their distance from those there are now; `last` mark before them. [mm]"""
    found = []
    for at, off in zip((job.trim[0], job.length - job.trim[1]), job.trim, strict=True):
        if not off:
            continue
        words = f"saw {float(no_deeper(off / MM, 2)):g}"
        ahead = 1.2 * (Page.width_of(words, size=SAW, bold=True) + 1.0 + CLEAR)
        if at < job.length / 2 or at / MM - ahead < last:
            ahead = 0.0  # before the right end, if it has room there: else it may need a sheet more
        found.append(Label(at / MM - ahead, words, SAW_DASH, True, size=SAW, ahead=ahead))
    return found


def inner_walls(job: Job) -> list[float]:
    """Walls of the underside aimed at between those where the cut begins and ends. [m]"""
    return [] if job.is_fine else outline.inner_walls(job.aim.profile)


def top_marks(job: Job) -> list[Label]:
    """Everything marked on the top of the bar."""
    rear = [hole.ends(job.aim.blank.width)[1] for hole in job.holes]
    return [
        *_nodes_and_holes(job, rear),
        _centre(job),
    ]


def _nodes_and_holes(job: Job, holes: list[float]) -> list[Label]:
    """Nodes when tuned, and holes; one word for a hole on its node, or for a cord without holes."""
    on_node = {x for x in job.nodes if any(abs(x - hole) < 0.05 * MM for hole in holes)}
    words = {
        x: "node, hole" if x in on_node else "node" if holes else "node, cord" for x in job.nodes
    }
    beside = [x for x in holes if all(abs(x - node) >= 0.05 * MM for node in on_node)]
    return [
        *(_label(job, x, word, NODE_DASH, bold=True) for x, word in words.items()),
        *(_label(job, x, "hole", None) for x in beside),
    ]


def counted(job: Job, x: float) -> str:
    """Distance of a place from the nearer end, as printed on the full-scale sheets. [mm]"""
    return f"{min(x, job.length - x) / MM:.1f}"


def _label(job: Job, x: float, word: str, dash: Dash | None = "-", *, bold: bool = False) -> Label:
    return Label(x / MM, f"{word} {counted(job, x)}".lstrip(), dash, bold)


def _centre(job: Job) -> Label:
    return _label(job, job.length / 2, "centre", CENTRE_DASH, bold=True)


def set_on_rows(labels: list[Label], page: Page, scale: float) -> list[Label]:
    """Give every label its row, from left to right."""
    placed: list[Label] = []
    for label in sorted(labels, key=lambda label: label.x):
        width = (page.width_of(label.words, size=label.size, bold=label.bold) + 1.0 + CLEAR) / scale
        crossed = [other.row for other in placed if other.x + other.width > label.x]
        placed.append(replace(label, width=width, row=1 + max(crossed, default=-1)))
    return placed


def rows_needed(labels: Sequence[Label]) -> int:
    """How many rows the labels take."""
    return 1 + max(label.row for label in labels)


def draw_mark(page: Page, view: View, label: Label, top: float, bottom: float) -> None:
    """Write a label beside the upper end of its line, and draw the line down through the bar.

    Parameters
    ----------
    page : Page
    view : View
    label : Label
    top, bottom : float
        Upper end of the first row of labels, and where the line ends. [mm of paper]
    """
    if not view.tile.holds(label.x + label.ahead):
        return
    x, y = float(view.x(label.x + label.ahead)), top - (label.row + 0.5) * ROW
    if label.dash is not None:
        page.line([x, x], [y - ROW / 2 + 0.3, bottom], pen=LINE, dash=label.dash)
    if view.tile.shows(label.x, label.x + label.width):
        page.line([x, x], [y - ROW / 2 + 0.3, y + ROW / 2 - 0.6], pen=LINE)
        page.text(float(view.x(label.x)) + 1.0, y, label.words, size=label.size, bold=label.bold)
