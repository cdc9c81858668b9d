"""The table of depths: both halves once where they are alike, and no row left alone."""

from __future__ import annotations

import pytest

from barmodel.bar import Bar, Blank
from barmodel.sheets.grid import Flow, Table
from barmodel.sheets.job import Job
from barmodel.sheets.paper import Paper
from barmodel.sheets.side import tells_depths
from barmodel.sheets.tables import depth_table
from barmodel.undercut import Arch, Groove
from barmodel.wood import species

BLANK = Blank(length=0.4, width=0.06, thickness=0.022, wood=species("padauk").wood())
ARCH = Arch(start=0.08, end=0.32, depth=0.012)


def test_halves_that_differ_are_told_apart() -> None:
    alike = depth_table(Job(name="a", aim=Bar(blank=BLANK, undercut=(ARCH,))))
    assert alike.columns == ("from either end", "cut", "leave")
    odd = Groove(at=0.12, width=0.02, depth=0.001)
    apart = depth_table(Job(name="a", aim=Bar(blank=BLANK, undercut=(ARCH, odd))))
    assert apart.columns == ("from end", "left cut", "left leave", "right cut", "right leave")
    (there,) = [row for row in apart.rows if row[0] == "120"]
    assert float(there[1]) - float(there[3]) == pytest.approx(1.0, abs=0.11)


@pytest.mark.parametrize("count", range(15, 40))
def test_a_table_is_not_broken_before_a_row_or_two(
    count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    pieces: list[int] = []
    monkeypatch.setattr(Flow, "_draw", lambda _, __, rows, ___: pieces.append(len(rows)))
    rows = tuple((str(n), "1") for n in range(count))
    Flow(Paper()).place(Table("depths", ("a", "b"), rows, (30.0, 30.0), note="a note"))
    assert sum(pieces) == count
    assert min(pieces) >= 3


def test_a_cut_of_the_ends_alone_has_no_table_of_noughts() -> None:
    bar = Bar(blank=BLANK, undercut=(ARCH,))
    assert tells_depths(Job(name="a", aim=bar, now=bar.with_cuts(), kind="design"))
    assert not tells_depths(Job(name="a", aim=bar, now=bar, kind="cut"))
    deeper = bar.with_cuts(Groove(at=0.12, width=0.02, depth=0.001))
    assert tells_depths(Job(name="a", aim=deeper, now=bar, kind="cut"))
