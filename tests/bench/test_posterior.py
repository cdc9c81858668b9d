from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar
from barmodel.beam import solve_beam
from barmodel.bench import Belief, CutMade, History, Reading, infer
from barmodel.bench.belief import depth_error
from barmodel.bench.model import bar_with, deeper, depth_slopes, solid_log_hz
from barmodel.undercut import Arch, Groove, Pocket, Table
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR, BLANK

UNCUT = Bar(blank=BLANK)
WOOD = np.array([0.10, -0.20, 0.0])
"""True constants over the written ones, logarithms."""
ARCH = Arch(start=75 * MM, end=325 * MM, depth=13.0 * MM, fullness=3.0)


def hear(bar: Bar, *off: float, error: float = 0.6, degrees: float = 0.0) -> Reading:
    """Readings of a bar, off by some cents, through a bar that far above 20 °C."""
    cents = np.array([*off, *np.zeros(3 - len(off))]) - 0.9 * degrees
    hz = np.exp(solid_log_hz(bar, 3)) * 2 ** (cents / 1200)
    return Reading(
        hz=tuple(hz.tolist()),
        error_cents=(error,) * 3,
        temperature_c=20.0 + degrees if degrees else None,
    )


def true_bar(*cuts: Arch | Groove) -> Bar:
    return bar_with(UNCUT, WOOD, ()).with_cuts(*cuts)


def test_wood_and_depth_are_learnt_from_blank_and_arch() -> None:
    truth = replace(ARCH, depth=ARCH.depth + 0.12 * MM)
    history = History(
        start=UNCUT, events=(hear(true_bar()), CutMade(cuts=(ARCH,)), hear(true_bar(truth)))
    )
    found = infer(history)
    error = np.sqrt(np.diag(found.covariance)[:2])
    assert np.all(np.abs(found.mean[:2] - WOOD[:2]) < 2.5 * error)
    assert found.mean[0] == pytest.approx(0.10, abs=0.02)
    depth = found.bar.undercut[0]
    assert isinstance(depth, Arch)
    assert depth.depth == pytest.approx(truth.depth, abs=0.04 * MM)
    assert found.error_cents.max() < 0.8
    assert 1200 * np.log2(found.hz / history.readings[-1].hz) == pytest.approx(0.0, abs=0.6)


def test_bands_tighten_with_every_reading() -> None:
    history = History(start=BAR, events=(hear(BAR),))
    errors = [infer(history).error_cents]
    for _ in range(2):
        history = history.then(hear(BAR))
        errors.append(infer(history).error_cents)
    assert np.all(errors[1] < errors[0])
    assert np.all(errors[2] < errors[1])


def test_what_the_model_misses_is_carried_over_a_cut() -> None:
    cut = CUTTERS["scraper20"].cut(at=150 * MM, depth=0.2 * MM, mirror=True)
    history = History(start=BAR, events=(hear(BAR, 12.0, -9.0, 15.0), CutMade(cuts=(cut,))))
    found = infer(history)
    change = 1200 / np.log(2) * (found.log_hz - solid_log_hz(BAR.with_cuts(cut), 3))
    assert change == pytest.approx([12.0, -9.0, 15.0], abs=0.05)
    assert np.all(
        found.error_cents > infer(History(start=BAR, events=history.events[:1])).error_cents
    )


def test_a_lone_outlier_is_flagged_and_not_swallowed() -> None:
    cut = CUTTERS["scraper20"].cut(at=150 * MM, depth=0.2 * MM, mirror=True)
    after = BAR.with_cuts(cut)
    history = History(start=BAR, events=(hear(BAR), CutMade(cuts=(cut,)), hear(after, 0.0, 40.0)))
    found = infer(history)
    assert [(doubt.mode, doubt.alone) for doubt in found.doubts] == [(1, True)]
    assert found.doubts[0].off_cents == pytest.approx(40.0, abs=4.0)
    assert 1200 / np.log(2) * abs(found.log_hz[1] - solid_log_hz(after, 3)[1]) < 4.0
    # heard twice it is a fact, and the model gives way
    again = infer(history.then(hear(after, 0.0, 40.0)))
    assert again.doubts == ()
    assert 1200 / np.log(2) * (again.log_hz[1] - solid_log_hz(after, 3)[1]) > 30.0


def test_of_three_readings_the_odd_one_is_set_aside() -> None:
    history = History(start=BAR, events=(hear(BAR), hear(BAR, 0.0, 0.0, -60.0), hear(BAR)))
    found = infer(history)
    assert [(d.reading, d.mode, d.alone) for d in found.doubts] == [(1, 2, False)]


def test_heat_is_taken_off_the_reading() -> None:
    warm = infer(History(start=BAR, events=(hear(BAR, degrees=5.0),)))
    cool = infer(History(start=BAR, events=(hear(BAR),)))
    assert cents_between(warm.log_hz, cool.log_hz) == pytest.approx(0.0, abs=1e-6)
    assert np.all(warm.error_cents > cool.error_cents)


