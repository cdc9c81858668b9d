"""The rule about neighbours, and that --clear lessens what it calls harm."""

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Blank
from barmodel.design import Request, clearest, find, neighbours
from barmodel.design.neighbours import beside, critical_band, harm
from barmodel.pitch import Target
from barmodel.wood import from_partial


def test_rule_spares_what_is_heard_as_one_and_what_is_far() -> None:
    tuned = np.array([200.0, 800.0, 2000.5])

    def clashes(kind: str, others: list[float], tuned: np.ndarray) -> bool:
        return any(pair.clashes for pair in beside(kind, others, tuned))

    band = 1.1 * critical_band(800.0)
    assert not clashes("torsional", [805.9], tuned)
    assert clashes("torsional", [806.1], tuned)
    assert clashes("torsional", [800.0 + band - 1.0], tuned)
    assert not clashes("torsional", [800.0 + band + 1.0], tuned)
    assert not clashes("torsional", [2030.0], tuned)
    (one,) = beside("torsional", [2030.0], tuned)
    assert one.harm == 0.0  # told all the same: it is near
    assert not clashes("torsional", [205.0], tuned)  # beside mode 1: left alone


def test_clear_prefers_the_shape_with_less_harm() -> None:
    wood = from_partial(density=1025.0, e_long=22e9, known={"g_long_thick": 2.0e9})
    blank = Blank(length=0.290, width=0.046, thickness=0.022, wood=wood)
    request = Request(blank=blank, target=Target("C5", ratios=(1.0, 4.0)), model="beam")
    design = find(request)
    width = _clashing_width(design)
    blank = replace(blank, width=width)
    request = replace(request, blank=blank)
    design = find(request)
    before = harm(neighbours(design.bar, design.hz))
    assert before > 0.0
    cleared, pairs = clearest(request, design)
    assert harm(pairs) < before
    assert np.abs(cleared.cents).max() <= 0.01


def _clashing_width(design) -> float:
    for width in np.arange(0.036, 0.070, 0.004):
        bar = replace(design.bar, blank=replace(design.bar.blank, width=float(width)))
        if 0.1 < harm(neighbours(bar, design.hz)) < 0.9:
            return float(width)
    pytest.fail("no width brings a neighbour near")
