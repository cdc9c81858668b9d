"""The solution converges, from above, at the rate its polynomials promise."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from barmodel.solid.eigen import Search, lowest
from barmodel.solid.factor import factorise
from barmodel.solid.mesh import Orders
from barmodel.solid.motions import rigid_motions, smooth_motions
from barmodel.undercut import Pocket
from tests.solid.bars import ALUMINIUM, bar
from tests.solid.systems import system_of
from tests.woods import HARDWOOD

BLANK = bar(200, 40, 20, ALUMINIUM)


def third_mode(orders: Orders, the_bar=BLANK) -> float:
    """Second symmetric bending mode, V3 of a blank. [Hz]"""
    system = system_of("bending", orders, the_bar)
    component = np.repeat(
        [0, 1, 2], np.array(system.across.counts) * system.mesh.seams[-1].layering.size
    )
    rigid = rigid_motions(system, the_bar.blank.width)["lift"][:, None]
    factor = factorise(system)
    end = factor.held(component != 0, rigid)
    search = Search(system.mass, end, rigid, smooth_motions(system))
    return math.sqrt(lowest(factor, [search], count=2)[0].values[1]) / (2 * math.pi)


def test_order_in_column_length_is_twice_the_degree():
    """λ converges as h^2p (Strang and Fix 1973): here p = 2, so 4."""
    exact = third_mode(Orders(columns=24, along=5, through=4, across=4, rings=1))
    errors = [
        third_mode(Orders(columns=n, along=2, through=4, across=4, rings=1)) / exact - 1
        for n in (8, 16)
    ]
    assert errors[0] > errors[1] > 0.0
    assert math.log2(errors[0] / errors[1]) == pytest.approx(4.0, abs=0.5)


def test_every_degree_more_through_and_across_pays_until_converged():
    exact = third_mode(Orders(columns=12, along=6, through=7, across=8, rings=1))
    errors = [
        third_mode(Orders(columns=12, along=6, through=p, across=p, rings=1)) / exact - 1
        for p in (2, 3, 4, 6)
    ]
    assert all(b < 0.5 * a for a, b in pairwise(errors))
    assert 0.0 <= errors[-1] < 1e-5


def test_rings_overcome_the_corner():
    """At a wall each ring more takes most of the remaining error away."""
    pocket = bar(300, 50, 22, HARDWOOD, Pocket(start=0.07, end=0.23, depth=0.012))
    hz = [
        third_mode(Orders(columns=20, along=4, through=4, across=4, rings=n), pocket)
        for n in (1, 2, 3, 4)
    ]
    cents = [1200 * math.log2(value / hz[-1]) for value in hz]
    assert cents[0] > 5.0
    assert cents[0] > 2.0 * cents[1] > 6.0 * cents[2] > 0.0
    assert cents[2] < 1.0
