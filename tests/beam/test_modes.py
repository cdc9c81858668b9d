"""The beam: exact equation, scaling laws, mirror, convergence, what removal does."""

from __future__ import annotations

from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh

from barmodel.bar import Bar, Blank
from barmodel.beam import solve_beam, thickness_sensitivity
from barmodel.beam.eigen import lowest_elastic
from barmodel.beam.theory import Section
from barmodel.errors import GeometryError, InputError, NotConvergedError
from barmodel.undercut import Arch, Groove, Pocket, Shape, Table
from barmodel.wood import Wood, from_partial

WOOD = from_partial(density=850.0, e_long=17e9, known={"g_long_thick": 1.9e9})
H = 0.023
ARCH = Arch(start=0.09, end=0.34, depth=0.7 * H)
POCKETS = (
    Pocket(start=0.1, end=0.33, depth=0.3 * H),
    Pocket(start=0.17, end=0.26, depth=0.3 * H),
)
HOLLOWS = (
    Pocket(start=0.1, end=0.33, depth=0.2 * H),
    Groove(at=0.215, width=0.08, depth=0.3 * H, section="dished"),
    Groove(at=0.14, width=0.06, depth=0.2 * H, section="round", radius=0.05, mirror=True),
)
LOPSIDED = (
    Arch(start=0.08, end=0.30, depth=0.01, fullness=2.5),
    Groove(at=0.33, width=0.02, depth=0.004),
)


def bar(*cuts: Shape, wood: Wood = WOOD, length: float = 0.43) -> Bar:
    return Bar(blank=Blank(length=length, width=0.064, thickness=H, wood=wood), undercut=cuts)


def cents(hz: np.ndarray, reference: np.ndarray) -> np.ndarray:
    return 1200 * np.log2(hz / reference)


@pytest.mark.parametrize("section", ["plain", "aware"])
@pytest.mark.parametrize(
    "cuts", [(), (ARCH,), POCKETS, HOLLOWS], ids=["blank", "arch", "pockets", "hollows"]
)
def test_default_mesh_is_within_a_twentieth_of_a_cent_of_four_times_finer(
    cuts: tuple[Shape, ...], section: Section
) -> None:
    coarse = solve_beam(bar(*cuts), section=section)
    fine = solve_beam(bar(*cuts), section=section, elements=72)
    assert np.abs(cents(coarse.hz, fine.hz)).max() < 0.05


@pytest.mark.parametrize("section", ["plain", "aware"])
def test_modes_are_orthonormal_and_solve_their_equation(section: Section) -> None:
    modes = solve_beam(bar(*HOLLOWS), section=section)
    assert modes.orthonormality < 1e-9
    assert modes.residual.max() < 1e-6
    assert (np.diff(modes.hz) > 0).all()


@pytest.mark.parametrize("section", ["plain", "aware"])
def test_mirror_image_sounds_the_same(section: Section) -> None:
    arch, groove = LOPSIDED
    turned = (
        replace(arch, start=0.43 - arch.end, end=0.43 - arch.start),
        replace(groove, at=0.43 - groove.at),
    )
    one, other = (solve_beam(bar(*cuts), section=section) for cuts in (LOPSIDED, turned))
    assert np.abs(cents(one.hz, other.hz)).max() < 2e-4
    assert np.abs(one.deflection[0]) == pytest.approx(np.abs(other.deflection[0][::-1]), rel=1e-4)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.4, 2.5), st.floats(0.5, 2.0), st.floats(0.5, 2.0))
def test_scaling_laws(size: float, stiffness: float, density: float) -> None:
    wood = WOOD.scaled(e_factor=stiffness, g_factor=stiffness, density_factor=density)
    arch = replace(ARCH, start=size * ARCH.start, end=size * ARCH.end, depth=size * ARCH.depth)
    blank = Blank(length=size * 0.43, width=size * 0.064, thickness=size * H, wood=wood)
    scaled = solve_beam(Bar(blank=blank, undercut=(arch,)))
    expected = solve_beam(bar(ARCH)).hz * np.sqrt(stiffness / density) / size
    assert np.abs(cents(scaled.hz, expected)).max() < 1e-3


