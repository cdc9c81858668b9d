from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from barmodel.bench import Goal, History, Reading, infer, outcome
from barmodel.bench.belief import FINE_DEPTH, FINE_SHARE, ROUGH_DEPTH, Belief, depth_error
from barmodel.bench.bite import effect_of, find_bite, unreached
from barmodel.bench.model import solid_log_hz
from barmodel.bench.plan import Place, Ways, make_plan, spread_after
from barmodel.bench.pool import join, pool_of
from barmodel.cuts import EndTrim
from barmodel.undercut import Pocket
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR, GOAL, TARGET, computed

QUIET = Belief(drift_share=0.0, drift_least=1e-6)


def posterior(*cents: float, belief: Belief | None = None):
    hz = TARGET.hz * 2 ** (np.array(cents) / 1200)
    reading = Reading(hz=tuple(hz.tolist()), error_cents=(0.6,) * 3)
    return infer(History(start=BAR, events=(reading,)), belief)


def test_spread_of_an_outcome_is_that_of_the_hand() -> None:
    before = posterior(30.0, 25.0, 20.0, belief=QUIET)
    cut = CUTTERS["scraper20"].cut(at=150 * MM, depth=0.3 * MM, mirror=True)
    found = outcome(before, (cut,))
    deeper = outcome(before, (replace(cut, depth=cut.depth + depth_error(cut)),))
    by_hand = deeper.shift_cents - found.shift_cents
    grown = np.diag(found.covariance - before.pitch_covariance) ** 0.5
    assert grown == pytest.approx(np.abs(by_hand), rel=0.2, abs=0.3)


def test_trimming_raises_and_its_spread_is_the_saws() -> None:
    found = outcome(posterior(-5.0, -5.0, -5.0, belief=QUIET), (EndTrim(left=MM, right=MM),))
    assert np.all(found.shift_cents > 3.0)
    saw = found.shift_cents[0] / 2 * 0.1 * np.sqrt(2)
    grown = found.covariance[0, 0] - posterior(-5, -5, -5, belief=QUIET).pitch_covariance[0, 0]
    assert grown**0.5 == pytest.approx(saw, rel=0.01)


