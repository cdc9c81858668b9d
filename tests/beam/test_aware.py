"""The aware section: its derivation, the lines of stress, and how far it may be trusted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barmodel.bar import Bar, Blank
from barmodel.beam import solve_beam
from barmodel.beam.aware import AWARE_COUPLES, aware_stiffness, edge_factor
from barmodel.beam.limit import limit
from barmodel.beam.section import Constants
from barmodel.solid.solve import solve as solve_solid
from barmodel.undercut import Arch, Groove, Pocket, build_profile
from barmodel.wood import Wood
from tests.woods import HARDWOOD

METAL = Wood.from_isotropic(e=69e9, nu=0.33, density=2700.0)
CONSTANTS = Constants(17e9, 1.9e9, 5 / 6, 850.0, 0.064, 1e-3, 1e-3, 0.0)


def bar(*cuts, length=0.43, width=0.064, thickness=0.023, wood=HARDWOOD) -> Bar:
    blank = Blank(length=length, width=width, thickness=thickness, wood=wood)
    return Bar(blank=blank, undercut=cuts)


def _taper_compliance(h: float, slope: float) -> np.ndarray:
    """∫σσ/E + ττ/G over the section for unit N, M, V about the top, by brute quadrature."""
    z, weight = np.polynomial.legendre.leggauss(8)
    z, weight = (z - 1) * h / 2, weight * h / 2
    c, step = CONSTANTS, 1e-6 * h

    def stress(load: np.ndarray, at: float, rise: float) -> np.ndarray:
        # linear through the thickness; M about the top grows by −V along the bar
        moment = load[1] - load[2] * at
        matrix = np.array([[rise, -(rise**2) / 2], [rise**2 / 2, -(rise**3) / 3]])
        a, b = np.linalg.solve(matrix, [load[0], moment]) / c.width
        return np.array([a, b])

    normal, shear = [], []
    for load in np.eye(3):
        a, b = stress(load, 0.0, h)
        change = stress(load, step, h + slope * step) - stress(load, -step, h - slope * step)
        da, db = change / (2 * step)
        normal.append(a + b * z)
        shear.append(-(da * z + db * z**2 / 2))  # ∂τ/∂z = −∂σ/∂x, τ = 0 on top
    sigma, tau = np.array(normal), np.array(shear)
    return c.width * ((sigma * weight) @ sigma.T / c.e + (tau * weight) @ tau.T / c.g)


@pytest.mark.parametrize("slope", [0.0, 0.1, -0.1, 0.3])
def test_taper_is_the_inverse_of_an_equilibrated_stress_field(slope: float) -> None:
    h, ratio = 0.012, CONSTANTS.e / CONSTANTS.g
    unsaturated = slope / np.sqrt(1 - 0.4 * ratio * slope**2)
    parts = aware_stiffness(np.array(h), np.array(unsaturated), CONSTANTS)
    stiffness = np.zeros((5, 5))
    for part, (r, s) in zip(parts, AWARE_COUPLES, strict=True):
        stiffness[r, s] = stiffness[s, r] = part
    expected = np.linalg.inv(_taper_compliance(h, slope))
    scale = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    assert np.abs((stiffness[:3, :3] - expected) / scale).max() < 1e-5


def test_pure_bending_of_a_taper_loses_two_fifths_of_q() -> None:
    h, slope = 0.012, 0.2
    q = CONSTANTS.e / CONSTANTS.g * slope**2
    compliance = _taper_compliance(h, slope)
    moment = np.array([0.0, 1.0, 0.0])
    plain = 12 / (CONSTANTS.e * CONSTANTS.width * h**3)
    assert moment @ compliance @ moment == pytest.approx(plain * (1 + 0.4 * q), rel=1e-6)


def test_uneven_twist_is_free_in_a_narrow_bar_and_a_plate_in_a_wide_one() -> None:
    factors = edge_factor(0.064 / np.array([0.3, 1.0, 3.0, 30.0, 300.0]), _square())
    assert np.all(np.diff(factors) > 0)
    assert factors[0] < 0.02
    assert factors[-1] == pytest.approx(1.0, abs=0.01)


def _square() -> Constants:
    return Constants(69e9, 26e9, 0.85, 2700.0, 0.064, 69e9, 26e9, 0.33)


@settings(max_examples=40, deadline=None)
@given(
    start=st.floats(0.05, 0.15),
    end=st.floats(0.25, 0.38),
    depth=st.floats(0.002, 0.012),
    fullness=st.floats(1.5, 6.0),
    wall=st.floats(0.001, 0.008),
    mirror=st.booleans(),
)
def test_carrying_thickness_is_the_largest_that_is_nowhere_steeper(
    start, end, depth, fullness, wall, mirror
) -> None:
    cuts = (
        Arch(start=start, end=end, depth=depth, fullness=fullness),
        Pocket(start=0.18, end=0.21, depth=wall, mirror=mirror),
    )
    profile = build_profile(0.43, 0.023, cuts)
    spread = limit(profile, CONSTANTS)
    c = spread.steepest.real
    x = np.linspace(0.0, 0.43, 4301) + 1e-9  # off the edges
    x = x[:-1]
    h = profile.thickness(x).real
    piece = np.searchsorted(spread.edges.real, x, side="right") - 1
    carried, _slope = spread.carrying(x, piece, h)
    envelope = np.minimum(
        np.minimum.accumulate(h - c * x) + c * x,
        (np.minimum.accumulate((h + c * x)[::-1])[::-1]) - c * x,
    )
    assert np.all(carried <= h + 1e-8)
    assert np.abs(carried - envelope).max() < c * 2e-4  # two spacings of the brute search


SOLID_BARS = {
    "pocket": (bar(Pocket(start=0.1, end=0.33, depth=0.0126)), 4.0),
    "steep hollow": (
        bar(
            Pocket(start=0.066, end=0.234, depth=0.0044),
            Groove(at=0.15, width=0.036, depth=0.0066, section="dished"),
            length=0.3,
            width=0.052,
            thickness=0.022,
        ),
        14.0,
    ),
    "metal arch": (
        bar(
            Arch(start=0.075, end=0.225, depth=0.0121, fullness=3.0),
            length=0.3,
            width=0.052,
            thickness=0.022,
            wood=METAL,
        ),
        6.0,
    ),
    "short": (
        bar(
            Arch(start=0.05, end=0.14, depth=0.011),
            length=0.19,
            width=0.042,
            thickness=0.02,
        ),
        28.0,
    ),
}


@pytest.mark.parametrize("name", SOLID_BARS)
def test_range_of_validity_stated_in_the_docstring(name: str) -> None:
    cut, allowed = SOLID_BARS[name]
    solid = solve_solid(cut, families=("bending",))
    hz = np.array([solid[f"V{k}"].hz for k in (1, 2, 3)])
    off = {s: 1200 * np.log2(solve_beam(cut, section=s).hz[:3] / hz) for s in ("aware", "plain")}
    assert np.abs(off["aware"]).max() < allowed
    if name == "metal arch":  # where the plain one is nearer
        assert np.abs(off["plain"]).max() < np.abs(off["aware"]).max()
    else:
        assert np.abs(off["plain"]).max() > 2 * allowed


def test_modes_across_the_width_are_not_taken_for_bending() -> None:
    """In this short wide bar one lies between V3 and V4 (7369 Hz by the solid, ours higher)."""
    cut = bar(
        Arch(start=0.038, end=0.152, depth=0.012, fullness=3.0),
        length=0.19,
        width=0.042,
        thickness=0.02,
    )
    aware, plain = solve_beam(cut).hz, solve_beam(cut, section="plain").hz
    assert aware.size == 4
    assert 1200 * np.log2(aware[3] / plain[3]) > -200
    solid = solve_solid(cut, count=4, families=("bending",), order="quick")
    assert aware[3] == pytest.approx(solid["V4"].hz, rel=0.015)
