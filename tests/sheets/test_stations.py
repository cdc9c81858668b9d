"""Figures for the bench: stations, router passes, holes, the scale of the paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar
from barmodel.errors import GeometryError, InputError
from barmodel.holes import CordHole
from barmodel.sheets import LastReading, Paper
from barmodel.sheets.finer import where_it_bends
from barmodel.sheets.marks import inner_walls, side_marks, top_marks
from barmodel.sheets.side import rest_of, shows_rest, side_words, tells_depths, times_shown, told
from barmodel.sheets.stations import left_by, router_passes, stations, thickness_at
from barmodel.sheets.stops import for_router, stop_table
from barmodel.sheets.tables import depth_table, floor_tables, table_pages
from barmodel.sheets.template import template_pages
from barmodel.sheets.tiles import share_out
from barmodel.undercut import Arch, Groove, Pocket
from barmodel.undercut.build import build_profile
from tests.sheets.bars import SIZES, job_of


@pytest.mark.parametrize("index", range(len(SIZES)))
def test_router_never_goes_below_the_underside(index: int) -> None:
    profile = job_of(index).aim.profile
    passes = router_passes(profile, cutter=0.012)
    assert passes
    for run in passes:
        x = np.linspace(run.first_stop - 0.006, run.last_stop + 0.006, 400)
        x = np.clip(x, run.start + 1e-9, run.end - 1e-9)
        left = profile.thickness(x).real
        assert (profile.stock.real - run.depth > left - 1e-7).all()
        assert run.first_stop - 0.006 == pytest.approx(run.start)


def test_passes_of_steps_reach_the_floors_in_small_bites() -> None:
    cuts = (Pocket(start=0.1, end=0.3, depth=0.007), Pocket(start=0.15, end=0.25, depth=0.004))
    passes = router_passes(build_profile(0.4, 0.022, cuts), cutter=0.012)
    sized = [(run.depth, run.start, run.end) for run in passes if run.to_size]
    assert sized == [(pytest.approx(0.007), pytest.approx(0.1), pytest.approx(0.3)),
                     (pytest.approx(0.011), pytest.approx(0.15), pytest.approx(0.25))]  # fmt: skip
    depths = np.array([0.0, *sorted({run.depth for run in passes})])
    assert np.diff(depths).max() <= 0.003 + 1e-9


def test_passes_over_an_arch_leave_wood_for_the_drum() -> None:
    profile = build_profile(0.4, 0.022, (Arch(start=0.1, end=0.3, depth=0.012),))
    passes = router_passes(profile, cutter=0.012)
    assert not any(run.to_size for run in passes)
    for run in passes:
        x = np.linspace(run.start, run.end, 200)
        assert (profile.stock.real - run.depth - profile.thickness(x).real).min() > 0.00099


def test_stations_refuse_nonsense() -> None:
    with pytest.raises(InputError, match="5 or 10"):
        stations(0.4, 0.0)


def test_holes_must_stay_in_the_wood() -> None:
    job = job_of(3)
    with pytest.raises(GeometryError, match="breaks out"):
        replace(job, holes=(CordHole(0.2, height=0.011),))
    with pytest.raises(GeometryError, match="leaves the bar"):
        replace(job, holes=(CordHole(0.002, height=0.011),))


def test_remaining_needs_the_present_bar() -> None:
    with pytest.raises(InputError, match="as it is now"):
        replace(job_of(0), kind="remaining", now=None)


def test_printer_scale_undoes_the_printer() -> None:
    assert Paper(printer_scale=0.995).scale * 0.995 == pytest.approx(1.0)
    with pytest.raises(InputError, match="printer scale"):
        Paper(printer_scale=0.5)
    with pytest.raises(InputError, match="a4, a3, letter"):
        Paper("foolscap")


def test_joins_keep_away_from_words_and_sheets_are_full() -> None:
    words = [(x - 1.9, x + 1.9) for x in range(0, 465, 5)]
    tiles = share_out(460.0, 258.0, words=words)
    assert len(tiles) == 2
    for tile in tiles:
        assert tile.end - tile.start == pytest.approx(258.0)
        assert not any(low - 0.3 < join < high + 0.3 for join in tile.joins for low, high in words)


def test_every_word_is_whole_on_some_sheet() -> None:
    """Also one that reaches beyond the end of the bar."""
    words = [(x, x + 26.0) for x in range(0, 434, 7)]
    tiles = share_out(460.0, 244.0, words=words)
    assert all(any(tile.shows(*word) for tile in tiles) for word in words)
    assert len(tiles) == 3, "two sheets would share 20 mm only"
    assert len(share_out(460.0, 244.0, words=[(100.0, 126.0)])) == 2


def test_every_mark_counts_from_the_nearer_end() -> None:
    """As the figures under the bar do; two counts on one sheet were once confused."""
    job = job_of(3)
    for label in (*side_marks(job), *top_marks(job)):
        told = float(label.words.split()[-1])
        assert told == pytest.approx(min(label.x, job.length * 1e3 - label.x), abs=0.051)


def test_figures_leave_each_other_room() -> None:
    """At 348 mm the middle lies 4 mm from its neighbours, less than a figure takes."""
    job = job_of(3)
    job = replace(job, aim=Bar(blank=replace(job.aim.blank, length=0.348)), holes=(), now=None)
    for every in (0.002, 0.005, 0.01):
        places = [place.x * 1e3 for place in told(replace(job, every=every), 1.0)]
        assert np.diff(places).min() > 4.2
        assert 174.0 in np.round(places, 6)


def test_left_to_sand_is_told() -> None:
    profile = build_profile(0.35, 0.021, (Arch(start=0.085, end=0.265, depth=0.0138),))
    passes = router_passes(profile, cutter=0.012)
    left = left_by(profile, passes)
    assert passes[-1].depth == pytest.approx(0.0127, abs=1.01e-4), "as deep as the cutter fits"
    assert left.middle == pytest.approx(0.0138 - passes[-1].depth, abs=1e-6)
    x = np.linspace(0.0, 0.35, 1401)
    depth = np.zeros_like(x)
    for run in passes:
        depth[(x >= run.start) & (x <= run.end)] = run.depth
    rest = profile.stock.real - profile.thickness(x).real - depth
    assert left.most == pytest.approx(rest.max(), abs=5e-5)


def test_wood_that_other_tools_took_is_not_left_to_sand() -> None:
    """The arch was cut to half a millimetre above the aim: the passes alone leave far more."""
    aim = build_profile(0.35, 0.021, (Arch(start=0.085, end=0.265, depth=0.0138),))
    passes = router_passes(aim, cutter=0.012)
    drummed = build_profile(0.35, 0.021, (Arch(start=0.085, end=0.265, depth=0.0133),))
    assert left_by(aim, passes).middle > 0.9e-3
    left = left_by(aim, passes, drummed)
    assert left.middle == pytest.approx(0.5e-3, abs=1e-6)
    assert left.most <= 0.5e-3 + 1e-6
    steps = build_profile(0.4, 0.022, (Pocket(start=0.1, end=0.3, depth=0.007),))
    assert left_by(steps, (), steps).most < 1e-9, "at a wall each side is told for itself"


@pytest.mark.parametrize(("now_depth", "router", "routed"), [
    (0.0, True, True), (0.0, False, False), (0.0122, True, False), (0.011, True, True),
])  # fmt: skip
def test_only_deep_cuts_are_for_a_router(now_depth: float, router: bool, routed: bool) -> None:
    """The arch of G3 goes 13 mm deep; what is left of it may be 0.8 mm or 2."""
    job = job_of(3, kind="remaining")
    (arch,) = job.aim.undercut
    now = (replace(arch, depth=now_depth),) if now_depth else ()
    job = replace(job, now=replace(job.aim, undercut=now), router=router)
    assert for_router(job) is routed
    words = [text.text for page in table_pages(job, Paper()) for text in page.texts]
    assert any("Router" in text for text in words) is routed


def test_depths_are_printed_shallower_and_thicknesses_thicker() -> None:
    floor = Pocket(start=0.1, end=0.3, depth=0.01275)
    inner = Pocket(start=0.15, end=0.25, depth=0.00457)
    job = job_of(3)
    job = replace(job, aim=replace(job.aim, undercut=(floor, inner)), now=None, holes=())
    table = {row[0]: row[1:] for row in depth_table(job).rows}
    assert table["120"] == ("12.7", "9.3")
    assert table["200"] == ("17.3", "4.7")  # 17.32 deep, 4.68 left
    page = template_pages(job, Paper("a3"))[0]
    drawn = {text.text for text in page.texts if text.bold and text.turned}
    assert drawn == {"0", "12.7", "17.3"}
    exact = {float(row[0]) for row in stop_table(job).rows}
    assert {12.75, 17.32} <= exact
    for figures in (depth_table(job), floor_tables(job)[0]):
        for row in figures.rows:
            assert float(row[-2]) + float(row[-1]) == pytest.approx(22.0, abs=1e-6)


def test_the_strip_of_what_is_left() -> None:
    job = job_of(3, kind="remaining")
    now = Bar(blank=job.aim.blank, undercut=(replace(job.aim.undercut[0], depth=0.0127),))
    left = replace(job, now=now)
    _, rest = rest_of(left)
    assert rest.max() == pytest.approx(0.3)
    assert shows_rest(left)
    assert not shows_rest(replace(job, now=Bar(blank=job.aim.blank))), "13 mm can be seen anyway"
    assert times_shown(np.array([0.3, -0.1])) * 0.3 > 4.0, "a third of a millimetre must be seen"


def test_a_bar_in_tune_is_not_to_be_cut() -> None:
    heard = LastReading(date="2026-03-14", hz=(196.9,), cents=(0.3,), in_tune=True)
    job = replace(job_of(0, kind="remaining"), reading=heard)
    assert not tells_depths(job)
    assert "In tune by the reading of 2026-03-14: nothing to cut" in side_words(job)
    assert tells_depths(replace(job, reading=replace(heard, fresh=False))), "cut since"


def test_a_plain_bar_has_one_thickness() -> None:
    """No edge inside: there was once nothing to look through."""
    plain = build_profile(0.4, 0.022, ())
    assert thickness_at(plain, np.array([0.0, 0.1, 0.4])) == pytest.approx([0.022] * 3)


def test_at_a_wall_the_thicker_side_is_told() -> None:
    steps = build_profile(0.4, 0.022, (Pocket(start=0.1, end=0.3, depth=0.007),))
    at = np.array([0.0999, 0.1, 0.1001, 0.3])
    assert thickness_at(steps, at) == pytest.approx([0.022, 0.022, 0.015, 0.022])


@pytest.mark.parametrize("fullness", [2.0, 4.0, 8.0])
def test_straight_lines_between_stations_tell_an_arch(fullness: float) -> None:
    """Also where it is steep: at 10 mm there was once nothing, and 5.8 mm at 20."""
    arch = Arch(start=0.0104, end=0.2496, depth=0.0115, fullness=fullness)
    profile = build_profile(0.26, 0.019, (arch,))
    x = np.linspace(0.012, 0.248, 3001)
    depth = profile.stock.real - profile.thickness(x).real

    def missed(more: tuple[float, ...]) -> float:
        at = np.array([place.x for place in stations(0.26, 0.01, more)])
        nodes = np.union1d(at, [0.0104, 0.2496])
        told = profile.stock.real - profile.thickness(nodes).real
        return float(np.abs(np.interp(x, nodes, told) - depth).max())

    finer = where_it_bends(profile, 0.01)
    assert missed(finer) <= 0.15e-3 + 1e-9 or min(np.diff(finer)) < 0.004
    assert (missed(()) > 0.15e-3) == bool(finer)


def test_walls_inside_a_cut_are_marked_and_floors_told() -> None:
    job = job_of(1)
    inner = job.aim.profile.walls[1:-1]
    assert inner_walls(job) == pytest.approx(inner)
    words = [label.words for label in side_marks(job)]
    assert words.count(f"{inner[0] * 1e3:.1f}") == 2
    rows = floor_tables(job)[0].rows
    assert [row[3] for row in rows] == ["8.50", "17.00", "8.50"]
    assert float(rows[0][1]) == float(rows[1][0]) == pytest.approx(inner[0] * 1e3, abs=0.05)
    assert not floor_tables(job_of(0)), "an arch has no floors"


def test_a_small_cut_is_told_where_it_lies() -> None:
    job = job_of(3)
    cut = Groove(at=0.1753, width=0.010, depth=0.0002, section="dished", mirror=True)
    then = job.aim.with_cuts(cut)
    paper = replace(job, aim=then, now=job.aim, kind="cut", holes=())
    depths = dict(zip([round(p.x * 1e3, 1) for p in paper.places], paper.depths(), strict=True))
    assert max(depths.values()) == pytest.approx(0.0002, rel=0.05)
    drawn = {place.x for place in told(paper, 1.0)}
    assert any(abs(x - 0.1753) < 0.0004 for x in drawn), "among the figures under the bar too"