def test_removal_raises_outside_the_point_of_no_effect_and_lowers_inside() -> None:
    # Blevins 1979, Table 8-1 by way of the uniform bar's energies: 0.14720, 0.08786, 0.06278 of
    # the length (recomputed independently); shear moves them a little, hence a long thin bar
    slender = Bar(blank=Blank(length=2.0, width=0.02, thickness=0.002, wood=WOOD))
    shifts = thickness_sensitivity(solve_beam(slender, section="plain", count=3))
    for mode, share in enumerate((0.14720, 0.08786, 0.06278)):
        slope = np.interp([0.9 * share * 2.0, 1.1 * share * 2.0], shifts.x, shifts.density[:, mode])
        assert slope[0] < 0.0 < slope[1]


def test_a_narrow_groove_acts_wider_than_it_is() -> None:
    # 3-D finite elements: −42.9 cents in mode 1 (own reference); plane sections give −26.6
    parabola = Arch(start=0.1, end=0.33, depth=0.0126)
    groove = Groove(at=0.215, width=0.01, depth=0.001)
    shift = {
        section: cents(
            solve_beam(bar(parabola, groove), section=section).hz,
            solve_beam(bar(parabola), section=section).hz,
        )[0]
        for section in ("plain", "aware")
    }
    assert shift["plain"] == pytest.approx(-26.6, abs=1.0)
    assert shift["aware"] == pytest.approx(-42.9, rel=0.12)


def test_many_kinks_cost_in_proportion_and_not_in_accuracy() -> None:
    x = np.linspace(ARCH.start, ARCH.end, 251)
    u = np.abs((x - 0.215) / 0.125)
    table = Table(
        x=tuple(x.tolist()), depth=tuple(np.maximum(ARCH.depth * (1 - u**2), 0.0).tolist())
    )
    assert np.abs(cents(solve_beam(bar(table)).hz, solve_beam(bar(ARCH)).hz)).max() < 0.1


def test_dense_solution_of_the_same_matrices_agrees() -> None:
    with patch("barmodel.beam.modes.lowest_elastic", wraps=lowest_elastic) as solver:
        hz = solve_beam(bar(ARCH)).hz
    full = [_full(band) for band in solver.call_args.args[:2]]
    values = eigh(*full, eigvals_only=True, subset_by_index=[3, 6])
    assert hz == pytest.approx(np.sqrt(values) / (2 * np.pi), rel=1e-8)


def _full(band: np.ndarray) -> np.ndarray:
    width, size = band.shape[0] - 1, band.shape[1]
    matrix = np.zeros((size, size))
    for off in range(width + 1):
        rows = np.arange(size - off)
        matrix[rows, rows + off] = matrix[rows + off, rows] = band[width - off, off:]
    return matrix


def test_bad_questions_are_refused() -> None:
    with pytest.raises(InputError, match="at least one mode"):
        solve_beam(bar(), count=0)
    with pytest.raises(InputError, match="aware or plain"):
        solve_beam(bar(), section="thick")
    with pytest.raises(GeometryError, match="through the bar"):
        solve_beam(bar(Pocket(start=0.1, end=0.3, depth=0.03)))


def test_too_few_bending_modes_are_told_and_not_returned() -> None:
    """So soft across its grain that crosswise modes crowd out the bending modes."""
    soft = Wood(850, 5.7e12, 2e9, 2e9, 1.9e9, 1.9e9, 1.9e9, 0.01, 0.01, 0.1)
    deep = Arch(start=0.05, end=0.35, depth=0.02, fullness=6.0)
    blank = Blank(length=0.4, width=0.06, thickness=0.022, wood=soft)
    with pytest.raises(NotConvergedError, match="only 2 of 3 bending modes"):
        solve_beam(Bar(blank=blank, undercut=(deep,)), count=3)
