"""The search for the lowest modes: none left out, none made up, and it goes on where it stood."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import eigh

from barmodel.errors import NotConvergedError
from barmodel.solid import eigen
from barmodel.solid.eigen import Lanczos
from barmodel.solid.factor import factorise
from barmodel.solid.mesh import Orders
from barmodel.solid.motions import rigid_motions, smooth_motions
from barmodel.solid.system import System
from tests.solid.bars import ALUMINIUM, HARDWOOD, bar
from tests.solid.test_patch import BAR, dense, system_of

SMALL = Orders(columns=8, along=3, through=3, across=3, rings=1)
BLANK = bar(120, 60, 20, HARDWOOD)
"""Alike above and below: stretching and bending, swaying and twisting are strictly apart."""


def search_of(system: System, width: float) -> Lanczos:
    """Of a bar that is not halved."""
    rigid = np.stack(list(rigid_motions(system, width).values()), axis=1)
    free = np.ones(system.size - system.starts[-1], dtype=bool)
    inverse = factorise(system).closed(free, rigid)
    return Lanczos(inverse, system.mass, rigid, smooth_motions(system))


def halved(system: System, width: float, names: tuple[str, ...], held: int) -> Lanczos:
    """Of the modes of half a bar whose components of one kind are held (or only they move)."""
    motions = rigid_motions(system, width)
    rigid = np.stack([motions[name] for name in names], axis=1)
    lines = system.mesh.seams[-1].layering.size
    component = np.repeat([0, 1, 2], [lines * n for n in system.across.counts])
    kept = component != 0 if held == 0 else component == 0
    return Lanczos(
        factorise(system).closed(kept, rigid), system.mass, rigid, smooth_motions(system)
    )


@pytest.mark.parametrize("family", ["bending", "torsion"])
def test_no_mode_is_left_out_of_a_lopsided_bar(family):
    system = system_of(family, SMALL)
    exact = eigh(*dense(system), eigvals_only=True)[3:15]
    found = search_of(system, BAR.blank.width).lowest(12).values
    assert found == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize(
    ("family", "names", "held"),
    [
        ("bending", ("lift",), 0),
        ("bending", ("slide", "pitch"), 1),
        ("torsion", ("sway", "roll"), 0),
        ("torsion", ("yaw",), 1),
    ],
)
@pytest.mark.parametrize("blank", [BLANK, bar(120, 60, 20, ALUMINIUM)], ids=["wood", "metal"])
def test_no_mode_is_left_out_where_kinds_are_strictly_apart(family, names, held, blank):
    system = system_of(family, SMALL, blank)
    K, M = dense(system)
    seam = np.arange(system.starts[-1], system.size)
    lines = system.mesh.seams[-1].layering.size
    component = np.repeat([0, 1, 2], [lines * n for n in system.across.counts])
    kept = component != 0 if held == 0 else component == 0
    use = np.r_[np.arange(system.starts[-1]), seam[kept]]
    exact = eigh(K[np.ix_(use, use)], M[np.ix_(use, use)], eigvals_only=True)
    found = halved(system, blank.blank.width, names, held).lowest(8).values
    assert found == pytest.approx(exact[len(names) : len(names) + 8], rel=1e-7)


def test_asking_for_more_goes_on_from_where_it_stood():
    system = system_of("bending", SMALL, BLANK)
    search, applied = search_of(system, BLANK.blank.width), []
    inner = search._solve
    search._solve = lambda loads: (applied.append(1), inner(loads))[1]
    few = search.lowest(2)
    steps = len(applied)
    more = search.lowest(9)
    assert few.values == pytest.approx(more.values[:2], rel=1e-7)
    assert steps < len(applied)
    at_nine = len(applied)
    assert search.lowest(5).values == pytest.approx(more.values[:5], rel=1e-12)
    assert len(applied) == at_nine  # fewer were known already


def test_vectors_have_unit_mass_and_small_residuals():
    system = system_of("bending", SMALL)
    K, M = dense(system)
    pairs = search_of(system, BAR.blank.width).lowest(6)
    assert pairs.vectors.T @ M @ pairs.vectors == pytest.approx(np.eye(6), abs=1e-9)
    energies = np.einsum("im,im->m", pairs.vectors, K @ pairs.vectors)
    assert energies == pytest.approx(pairs.values, rel=1e-6)
    assert pairs.residuals.max() < eigen.TOLERANCE


def test_a_search_that_does_not_end_says_what_to_do(monkeypatch):
    monkeypatch.setattr(eigen, "MOST_STEPS", 1)
    search = search_of(system_of("bending", SMALL), BAR.blank.width)
    with pytest.raises(NotConvergedError, match="ask for fewer modes"):
        search.lowest(12)
