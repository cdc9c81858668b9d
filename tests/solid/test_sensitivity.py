from __future__ import annotations

import math

import numpy as np
import pytest

from barmodel.solid import solve, surface_sensitivity
from barmodel.undercut import Arch, Groove
from tests.solid.bars import ALUMINIUM, bar
from tests.woods import HARDWOOD

LABELS = ("V1", "V2", "V3", "T1")


@pytest.mark.parametrize(
    "the_bar",
    [
        bar(430, 64, 23, HARDWOOD, Arch(start=0.1, end=0.33, depth=0.0126)),
        bar(300, 52, 22, ALUMINIUM, Arch(start=0.06, end=0.22, depth=0.011, fullness=2.5)),
    ],
    ids=["wood", "unsymmetric aluminium"],
)
def test_light_dishes_shift_modes_as_solving_again_says(the_bar):
    modes = solve(the_bar)
    map_ = surface_sensitivity(modes, [modes[label] for label in LABELS])
    width, depth = 0.03, 2e-5
    predicted, solved = [], []
    for at in np.array([0.5, 0.41, 0.26, 0.1]) * the_bar.blank.length:
        s = np.linspace(at - width / 2, at + width / 2, 401)
        dish = depth / 2 * (1 + np.cos(2 * math.pi * (s - at) / width))
        predicted.append([-np.trapezoid(np.interp(s, map_.x, row) * dish, s) for row in map_.cents])
        cut = Groove(at=float(at), width=width, depth=depth, section="dished")
        after = solve(the_bar.with_cuts(cut))
        solved.append([1200 * math.log2(after[k].hz / modes[k].hz) for k in LABELS])
    error = np.abs(np.array(predicted) - solved)
    assert (error < 0.02 * np.abs(solved).max(axis=0)).all()


def test_taking_thickness_everywhere_is_a_thinner_bar():
    """Sum rule: the whole map is the derivative with respect to the blank's thickness."""
    modes = solve(bar(430, 64, 23, HARDWOOD))
    whole = surface_sensitivity(modes)
    step = 1e-5
    thinner = solve(bar(430, 64, 23 - step * 1e3, HARDWOOD))
    shift = whole.shift(np.full(whole.x.size, step))
    for k, mode in enumerate(modes.modes):
        true = 1200 * math.log2(thinner[mode.label].hz / mode.hz)
        assert shift[k] == pytest.approx(true, rel=0.01, abs=0.002)


def test_map_of_a_symmetric_bar_is_symmetric_and_covers_it():
    modes = solve(bar(430, 64, 23, HARDWOOD), count=1, families=["bending"])
    map_ = surface_sensitivity(modes)
    assert map_.weight.sum() == pytest.approx(0.43)
    assert map_.cents == pytest.approx(map_.cents[:, ::-1])
