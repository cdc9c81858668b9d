"""Papers of a whole set: every bar on them once, nothing over the edge, boards as they are sawn."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from barmodel.instrument import Piece, lay_out
from barmodel.pitch import note_of
from barmodel.sheets import Paper
from barmodel.sheets.whole_set import SetPapers, set_pages

NOTES = range(24, 85)


def row(number: int, semitone: int, **more: Any) -> dict[str, object]:
    """One bar as in the set table, its figures made up."""
    note = note_of(semitone)
    edges = [f"hole_{end}{edge}_edge" for end in ("", "far_") for edge in ("bass", "treble")]
    sizes = ("length", "width", "centre", "start", "depth", "node", "hole", "hole_misfit")
    names = (*sizes, *edges)
    return {
        **{f"{name}_mm": 100.25 + semitone for name in names},
        "note": note,
        "row": "accidentals" if "#" in note else "naturals",
        "state": "designed",
        "order_of_work": number,
        "plank": "the long one",
        "mode1_cents_per_0.1mm": -21.0,
        "leave_today_cents": 4.5,
        "hole_angle_degrees": 3.6,
        "hole_far_angle_degrees": -3.6,
        "remark": "",
        **more,
    }


def papers(**more: Any) -> SetPapers:
    pieces = [Piece(semitone=n, length=0.6 - 0.006 * (n - 24), width=0.05) for n in NOTES]
    sawn = lay_out(pieces, length=1.5, width=0.18, kerf=0.003)
    told: dict[str, Any] = {
        "name": "a set",
        "told": "made up",
        "rows": [row(len(NOTES) - k, n) for k, n in enumerate(NOTES)],
        "sawn": sawn,
        "sizes": {item.board: (1.5, 0.18) for item in sawn},
    }
    return SetPapers(**(told | more))


@pytest.mark.parametrize("paper", [Paper(), Paper("letter"), Paper("a3", landscape=False)])
def test_nothing_lies_over_the_edge_or_over_other_words(paper: Paper) -> None:
    long = "a caution that is far too long for one line of any sheet of paper " * 6
    for page in set_pages(papers(cautions=(long,) * 30), paper):
        left, bottom, right, top = page.inner
        boxes = [words.box for words in page.texts]
        for x0, y0, x1, y1 in boxes:
            assert left - 0.1 <= x0 < x1 <= right + 0.1, page.view
            assert bottom - 0.1 <= y0 < y1 <= top + 0.1, page.view
        for a, b in itertools.combinations(boxes, 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            upward = min(a[3], b[3]) - max(a[1], b[1])
            assert min(across, upward) < 0.6, (page.view, a, b)


def test_every_bar_is_told_of_once_in_every_table() -> None:
    pages = set_pages(papers(), Paper())
    views = [page.view for page in pages]
    assert [view.split(",")[0] for view, _ in itertools.groupby(views)] == [
        "order of work",
        "cord holes",
        "cord holes",
        "blanks as sawn",
    ]
    names = [note_of(n) for n in NOTES]
    for kind in ("order of work", "cord holes"):
        said = [w.text for p in pages if p.view.startswith(kind) for w in p.texts]
        assert sorted(name for name in said if name in set(names)) == sorted(names)
    order = [w.text for p in pages if p.view == "order of work" for w in p.texts]
    assert order.index("C7") < order.index("B6") < order.index("C2")  # as the rows say
    accidentals = [p for p in pages if p.view == "cord holes, accidentals"]
    assert not any(words.text in {"C3", "D3"} for page in accidentals for words in page.texts)


def test_boards_are_drawn_as_they_are_sawn() -> None:
    told = papers()
    pages = [page for page in set_pages(told, Paper()) if page.view.startswith("blanks")]
    sizes = []
    for page in pages:
        for points, shade in page.fills:
            if shade == 1.0:
                sizes.append(np.ptp(points, axis=0))
    scale = (pages[0].inner[2] - pages[0].inner[0]) / 1500.0
    wanted = [
        (1e3 * item.piece.length * scale, 1e3 * item.piece.width * scale) for item in told.sawn
    ]
    assert np.allclose(sorted(map(tuple, sizes)), sorted(wanted), atol=1e-9)


def test_bars_without_a_design_and_without_planks() -> None:
    rows = [row(1, 24, plank=None), row(2, 25, state="refused", remark="too short")]
    pages = set_pages(papers(rows=rows, sawn=(), sizes={}), Paper())
    words = [text.text for page in pages for text in page.texts]
    assert "plank" not in words
    assert any("C#2 has no design: too short" in text for text in words)
    assert [page.view for page in pages] == [
        "order of work",
        "cord holes, naturals",
        "what to mind",
    ]
