"""Nothing on a sheet is clipped, nothing lies on anything else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

from barmodel.bar import Bar
from barmodel.plots.style import FONT
from barmodel.sheets.paper import MARGIN, POINT, Page, Paper
from barmodel.sheets.pdf import draw_pages
from tests.sheets.bars import SIZES, job_of

TOUCH = 0.3
"""Boxes of words may come this near before it counts: the box holds unused air. [mm]"""


def test_boxes_hold_what_is_really_drawn() -> None:
    """Against the outlines of the letters as another library lays them out."""
    page = Page(200.0, 200.0, "")
    page.text(20.0, 100.0, "Nodes, holes and limits 0123456789.5", size=12.0, bold=True)
    page.text(100.0, 50.0, "SIDE, finished underside", align="center", turned=True)
    page.text(100.0, 150.0, "212.5", align="center", anchor="top", turned=True)
    for words in page.texts:
        left, bottom, right, top = words.box
        font = FontProperties(family=FONT, weight="bold" if words.bold else "normal")
        drawn = TextPath((0, 0), words.text, size=words.size * POINT, prop=font).get_extents()
        long, high = (top - bottom, right - left) if words.turned else (right - left, top - bottom)
        assert long == pytest.approx(drawn.x1, abs=0.4)
        assert drawn.height < high < 1.1 * words.size * POINT
    upright, turned, hung = page.texts
    assert upright.box[1] < 100.0 < upright.box[3]
    assert turned.box[1] + turned.box[3] == pytest.approx(100.0)
    assert hung.box[3] == pytest.approx(150.0)


def clashes(page: Page) -> list[str]:
    """Words off the paper, words on words, lines through words."""
    words = [text.text for text in page.texts]
    box = np.array([text.box for text in page.texts])
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


@pytest.mark.parametrize("paper", [Paper("a4", False), Paper(), Paper("a3", False)])
def test_hundredths_and_minus_signs_have_room(paper: Paper) -> None:
    """Under the bar: 13.44 where the first cut stops, −0.36 where too much is gone."""
    job = job_of(1)
    short = replace(job, rough=thinner(job.aim, 0.97), now=replace(job.aim, undercut=()))
    over = replace(job, kind="remaining", now=thinner(job.aim, 1.04))
    for drawn, figure in ((short, "16.49"), (over, "−0.68")):
        pages = draw_pages(drawn, paper)
        assert any(text.text == figure for page in pages for text in page.texts)
        for page in pages:
            assert clashes(page) == [], page.view
            told = [text for text in page.texts if text.text == figure and text.turned]
            for text in told:  # what stands below it may come no nearer than one may read over
                left, bottom, right, _ = text.box
                under = [other.box for other in page.texts if not other.turned
                         and other.box[0] < right and other.box[2] > left
                         and other.box[3] < bottom + 3.0]  # fmt: skip
                assert all(top < bottom - 0.5 for *_, top in under), figure


def thinner(bar: Bar, share: float) -> Bar:
    """The bar with every cut so much of its depth."""
    return replace(bar, undercut=tuple(cut.with_depth(share * cut.depth) for cut in bar.undercut))


def test_the_check_sees_a_clash() -> None:
    page = Page(100.0, 100.0, "")
    page.text(50.0, 50.0, "first")
    page.text(51.0, 50.0, "second")
    page.text(95.0, 20.0, "beyond the edge")
    page.line([40.0, 60.0], [50.0, 50.0])
    assert len(clashes(page)) >= 4
