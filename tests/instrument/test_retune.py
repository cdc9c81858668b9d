"""Retuning: the least that does it, and an honest no."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar
from barmodel.design import find
from barmodel.instrument.retune import Job, retune
from barmodel.instrument.trial import request_for
from barmodel.modes import solve
from barmodel.tolerance import in_tolerance
from tests.instrument.plans import plan


@functools.cache
def bar() -> Bar:
    return find(request_for(plan(), 40, 0.44), advise=False).bar


def job(*away: float, keep: float = 5e-3) -> Job:
    return Job(semitone=40, bar=bar(), away_cents=away, keep=keep)


@pytest.mark.parametrize("away", [(8.0, 8.0, 18.0), (4.0, 30.0, 40.0), (-10.0, 12.0, 30.0)])
def test_the_solid_confirms_what_is_told(away: tuple[float, ...]) -> None:
    told = retune(job(*away))
    assert told.verdict == "cut"
    cut = bar().with_cuts(*told.cuts)
    hz = [solve(item, count=3, families=["bending"]).bending_hz for item in (bar(), cut)]
    after = np.array(away) + 1200 * np.log2(hz[1] / hz[0])
    assert told.after_cents == pytest.approx(after, abs=0.02)
    assert in_tolerance(after).all()
    assert told.mass == pytest.approx(bar().mass - cut.mass)


def test_more_to_do_takes_more_wood() -> None:
    small, large = retune(job(6.0, 8.0, 16.0)), retune(job(16.0, 18.0, 26.0))
    assert 0.0 < small.mass < large.mass


def test_a_bar_in_tune_is_left_alone() -> None:
    assert retune(job(0.5, -1.0, 3.0)).verdict == "in tune"


def test_a_flat_bar_is_trimmed_and_a_hopeless_one_refused() -> None:
    trimmed = retune(job(-60.0, -50.0, -40.0))
    assert trimmed.verdict == "trim"
    assert 0.0 < trimmed.trim < 0.02 * 0.44
    assert "brings the nodes as much nearer" in trimmed.reason
    short = bar().with_cuts(*trimmed.cuts).trimmed(left=trimmed.trim, right=trimmed.trim)
    hz = [solve(item, count=3, families=["bending"]).bending_hz for item in (bar(), short)]
    assert in_tolerance(np.array([-60.0, -50.0, -40.0]) + 1200 * np.log2(hz[1] / hz[0])).all()
    hopeless = retune(job(-300.0, 0.0, 0.0))
    assert hopeless.verdict == "cannot"
    assert "mode 1 is 300 cents flat" in hopeless.reason


def test_without_mode_1_nothing_is_said() -> None:
    told = retune(job(float("nan"), 3.0, 4.0))
    assert (told.verdict, "mode 1 was not heard" in told.reason) == ("cannot", True)
    partly = retune(replace(job(8.0, float("nan"), 30.0)))
    assert partly.verdict == "cut"
    assert "mode 2 was not heard and is not watched" in partly.reason


def test_the_reading_of_another_bar_is_doubted() -> None:
    told = retune(job(165.0, 160.0, 150.0))
    assert told.verdict == "cannot"
    assert "another bar" in told.reason


def test_no_cut_is_so_light_that_no_hand_makes_it() -> None:
    for away in ((14.0, 9.0, 20.0), (30.0, 28.0, 35.0), (-30.0, -30.0, -30.0)):
        told = retune(job(*away))
        assert told.cuts
        assert all(cut.depth > 0.03e-3 for cut in told.cuts)


@pytest.mark.parametrize("away", [(60.0, 60.0, 60.0), (110.0, 110.0, 110.0), (30.0, 100.0, 30.0)])
def test_cuts_that_overlap_leave_what_must_remain(away: tuple[float, ...]) -> None:
    least, at = bar().profile.least_thickness()
    told = retune(job(*away, keep=0.95 * least))
    x = np.linspace(0.0, bar().blank.length, 2001)[1:-1]
    left = bar().with_cuts(*told.cuts).profile.thickness(x).real
    assert told.cuts
    assert left.min() > 0.95 * least - 2e-6
    assert (bar().profile.thickness(x).real - left).max() < 1.5e-3 + 2e-6
    assert abs(at - 0.22) < 1e-3
