"""The map: stations, finite cuts, what the trade knows of arched bars."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.bar import Bar
from barmodel.cutmap import cut_map, predict, stations
from barmodel.errors import GeometryError
from barmodel.undercut.cutters import CUTTERS, Cutter


def row(bar: Bar, at: float) -> np.ndarray:
    """Cents per mm of modes 1–3 for a light 10 mm scrape at a place."""
    return cut_map(bar, CUTTERS["file10"], x=np.array([at, at + 1e-3])).cents_per_mm[:, 0]


def test_places_do_to_the_modes_what_makers_say_they_do(arched: Bar) -> None:
    centre, beside, outer, ends = (row(arched, at) for at in (0.2145, 0.2, 0.16, 0.01))
    arch_end = row(arched, 0.12)
    assert centre[0] < centre[2] < -1.0
    assert abs(centre[1]) < 0.05 * abs(centre[0])  # the very centre spares mode 2
    assert beside[0] < 2 * min(beside[1], beside[2])  # beside it: the fundamental most of all
    assert outer[1] < outer[0] < 0.0  # outer arch: mode 2 most, and mode 1 with it
    assert arch_end[2] < arch_end[1] < arch_end[0] < 0.0  # ends of the arch: mode 3
    assert (ends > 0.0).all()  # thinner ends raise all


def test_trimming_the_ends_raises_all(arched: Bar) -> None:
    found = cut_map(arched, CUTTERS["scraper20"], count=8)
    assert (found.trim_cents_per_mm > 5.0).all()
    trimmed = 1e-3
    after = predict(arched.trimmed(left=trimmed, right=trimmed), []).before.bending_hz
    shift = 1200 * np.log2(after / found.hz)
    assert found.trim_cents_per_mm == pytest.approx(shift, abs=0.05)


def test_a_cut_that_is_possible_nowhere_is_no_map(arched: Bar) -> None:
    with pytest.raises(GeometryError, match="wherever it is made"):
        cut_map(arched, CUTTERS["scraper20"], count=4, depth=21.5e-3)


def test_a_stated_depth_is_solved_and_walls_act_wider_than_the_wood_they_take(arched: Bar) -> None:
    x = np.array([0.06, 0.37, 0.2])
    narrow = Cutter(name="narrow", kind="bit", width=0.01)
    deep = cut_map(arched, narrow, depth=1e-3, x=x, mirror=True)
    light = cut_map(arched, narrow, x=x, mirror=True)
    assert deep.cents_per_mm[:, 0] == pytest.approx(deep.cents_per_mm[:, 1], abs=1e-9)
    assert 1.6 < deep.cents_per_mm[0, 2] / light.cents_per_mm[0, 2] < 2.2


def test_stations_where_the_cut_is_impossible_are_left_out(arched: Bar) -> None:
    found = cut_map(arched, CUTTERS["bit12"], depth=9e-3, x=np.array([0.05, 0.2]), labels=["V1"])
    assert np.isfinite(found.cents_per_mm[0, 0])
    assert np.isnan(found.cents_per_mm[0, 1])
    with pytest.raises(GeometryError, match="above zero"):
        cut_map(arched, CUTTERS["bit12"], depth=0.0)


def test_zero_points_are_not_the_still_points(arched: Bar) -> None:
    found = cut_map(arched, CUTTERS["file10"], count=81)
    zero, still = found.zero_points[0], found.nodes[0]
    assert np.abs(zero[:, None] - still).min() > 1e-3
    assert found.strongest[0] == pytest.approx(0.205, abs=0.02)
    with pytest.raises(GeometryError, match="narrower cutter"):
        stations(arched, 0.5, 10)