def test_readings_are_brought_to_the_water_of_today() -> None:
    """Many of one winter are wrong by the same: they do not average away what water does."""
    told = hear(BAR)
    dry = replace(hear(BAR, 10.0, 10.0, 10.0), water_cents=-10.0, water_error=4.0)
    now, then = (infer(History(start=BAR, events=(one,) * 6)) for one in (told, dry))
    assert cents_between(then.log_hz, now.log_hz) == pytest.approx(0.0, abs=0.05)
    spread = np.hypot(now.error_cents, 4.0)
    assert then.error_cents == pytest.approx(spread, rel=0.05)  # 4 and not 4/√6
    # one of today decides, and from then on the old ones tell what water does to this bar
    both = infer(History(start=BAR, events=(*(dry,) * 6, hear(BAR, 3.0, 3.0, 3.0))))
    assert cents_between(both.log_hz, now.log_hz) == pytest.approx(3.0, abs=0.4)
    assert both.error_cents.max() < 1.0


def test_a_dry_and_a_damp_day_together_say_what_water_does() -> None:
    """The bar answers a quarter more than believed: one is brought too little down, one too little
    up, and the right pitch lies between them."""
    dry = replace(hear(BAR, 25.0, 25.0, 25.0), water_cents=-20.0, water_error=5.0)
    damp = replace(hear(BAR, -25.0, -25.0, -25.0), water_cents=20.0, water_error=5.0)
    calm = infer(History(start=BAR, events=(hear(BAR),) * 6))
    both = infer(History(start=BAR, events=(*(dry,) * 3, *(damp,) * 3)))
    assert cents_between(both.log_hz, calm.log_hz) == pytest.approx(0.0, abs=0.1)
    assert both.error_cents == pytest.approx(calm.error_cents, rel=0.1)
    # two of one season do not tell
    alike = infer(History(start=BAR, events=(dry,) * 6))
    assert alike.error_cents.min() > 4.0


def cents_between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return 1200 / np.log(2) * (a - b)


@pytest.mark.parametrize(
    "cut",
    [
        ARCH,
        Groove(at=150 * MM, width=30 * MM, depth=0.3 * MM, section="dished", mirror=True),
        Pocket(start=120 * MM, end=280 * MM, depth=0.4 * MM, corner_radius=20 * MM),
        Pocket(start=120 * MM, end=280 * MM, depth=9 * MM, corner_radius=3 * MM),
        Table(x=(0.1, 0.2, 0.3), depth=(0.0, 2e-3, 0.0)),
    ],
)
def test_slopes_in_depth_are_those_of_deeper_cuts(cut: Arch | Groove | Pocket | Table) -> None:
    bar = (UNCUT if cut.deepest > 3 * MM else BAR).with_cuts(cut)
    slopes = depth_slopes(solve_beam(bar, count=3))[:, -1]
    step = 0.02 * MM
    up, down = (
        np.log(solve_beam(Bar(blank=BLANK, undercut=(*bar.undercut[:-1], deeper(cut, s)))).hz[:3])
        for s in (step, -step)
    )
    assert slopes == pytest.approx((up - down) / (2 * step), rel=0.2, abs=0.12)


def test_rough_cuts_err_by_a_tenth_and_fine_ones_by_less() -> None:
    assert depth_error(ARCH) == pytest.approx(0.1 * MM)
    fine = Groove(at=0.2, width=0.02, depth=0.1 * MM)
    assert depth_error(fine) == pytest.approx(0.028 * MM)
    assert depth_error(ARCH, measured=True) < depth_error(ARCH)


def test_belief_without_a_reading_is_as_wide_as_the_species() -> None:
    found = infer(History(start=BAR), Belief(e_long=0.2))
    assert found.error_cents[0] > 1200 / np.log(2) * 0.2 * 0.45


def test_a_reading_that_claims_no_error_is_weighed_all_the_same() -> None:
    sure = Reading(hz=(200.0, 800.0, None), error_cents=(0.0, 5e-324, None))
    assert sure.errors(3).tolist() == [0.01, 0.01, 1.0]
    found = infer(History(start=BAR, events=(hear(BAR, error=0.0), hear(BAR, error=0.0))))
    assert np.isfinite(found.error_cents).all()


def test_a_reading_of_a_warm_bar_spoils_no_cool_one() -> None:
    """The answer to heat is not known well: what was heard at 33 °C says little beside 20 °C."""
    cool, warm = hear(BAR, 4.0, 4.0, 4.0, degrees=0.01), hear(BAR, 7.0, 7.0, 7.0, degrees=13.0)
    alone = infer(History(start=BAR, events=(cool,)))
    both = infer(History(start=BAR, events=(warm, cool)))
    assert np.all(both.error_cents <= alone.error_cents + 0.05)
    assert cents_between(both.log_hz, alone.log_hz) == pytest.approx(np.zeros(3), abs=0.8)


def test_two_readings_apart_are_torn_unless_the_bar_was_known() -> None:
    apart = (hear(BAR, 0.0), hear(BAR, 25.0))
    unknown = infer(History(start=BAR, events=apart))
    assert [(d.mode, d.torn) for d in unknown.doubts] == [(0, True)]
    assert unknown.error_cents[0] > 6.0
    assert unknown.error_cents[1] < 2.0
    third = infer(History(start=BAR, events=(*apart, hear(BAR, 24.5, 0.3))))
    assert [(d.reading, d.torn) for d in third.doubts] == [(0, False)]
    light = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.02 * MM, mirror=True),))
    known = infer(History(start=BAR, events=(hear(BAR, 0.3, 0.2), light, *apart)))
    assert [(d.reading, d.torn) for d in known.doubts] == [(1, False)]
