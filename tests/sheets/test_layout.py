"""Nothing on a sheet is clipped, nothing lies on anything else."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.text import Text

from barmodel.plots.style import look
from barmodel.sheets.paper import MARGIN, POINT, Page, Paper
from barmodel.sheets.pdf import draw_pages
from tests.sheets.bars import SIZES, job_of

TOUCH = 0.2
"""Boxes of words may come this near before it counts: the box holds unused air. [mm]"""


def boxes(page: Page) -> list[tuple[str, np.ndarray]]:
    return [(t.get_text(), box_of(t)) for t in page.texts]


def box_of(text: Text) -> np.ndarray:
    """Left, bottom, right and top of some words by the letters' advances: quick. [mm]"""
    bold, size = text.get_fontweight() == "bold", float(text.get_fontsize())
    wide, high = Page.width_of(text.get_text(), size=size, bold=bold), size * POINT
    if text.get_rotation() == 90.0:
        wide, high = high, wide
    x, y = text.get_position()
    left = x - {"left": 0.0, "center": wide / 2}[text.get_horizontalalignment()]
    bottom = y - {"center": high / 2, "top": high}[text.get_verticalalignment()]
    return np.array([left, bottom, left + wide, bottom + high])


def test_quick_boxes_hold_what_is_really_drawn() -> None:
    page = Page(200.0, 200.0, "")
    page.text(20.0, 100.0, "Nodes, holes and limits 0123456789.5", size=12.0, bold=True)
    page.text(100.0, 50.0, "SIDE, finished underside", align="center", turn=90)
    page.text(100.0, 150.0, "212.5", align="center", anchor="top", turn=90)
    with look():
        for text in page.texts:
            quick, real = box_of(text), np.array(page.extent(text))
            assert (quick[:2] < real[:2] + 0.5).all()
            assert (quick[2:] > real[2:] - 0.5).all()


def clashes(page: Page) -> list[str]:
    """Words off the paper, words on words, lines through words."""
    words = [text.get_text() for text in page.texts]
    box = np.array([box_of(text) for text in page.texts])
    limits = np.array([MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN])
    off = (box[:, :2] < limits[:2]).any(axis=1) | (box[:, 2:] > limits[2:]).any(axis=1)
    found = [f"{words[i]!r} leaves the page" for i in np.flatnonzero(off)]
    low, high = box[:, :2] + TOUCH, box[:, 2:] - TOUCH
    apart = (low[:, None] > high[None]).any(axis=2)
    meet = np.triu(~(apart | apart.T), k=1)
    found += [f"{words[i]!r} lies on {words[j]!r}" for i, j in np.argwhere(meet)]
    ends = segments(page)
    near = (ends.min(axis=1)[:, None] < high[None]).all(axis=2)
    near &= (ends.max(axis=1)[:, None] > low[None]).all(axis=2)
    along = np.linspace(0, 1, 65)[:, None]
    for line, word in np.argwhere(near):
        points = ends[line, 0] + along * (ends[line, 1] - ends[line, 0])
        inside = (points > low[word] + TOUCH) & (points < high[word] - TOUCH)
        if inside.all(axis=1).any():
            found.append(f"a line at {points.mean(axis=0).round(1)} crosses {words[word]!r}")
    return found


def segments(page: Page) -> np.ndarray:
    """Every straight piece drawn, shape (n, 2 ends, 2)."""
    lines = [line for drawn in page.strokes.values() for line in drawn]
    return np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in lines])


@pytest.mark.parametrize("index", range(len(SIZES)), ids=[size[0] for size in SIZES])
def test_nothing_overlaps_from_a2_to_c7(index: int) -> None:
    kinds = ("design", "blank", "remaining")
    papers = (Paper(), Paper("a4", False), Paper("letter"), Paper("letter", False), Paper("a3"),
              Paper("a3", False))  # fmt: skip
    # every bar meets two papers and a kind; together they meet all
    for turn in (0, 3):
        paper = papers[(index + turn) % len(papers)]
        every = 5e-3 if (index + turn) % 2 else 10e-3
        job = job_of(index, kind=kinds[(index // 2 + turn) % 3], every=every)
        for page in draw_pages(job, paper):
            assert clashes(page) == [], f"{paper}, {page.view}"


def test_the_check_sees_a_clash() -> None:
    page = Page(100.0, 100.0, "")
    page.text(50.0, 50.0, "first")
    page.text(51.0, 50.0, "second")
    page.text(95.0, 20.0, "beyond the edge")
    page.line([40.0, 60.0], [50.0, 50.0])
    assert len(clashes(page)) >= 4