@pytest.mark.parametrize("name", ["scraper20", "drum40"])
def test_effects_of_the_pool_are_those_of_light_cuts(name: str) -> None:
    effect = effect_of(posterior(30.0, 25.0, 20.0), GOAL)
    pool = pool_of(effect, CUTTERS[name])
    for index in (1, len(pool.cuts) // 2, -1):
        exact = effect.shift(pool.cuts[index]) * 10.0
        assert pool.effects[:, index] == pytest.approx(exact, rel=0.02, abs=0.3)
    assert any(cut.mirror for cut in pool.cuts)


def test_a_cut_must_be_possible_by_what_is_written_down_as_well() -> None:
    """By that `cut` judges it when it is recorded, whatever the bar most likely is."""
    drum, beyond = (
        CUTTERS["drum40"].cut(at=at * MM, depth=0.2 * MM, mirror=True) for at in (150, 175)
    )
    found = posterior(30.0, 25.0, 20.0)
    assert list(unreached(found, (drum, beyond))) == []
    narrow = Pocket(start=146 * MM, end=154 * MM, depth=2.0 * MM, mirror=True)
    told = History(start=BAR.with_cuts(narrow))
    assert list(unreached(replace(found, history=told), (drum, beyond))) == [0]
    # of cuts one after another, only what the first has left counts
    bit = CUTTERS["bit12"].cut(at=150 * MM, depth=3.0 * MM, width=12 * MM, mirror=True)
    assert list(unreached(found, (bit, drum))) == [1]


def test_no_less_may_remain_of_the_bar_as_written_down() -> None:
    effect = effect_of(posterior(30.0, 25.0, 20.0), GOAL)
    thinner = BAR.with_cuts(Pocket(start=190 * MM, end=210 * MM, depth=0.4 * MM))
    alone, both = (
        pool_of(effect, CUTTERS["scraper20"], keep=7.9 * MM, told=told) for told in (None, thinner)
    )
    middle = len(alone.cuts) - 1  # 8.5 mm remain there, 8.1 by what is written down
    assert alone.limit[middle] == pytest.approx(0.6, abs=0.01)
    assert both.limit[middle] == pytest.approx(0.2, abs=0.01)


def test_neighbours_about_as_long_are_crowded_out() -> None:
    pool = pool_of(effect_of(posterior(30.0, 25.0, 20.0), GOAL), CUTTERS["scraper20"])
    depths = np.zeros(len(pool.cuts))
    depths[[5, 6, 20]] = 0.1, 0.3, 0.2
    crowded = pool.crowded(depths)
    assert 5 in crowded
    assert not {6, 20} & set(crowded)
    depths[5] = 0.0
    assert pool.crowded(depths) == []
    assert pool.without(crowded).limit[5] == 0.0


def test_cuts_of_a_bite_lie_apart() -> None:
    found = posterior(45.0, 40.0, 30.0)
    bite, _whole = find_bite(found, GOAL, effect_of(found, GOAL), (CUTTERS["scraper20"],))
    assert bite is not None
    middles = sorted(sum(cut.extent) / 2 for cut in bite.plan.cuts)
    assert np.all(np.diff(middles) >= 10 * MM - 1e-9)


def test_no_cut_is_a_mere_trace_beside_others() -> None:
    for cents in ((45.0, 40.0, 30.0), (14.0, 13.0, 12.0)):
        found = posterior(*cents)
        bite, _plan = find_bite(found, GOAL, effect_of(found, GOAL), (CUTTERS["scraper20"],))
        assert bite is not None
        depths = [cut.depth for cut in bite.plan.cuts]
        assert len(depths) == 1 or min(depths) >= 0.03 * MM - 1e-9


def test_the_whole_way_leads_home_and_the_bite_is_part_of_it() -> None:
    found = posterior(45.0, 40.0, 30.0)
    effect = effect_of(found, GOAL)
    pool = join([pool_of(effect, CUTTERS[name]) for name in ("scraper20", "drum40")])
    place = Place.of(found, GOAL)
    plan = make_plan(place, GOAL, found, pool)
    assert plan.reaches
    assert GOAL.inside(place.cents + pool.effects @ plan.amounts)
    assert 0.5 < plan.share < 1.0
    assert np.all(plan.depths <= plan.amounts + 0.006)
    assert np.all(plan.depths <= pool.limit + 0.006)


def test_chance_is_that_of_the_normal_distribution() -> None:
    one = Goal(target=replace(TARGET, ratios=(1.0,)))
    assert one.chance(np.array([1.0]), np.array([[1.0]])) == pytest.approx(0.9545, abs=0.003)
    assert one.flat_chance(np.array([-1.0]), np.array([[1.0]])) == pytest.approx(0.5)


def test_the_sample_bar_is_its_own_target() -> None:
    assert GOAL.cents(solid_log_hz(BAR, 3)) == pytest.approx(0.0, abs=1e-6)
    assert computed(BAR)[0] < computed(BAR)[1]


def test_hope_of_being_home_is_counted_over_what_might_be_heard() -> None:
    one = Goal(target=replace(TARGET, ratios=(1.0,)))
    spread, ear = np.array([[0.7**2]]), np.array([0.7])
    assert one.settled(np.array([1.0]), spread, ear, 0.95) > 0.9
    assert one.settled(np.array([3.0]), spread, ear, 0.95) < 0.2
    assert one.settled(np.array([20.0]), spread, ear, 0.95) == 0.0
    # by hand: a reading of s = 0.7 halves the variance; home needs 0.5 cents of margin or so
    rng = np.random.default_rng(0)
    then = rng.normal(2.4, 0.7 / np.sqrt(2), 200_000)
    chance = ndtr((3.0 - then) / 0.495) - ndtr((-1.0 - then) / 0.495)
    by_hand = float(np.mean(chance >= 0.95))
    assert one.settled(np.array([2.4]), spread, ear, 0.95) == pytest.approx(by_hand, abs=0.02)


def test_a_cut_is_safe_while_the_chance_of_any_flat_mode_is_within_the_risk() -> None:
    low, eye, none = GOAL.low, np.eye(3), np.zeros(3)
    edge, far = -ndtri(GOAL.risk), 9.0  # standard errors above the flat end
    assert GOAL.safe(np.add(low, [edge + 0.01, far, far]), eye, none)
    assert not GOAL.safe(np.add(low, [edge - 0.01, far, far]), eye, none)
    assert not GOAL.safe(np.add(low, [edge + 0.01, edge + 0.01, far]), eye, none)
    # what is doubtful already may grow by a tenth of the risk
    doubtful = np.array([0.3, 0.0, 0.0])
    for grown, safe in ((0.09 * GOAL.risk, True), (0.11 * GOAL.risk, False)):
        assert GOAL.safe(np.add(low, [-ndtri(0.3 + grown), far, far]), eye, doubtful) is safe


def test_light_cuts_err_by_their_depth_and_deep_ones_by_no_more_than_rough_ones() -> None:
    found = posterior(60.0, 60.0, 60.0, belief=QUIET)
    pool = pool_of(effect_of(found, GOAL), CUTTERS["scraper40"])
    place, depths = Place.of(found, GOAL), np.zeros(len(pool.cuts))
    for depth, error in ((0.2, FINE_DEPTH / MM + FINE_SHARE * 0.2), (1.5, ROUGH_DEPTH / MM)):
        depths[-1] = depth
        grown = np.diag(spread_after(place, found, Ways.of(pool), depths) - place.covariance)
        assert grown**0.5 == pytest.approx(error * np.abs(pool.effects[:, -1]), rel=0.02)
