"""Paper for a whole set: order of work, cord holes, boards to saw, what to mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

from barmodel.atomic import write_atomically
from barmodel.files.set_table import THERE
from barmodel.instrument import Sawn
from barmodel.plots.style import signed
from barmodel.sheets.boards import BOARD_FOOT, board_height, draw_board
from barmodel.sheets.grid import ROW, grid
from barmodel.sheets.paper import BOLD, LINE, Page, Paper, rows_of
from barmodel.sheets.writer import pdf_of
from barmodel.units import MM, no_deeper, no_thinner

HEAD = 20.0
"""Height of the title block and the gap under it. [mm]"""
BLOCK = 15.0
HOLE_WORDS = (
    "Top of the bar up, player in front, bass on the left. Millimetres from the end of the bar "
    "that the hole is nearer to. The two ends lean with opposite hands: mark top, player's end "
    "and bass edge on every bar before drilling."
)
WORK_WORDS = (
    "An easy bar first, then from the longest down: a spoiled one can become a higher note. "
    "'middle' and 'arch' are of the design in the bar file; leave the last tenths for the tuning."
)

Row = Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPapers:
    """What the sheets of a set tell.

    Attributes
    ----------
    name, told : str
        Of the set; its wood, stock and pitch.
    rows : sequence of mapping
        One for each bar, as in the set table.
    sawn : tuple of Sawn
        Where each blank lies.
    sizes : mapping of str to (float, float)
        Length and width of every board named there. [m]
    date : str
    cautions : tuple of str
    """

    name: str
    told: str
    rows: Sequence[Row]
    sawn: tuple[Sawn, ...] = ()
    sizes: Mapping[str, tuple[float, float]]
    date: str = ""
    cautions: tuple[str, ...] = ()


def write_set_pdf(papers: SetPapers, path: str | Path) -> int:
    """Write all sheets of a set into one PDF, whole or not at all; return how many there are.

    Raises
    ------
    FileError
        If the folder is missing or closed to writing.
    """
    pages = set_pages(papers, Paper())
    write_atomically(path, pdf_of(pages, f"{papers.name}: papers of the set"))
    return len(pages)


def set_pages(papers: SetPapers, paper: Paper) -> list[Page]:
    """Draw all sheets of a set, numbered."""
    made = [row for row in papers.rows if row["state"] in THERE]
    ordered = sorted(made, key=lambda row: int(str(row["order_of_work"])))
    planks = any(row["plank"] for row in made)
    work = [column for column in WORK if planks or column[0] != "plank"]
    pages = [
        *_tables(paper, "order of work", WORK_WORDS, work, [_work(r, planks) for r in ordered]),
        *_holes(paper, [row for row in made if row["hole_mm"] is not None]),
        *_boards(papers, paper),
        *_minded(papers, paper),
    ]
    for number, page in enumerate(pages, start=1):
        _title(page, papers, f"{number} of {len(pages)}")
    return pages


# -- tables ------------------------------------------------------------------------------------

WORK = (
    ("done", 12.0), ("no.", 11.0), ("bar", 15.0), ("plank", 30.0), ("length", 22.0),
    ("width", 18.0), ("middle", 20.0), ("arch from", 23.0), ("depth", 20.0), ("node", 20.0),
    ("0.1 mm is", 26.0), ("leave today", 34.0),
)  # fmt: skip
HOLES = (
    ("done", 12.0), ("bar", 15.0), ("middle", 24.0), ("player: bass", 29.0),
    ("treble", 25.0), ("angle", 22.0), ("far: bass", 29.0), ("treble", 25.0), ("angle", 22.0),
    ("off its node", 26.0),
)  # fmt: skip


def _work(row: Row, planks: bool) -> tuple[str, ...]:
    return (
        "",
        str(row["order_of_work"]),
        str(row["note"]),
        *([str(row["plank"] or "–")] if planks else []),
        _mm(row, "length_mm"),
        _mm(row, "width_mm"),
        _mm(row, "centre_mm", lambda value: no_thinner(value, 2)),
        _mm(row, "start_mm"),
        _mm(row, "depth_mm", lambda value: no_deeper(value, 2)),
        _mm(row, "node_mm"),
        _cents(row, "mode1_cents_per_0.1mm"),
        _cents(row, "leave_today_cents"),
    )


def _holes(paper: Paper, made: Sequence[Row]) -> Iterator[Page]:
    """Naturals and accidentals apart: they are drilled with different wedges."""
    for name in ("naturals", "accidentals"):
        rows = [_hole(row) for row in made if row["row"] == name]
        yield from _tables(paper, f"cord holes, {name}", HOLE_WORDS, HOLES, rows)


def _hole(row: Row) -> tuple[str, ...]:
    return (
        "",
        str(row["note"]),
        _mm(row, "hole_mm"),
        _mm(row, "hole_bass_edge_mm"),
        _mm(row, "hole_treble_edge_mm"),
        _degrees(row, "hole_angle_degrees"),
        _mm(row, "hole_far_bass_edge_mm"),
        _mm(row, "hole_far_treble_edge_mm"),
        _degrees(row, "hole_far_angle_degrees"),
        _signed(row, "hole_misfit_mm"),
    )


def _mm(row: Row, name: str, shown: Callable[[float], str] = "{:.1f}".format) -> str:
    value = row.get(name)
    return "–" if value is None else shown(float(str(value)))


def _signed(row: Row, name: str) -> str:
    value = row.get(name)
    return "–" if value is None else signed(float(str(value)))


def _cents(row: Row, name: str) -> str:
    return "–" if row.get(name) is None else f"{_signed(row, name)} cents"


def _degrees(row: Row, name: str) -> str:
    return "–" if row.get(name) is None else f"{_signed(row, name)}°"


def _tables(
    paper: Paper,
    view: str,
    words: str,
    columns: Sequence[tuple[str, float]],
    rows: Sequence[tuple[str, ...]],
) -> Iterator[Page]:
    """One table over as many sheets as it takes, the words at the foot of each."""
    widths = [width for _, width in columns]
    head = tuple(name for name, _ in columns)
    left = list(rows)
    while left:
        page = Page(*paper.size, view)
        x, bottom, right, top = page.inner
        lines = rows_of(words, page, size=9.0, room=right - x)
        fits = int((top - HEAD - bottom - 5.0 * len(lines)) // ROW) - 1
        fill = (right - x) / sum(widths)
        grid(page, x, top - HEAD, [w * fill for w in widths], [head, *left[:fits]], size=10.5)
        for number, line in enumerate(reversed(lines)):
            page.text(x, bottom + 2.2 + 5.0 * number, line, size=9.0)
        left = left[fits:]
        yield page


# -- boards, and what to mind ------------------------------------------------------------------


def _boards(papers: SetPapers, paper: Paper) -> Iterator[Page]:
    """Boards under one another, all at one scale."""
    if not papers.sawn:
        return
    probe = Page(*paper.size, "")
    left, bottom, right, top = probe.inner
    longest = max(papers.sizes[item.board][0] for item in papers.sawn) / MM
    scale = (right - left) / longest
    page, y = None, 0.0
    for name, items in groupby(papers.sawn, key=lambda item: item.board):
        size = papers.sizes[name]
        high = board_height(size, scale)
        if page is None or y - high - BOARD_FOOT < bottom:
            if page is not None:
                yield page
            page = Page(*paper.size, f"blanks as sawn, 1 : {1 / scale:.1f}")
            y = top - HEAD
        draw_board(page, left, y, name, size, list(items), scale)
        y -= high + BOARD_FOOT
    if page is not None:
        yield page


def _minded(papers: SetPapers, paper: Paper) -> Iterator[Page]:
    """What stands out, and bars without a design."""
    missing = [
        f"{row['note']} has no design: {row['remark']}"
        for row in papers.rows
        if row["state"] not in THERE
    ]
    remarks = [
        f"{row['note']}: {row['remark']}"
        for row in papers.rows
        if row["state"] == "designed" and row["remark"]
    ]
    sentences = [*missing, *papers.cautions, *remarks]
    page, y = None, 0.0
    for sentence in sentences:
        if page is None:
            page, y = Page(*paper.size, "what to mind"), paper.size[1] - 10.0 - HEAD
        left, bottom, right, _ = page.inner
        lines = rows_of(sentence, page, size=10.0, room=right - left - 5.0)
        if y - 5.0 * len(lines) < bottom + 1.0:
            yield page
            page, y = Page(*paper.size, "what to mind"), paper.size[1] - 10.0 - HEAD
        page.text(left, y - 2.0, "-", size=10.0)
        for line in lines:
            page.text(left + 4.0, y - 2.0, line, size=10.0)
            y -= 5.0
        y -= 1.5
    if page is not None:
        yield page


def _title(page: Page, papers: SetPapers, number: str) -> None:
    left, _, right, top = page.inner
    page.box(left, top - BLOCK, right - left, BLOCK, pen=BOLD)
    last = right - 50.0
    page.line([last, last], [top - BLOCK, top], pen=LINE)
    room = last - left - 4.0
    page.text(left + 2.0, top - 5.0, papers.name, size=16.0, bold=True, room=room)
    page.text(left + 2.0, top - 11.5, papers.told, size=10.0, room=room)
    page.text(last + 2.0, top - 3.6, f"sheet {number}", size=11.0, bold=True, room=46.0)
    page.text(last + 2.0, top - 8.2, page.view, size=8.5, room=46.0)
    made = f"made {papers.date}" if papers.date else "date:"
    page.text(last + 2.0, top - 12.2, made, size=8.5, room=46.0)
