"""Cuts that cannot be made are refused with the nearest that can."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar
from barmodel.bench.pool import pool_of
from barmodel.cutmap import cut_map, light_effect
from barmodel.cuts import EndTrim, apply_cuts, check_cut, end_thinning, walls_crossed
from barmodel.errors import GeometryError
from barmodel.undercut import Groove, Pocket
from barmodel.undercut.cutters import CUTTERS


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        (Groove(at=0.428, width=0.012, depth=1e-3), "nearest place .* 424.0 mm"),
        (Groove(at=0.215, width=0.012, depth=0.011), "go through .* deepest possible .* 8.40 mm"),
        (Groove(at=0.215, width=0.012, depth=9e-3), "leave 1.4. mm .* deepest possible .* 8.40"),
    ],
)
def test_off_the_bar_through_it_and_too_thin(arched: Bar, cut: Groove, words: str) -> None:
    with pytest.raises(GeometryError, match=words):
        check_cut(arched, cut)


def test_the_deepest_possible_is_possible(arched: Bar) -> None:
    check_cut(arched, Groove(at=0.215, width=0.012, depth=8.4e-3))


def test_a_drum_cannot_reach_the_floor_of_a_narrower_hollow(arched: Bar) -> None:
    hollow = Pocket(start=0.205, end=0.225, depth=4e-3)
    bar = arched.with_cuts(hollow)
    with pytest.raises(GeometryError, match="mm diameter or less reaches it"):
        check_cut(bar, CUTTERS["drum75"].cut(at=0.215, depth=2e-4))
    check_cut(bar, CUTTERS["drum25"].cut(at=0.215, depth=2e-4))


@pytest.mark.parametrize("mirror", [False, True])
def test_a_cut_lies_across_a_wall_or_not(arched: Bar, mirror: bool) -> None:
    bar = arched.with_cuts(Pocket(start=0.14, end=0.20, depth=3e-3, mirror=True))
    low = arched.with_cuts(Pocket(start=0.14, end=0.20, depth=0.3e-3, mirror=True))
    across = Groove(at=0.145, width=0.02, depth=2e-4, mirror=mirror)
    walls = (0.14, 0.29) if mirror else (0.14,)
    assert walls_crossed(bar, across) == pytest.approx(walls)
    assert walls_crossed(low, across) == ()
    assert walls_crossed(bar, across.shifted(0.0052)) == ()  # to the wall and no further
    assert walls_crossed(bar.trimmed(left=0.01), across.shifted(-0.01))[:1] == pytest.approx(
        (0.13,)
    )


def test_no_advice_lies_across_a_wall(arched: Bar) -> None:
    bar = arched.with_cuts(Pocket(start=0.14, end=0.20, depth=3e-3, mirror=True))
    found = cut_map(bar, CUTTERS["scraper20"], count=40)
    blind = np.isnan(found.cents_per_mm).all(axis=0)
    near = np.abs(found.x[:, None] - np.array([0.14, 0.20, 0.23, 0.29])).min(axis=1)
    assert (blind == (near < 9.5e-3)).all()
    zeros = np.concatenate(found.zero_points)
    assert zeros.size
    assert (np.abs(zeros[:, None] - np.array([0.14, 0.20, 0.23, 0.29])).min(axis=1) > 9.5e-3).all()
    assert (found.strongest <= 0.215).all()
    effect = light_effect(bar, ["V1", "V2", "V3"])
    for name in ("scraper20", "bit12", "belt100"):
        pool = pool_of(effect, CUTTERS[name])
        crossed = [bool(walls_crossed(bar, cut)) for cut in pool.cuts]
        assert not pool.limit[crossed].any()
        assert pool.limit.any() == (name != "belt100")  # longer than any floor here
    whole = [tuple(round(1e3 * edge) for edge in cut.extent)
             for cut in pool_of(effect, CUTTERS["bit12"]).cuts]  # fmt: skip
    assert {(140, 200), (200, 230)} <= set(whole)


def test_a_drum_must_reach_on_both_halves(arched: Bar) -> None:
    bar = arched.with_cuts(Pocket(start=0.265, end=0.285, depth=4e-3))
    place = arched.blank.length - 0.275
    drum = CUTTERS["drum75"]
    check_cut(bar, drum.cut(at=place, depth=2e-4, mirror=False))
    with pytest.raises(GeometryError, match=r"cannot reach x = 275\.0 mm"):
        check_cut(bar, drum.cut(at=place, depth=2e-4, mirror=True))


def test_a_drum_goes_over_what_it_has_cut_itself(arched: Bar) -> None:
    """Bites side by side overlap: the ledge of one is as round as the drum that cut it."""
    drum = CUTTERS["drum40"]
    bites = [drum.cut(at=at, depth=d, width=0.04) for at, d in ((0.118, 0.49e-3), (0.142, 0.3e-3))]
    for order in (bites, bites[::-1]):
        apply_cuts(arched, order)
    wider = CUTTERS["drum75"].cut(at=0.136, depth=0.3e-3)
    deep = arched.with_cuts(*(replace(bite, depth=4e-3) for bite in bites))
    with pytest.raises(GeometryError, match="diameter or less reaches it"):
        check_cut(deep, wider)


def test_a_drum_reaches_everywhere_on_a_smooth_arch(arched: Bar) -> None:
    for at in (0.06, 0.1, 0.11, 0.16, 0.215):
        check_cut(arched, CUTTERS["drum75"].cut(at=at, depth=3e-4))


def test_ends(arched: Bar) -> None:
    bar = apply_cuts(arched, [EndTrim(left=1e-3), end_thinning(length=0.03, depth=1e-3)])
    assert bar.blank.length == pytest.approx(0.429)
    assert bar.profile.thickness(0.428) == pytest.approx(0.022)
    with pytest.raises(GeometryError, match=r"at most 366\.0 mm"):
        apply_cuts(arched, [EndTrim(left=0.2, right=0.2)])
    with pytest.raises(GeometryError, match="above zero"):
        apply_cuts(arched, [EndTrim()])
