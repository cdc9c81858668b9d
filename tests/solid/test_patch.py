"""What any element must reproduce: rigid motion, constant strain, and no more free motions."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from scipy.linalg import eigh

from barmodel.solid.factor import factorise
from barmodel.solid.mesh import Orders
from barmodel.solid.motions import places, rigid_motions
from barmodel.undercut import Table
from tests.solid.bars import ALUMINIUM, bar
from tests.solid.systems import BAR, dense, system_of
from tests.woods import HARDWOOD


@pytest.mark.parametrize("family", ["bending", "torsion"])
def test_exactly_three_rigid_modes_and_they_are_the_known_ones(family):
    system = system_of(family)
    K, M = dense(system)
    values = eigh(K, M, eigvals_only=True)
    # The dense solver rounds at 1e-16 of the highest eigenvalue, some 1e-12 of the first mode.
    assert (np.abs(values[:3]) < 1e-9 * values[3]).all()
    for motion in rigid_motions(system, BAR.blank.width).values():
        # what cancels in the sum leaves a rounding of its terms, more or less by the library
        rounding = np.finfo(float).eps * (np.abs(motion) @ np.abs(K) @ np.abs(motion))
        assert abs(motion @ K @ motion) < rounding < 2e-11 * values[3] * (motion @ M @ motion)


@pytest.mark.parametrize("axes", [(0, 0), (1, 1), (2, 2), (0, 2), (0, 1), (1, 2)])
def test_constant_strain_has_its_exact_energy(axes):
    """Energy of a linear displacement is half volume times eᵀCe, whatever mesh and walls."""
    a, b = axes
    voigt = {(0, 0): 0, (1, 1): 1, (2, 2): 2, (1, 2): 3, (0, 2): 4, (0, 1): 5}[axes]
    system = system_of("torsion" if (a == 1) != (b == 1) else "bending")
    p, side = places(system), BAR.blank.width / 2
    gradient = np.zeros((3, 3))
    gradient[a, b] = 1.0
    across = [p.x * (p.degree == 0), side * (p.degree == 1), p.z * (p.degree == 0)]
    u = sum(gradient[c, d] * (p.component == c) * across[d] for c, d in product(range(3), range(3)))
    K, _ = dense(system)
    expected = BAR.blank.wood.stiffness()[voigt, voigt] * BAR.volume
    # what is left is the volume of the arch, whose power 2.5 is no polynomial
    assert u @ K @ u == pytest.approx(expected, rel=2e-6)


def test_mass_is_the_mass_of_the_bar():
    orders = Orders(columns=10, along=4, through=2, across=2, rings=1)
    system = system_of("bending", orders)
    for name in ("slide", "lift"):
        motion = rigid_motions(system, BAR.blank.width)[name]
        assert motion @ (system.mass @ motion) == pytest.approx(BAR.mass, rel=2e-5)


def test_elimination_solves_loads_in_balance():
    system = system_of("bending")
    K, M = dense(system)
    rigid = np.stack(list(rigid_motions(system, BAR.blank.width).values()), axis=1)
    kept = np.ones(system.size - system.starts[-1], dtype=bool)
    factor = factorise(system)
    end = factor.held(kept, rigid)
    loads = M @ np.random.default_rng(0).standard_normal((system.size, 2))
    loads -= M @ rigid @ np.linalg.solve(rigid.T @ M @ rigid, rigid.T @ loads)
    one, two = factor.solve([(end, loads[:, :1]), (end, loads)])
    assert np.abs(K @ two - loads).max() < 1e-7 * np.abs(loads).max()
    assert one == pytest.approx(two[:, :1], rel=1e-9)


def test_isotropic_bar_turned_on_its_side_has_the_same_modes():
    """Vertical modes of a flat bar are lateral ones of the same bar on edge: two families."""
    from barmodel.solid import solve

    flat = solve(bar(200, 20, 14, ALUMINIUM), count=1, order="fine")
    on_edge = solve(bar(200, 14, 20, ALUMINIUM), count=1, order="fine")
    assert flat["La1"].hz == pytest.approx(on_edge["V1"].hz, rel=2e-5)
    assert flat["T1"].hz == pytest.approx(on_edge["T1"].hz, rel=2e-5)


def test_a_narrow_sharp_notch_is_not_passed_over():
    """The mesh may skip slight kinks between close edges, never wood that is gone."""
    notch = bar(430, 64, 23, HARDWOOD, Table(x=(0.2, 0.201, 0.202), depth=(0.0, 0.0015, 0.0)))
    system = system_of("bending", Orders(columns=16, along=4, through=2, across=2, rings=2), notch)
    lift = rigid_motions(system, notch.blank.width)["lift"]
    gone = notch.blank.mass - lift @ (system.mass @ lift)
    assert gone == pytest.approx(notch.blank.mass - notch.mass, rel=1e-6)
