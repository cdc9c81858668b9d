"""The search for the lowest modes: none left out, none made up, and it goes on where it stood."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import eigh

from barmodel.errors import NotConvergedError
from barmodel.solid import eigen
from barmodel.solid.eigen import Search, lowest
from barmodel.solid.factor import Factor, factorise
from barmodel.solid.mesh import Orders
from barmodel.solid.motions import rigid_motions, smooth_motions
from barmodel.solid.record import Family
from barmodel.solid.solve import _supports
from barmodel.solid.system import System
from tests.solid.bars import ALUMINIUM, bar
from tests.solid.systems import BAR, dense, system_of
from tests.woods import HARDWOOD

SMALL = Orders(columns=8, along=3, through=3, across=3, rings=1)
BLANK = bar(120, 60, 20, HARDWOOD)
"""Alike above and below: stretching and bending, swaying and twisting are strictly apart."""


def search_of(system: System, width: float) -> tuple[Factor, Search]:
    """Of a bar that is not halved."""
    rigid = np.stack(list(rigid_motions(system, width).values()), axis=1)
    free = np.ones(system.size - system.starts[-1], dtype=bool)
    factor = factorise(system)
    return factor, Search(system.mass, factor.held(free, rigid), rigid, smooth_motions(system))


def in_half(system: System, width: float, family: Family) -> tuple[Factor, list[Search]]:
    """Even and odd modes of half a bar, as `solve` asks for them."""
    motions, factor, searches = rigid_motions(system, width), factorise(system), []
    for kept, names in _supports(system, family):
        rigid = np.stack([motions[name] for name in names], axis=1)
        end = factor.held(kept, rigid)
        searches.append(Search(system.mass, end, rigid, smooth_motions(system)))
    return factor, searches


def exactly(system: System, kept: np.ndarray) -> np.ndarray:
    """Eigenvalues of the whole matrices with the last seam held."""
    K, M = dense(system)
    use = np.r_[np.arange(system.starts[-1]), system.starts[-1] + np.flatnonzero(kept)]
    return eigh(K[np.ix_(use, use)], M[np.ix_(use, use)], eigvals_only=True)


@pytest.mark.parametrize("family", ["bending", "torsion"])
def test_no_mode_is_left_out_of_a_lopsided_bar(family):
    system = system_of(family, SMALL)
    exact = eigh(*dense(system), eigvals_only=True)[3:15]
    factor, search = search_of(system, BAR.blank.width)
    found = lowest(factor, [search], count=12)[0].values
    assert found == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize("family", ["bending", "torsion"])
@pytest.mark.parametrize("blank", [BLANK, bar(120, 60, 20, ALUMINIUM)], ids=["wood", "metal"])
def test_no_mode_is_left_out_where_kinds_are_strictly_apart(family, blank):
    system = system_of(family, SMALL, blank)
    found = lowest(*in_half(system, blank.blank.width, family), count=8)
    for pairs, (kept, names) in zip(found, _supports(system, family), strict=True):
        exact = exactly(system, kept)[len(names) : len(names) + 8]
        assert pairs.values == pytest.approx(exact, rel=1e-7)


def test_asking_for_more_goes_on_from_where_it_stood():
    system = system_of("bending", SMALL, BLANK)
    factor, search = search_of(system, BLANK.blank.width)
    (few,) = lowest(factor, [search], count=2)
    at_two = search.steps
    (more,) = lowest(factor, [search], count=9)
    at_nine = search.steps
    assert few.values == pytest.approx(more.values[:2], rel=1e-7)
    assert at_two < at_nine
    (again,) = lowest(factor, [search], count=5)
    assert again.values == pytest.approx(more.values[:5], rel=1e-12)
    assert search.steps == at_nine  # fewer were known already
    fresh, other = search_of(system, BLANK.blank.width)
    lowest(fresh, [other], count=9)
    assert other.steps == at_nine  # nothing was done twice


def test_vectors_have_unit_mass_and_small_residuals():
    system = system_of("bending", SMALL)
    K, M = dense(system)
    factor, search = search_of(system, BAR.blank.width)
    (pairs,) = lowest(factor, [search], count=6)
    assert pairs.vectors.T @ M @ pairs.vectors == pytest.approx(np.eye(6), abs=1e-9)
    energies = np.einsum("im,im->m", pairs.vectors, K @ pairs.vectors)
    assert energies == pytest.approx(pairs.values, rel=1e-6)
    assert pairs.residuals.max() < eigen.TOLERANCE


def test_a_search_that_does_not_end_says_what_to_do(monkeypatch):
    monkeypatch.setattr(eigen, "MOST_STEPS", 1)
    factor, search = search_of(system_of("bending", SMALL), BAR.blank.width)
    with pytest.raises(NotConvergedError, match="ask for fewer modes"):
        lowest(factor, [search], count=12)
