"""Thickness along the bar: every shape, walls from both sides, combinations, derivatives."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import GeometryError
from barmodel.undercut import (
    Arch,
    Groove,
    Pocket,
    Shape,
    Table,
    build_profile,
    check_undercut,
    perturbed_profile,
)
from barmodel.undercut.piece import COMPLEX_STEP

LENGTH, STOCK = 0.4, 0.022


def profile(*cuts: Shape):
    return build_profile(LENGTH, STOCK, cuts)


def depth_at(x: float, *cuts: Shape) -> float:
    return float(profile(*cuts).depth(np.array([x]))[0])


@pytest.mark.parametrize(
    ("cut", "area"),
    [
        # closed forms: ∫ (1 − |u|ⁿ) du over [−1, 1] is 2n/(n + 1)
        (Arch(start=0.1, end=0.3, depth=0.01, fullness=3.0), 0.2 * 0.01 * 3 / 4),
        (Arch(start=0.05, end=0.2, depth=0.01, fullness=1.5), 0.15 * 0.01 * 1.5 / 2.5),
        (Pocket(start=0.1, end=0.3, depth=0.01), 0.002),
        (
            # two quarter circles of radius 6 mm cut (1 − π/4) r² less each than square corners
            Pocket(start=0.1, end=0.3, depth=0.01, corner_radius=0.006),
            0.002 - 2 * (1 - math.pi / 4) * 0.006**2,
        ),
        (Groove(at=0.2, width=0.02, depth=0.003), 6e-5),
        (Groove(at=0.2, width=0.02, depth=0.003, section="dished"), 3e-5),
        (
            # circular segment: r² (φ − sin φ cos φ), cos φ = 1 − d/r
            Groove(at=0.2, width=0.1, depth=0.003, section="round", radius=0.02),
            0.02**2 * (math.acos(0.85) - 0.85 * math.sin(math.acos(0.85))),
        ),
        (Table(x=(0.1, 0.2, 0.3), depth=(0.0, 0.01, 0.004)), 0.0005 + 0.0007),
    ],
)
def test_area_cut_away_in_closed_form(cut: Shape, area: float) -> None:
    assert LENGTH * STOCK - profile(cut).integral() == pytest.approx(area, rel=2e-5)
    mirrored = profile(replace(cut, mirror=True))
    assert mirrored.symmetric


@pytest.mark.parametrize(
    "cut",
    [
        Arch(start=0.1, end=0.3, depth=0.01),
        Pocket(start=0.1, end=0.3, depth=0.01, corner_radius=0.003),
        Pocket(start=0.18, end=0.22, depth=0.001, corner_radius=0.1),
        Groove(at=0.2, width=0.02, depth=0.003, section="dished"),
        Groove(at=0.2, width=0.0212, depth=0.003, section="round", radius=0.02),
        Table(x=(0.1, 0.2, 0.3), depth=(0.0, 0.01, 0.004)),
    ],
)
@pytest.mark.parametrize("depth", [0.0002, 0.0005])
def test_a_cut_at_another_depth_is_that_deep_and_no_other(cut: Shape, depth: float) -> None:
    middle = sum(cut.extent) / 2
    assert cut.deepest == pytest.approx(depth_at(middle, cut))
    for other in (cut.deepest - depth, cut.deepest + depth / 100):
        moved = cut.with_depth(other)
        assert moved.deepest == pytest.approx(depth_at(middle, moved)) == pytest.approx(other)


def test_a_drum_goes_no_deeper_than_its_pocket_is_long_and_widens_its_groove() -> None:
    pocket = Pocket(start=0.19, end=0.21, depth=0.0004, corner_radius=0.1)
    # half the length is the reach: √(2RD − D²) = 10 mm
    assert pocket.with_depth(0.002).deepest == pytest.approx(0.1 - math.sqrt(0.1**2 - 0.01**2))
    groove = Groove(at=0.2, width=0.0212, depth=0.003, section="round", radius=0.02)
    start, end = groove.with_depth(0.005).extent
    assert end - start == pytest.approx(2 * math.sqrt(2 * 0.02 * 0.005 - 0.005**2))


def test_a_wall_has_two_sides() -> None:
    cut = profile(Pocket(start=0.1, end=0.3, depth=0.01))
    at = np.array([0.1])
    assert cut.walls.tolist() == [0.1, 0.3]
    assert cut.thickness(at, 0)[0] == pytest.approx(STOCK)
    assert cut.thickness(at, 1)[0] == pytest.approx(STOCK - 0.01)


def test_depths_add_up_from_the_surface_and_not_from_the_blank() -> None:
    pocket = Pocket(start=0.1, end=0.3, depth=0.004)
    deeper = Groove(at=0.2, width=0.02, depth=0.006, measured_from="blank")
    shallow = replace(deeper, depth=0.003)
    assert depth_at(0.2, pocket, replace(deeper, measured_from="surface")) == pytest.approx(0.010)
    assert depth_at(0.2, pocket, deeper) == pytest.approx(0.006)
    assert depth_at(0.2, pocket, shallow) == pytest.approx(0.004)


def test_where_two_depths_cross_there_is_an_edge() -> None:
    arch = Arch(start=0.1, end=0.3, depth=0.008)
    flat = Pocket(start=0.1, end=0.3, depth=0.006, measured_from="blank")
    # the parabola is 6 mm deep where u² = 1/4
    for x in (0.15, 0.25):
        assert np.abs(profile(arch, flat).edges - x).min() < 1e-9


def test_a_mirrored_cut_over_the_middle_is_cut_once() -> None:
    groove = Groove(at=0.198, width=0.02, depth=0.003, mirror=True)
    assert depth_at(0.2, groove) == pytest.approx(0.003)
    assert profile(groove).walls.tolist() == pytest.approx([0.188, 0.212])


@given(st.floats(0.06, 0.12), st.floats(0.2, 0.34), st.floats(1.0, 6.0), st.floats(0.001, 0.012))
def test_a_complex_step_gives_the_slope_of_the_underside(
    start: float, end: float, fullness: float, depth: float
) -> None:
    cut = profile(Arch(start=start, end=end, depth=depth, fullness=fullness))
    x = np.linspace(start, end, 9)[1:-1] + 1e-4
    step = 1e-6
    numeric = (cut.thickness(x + step) - cut.thickness(x - step)) / (2 * step)
    slope = cut.thickness(x + 1j * COMPLEX_STEP).imag / COMPLEX_STEP
    assert slope == pytest.approx(numeric, abs=2e-6)


@pytest.mark.parametrize("name", ["start", "end", "depth", "fullness"])
def test_parameter_derivative_is_exact(name: str) -> None:
    arch = Arch(start=0.081, end=0.317, depth=0.011, fullness=2.7)
    x = np.array([0.09, 0.15, 0.21, 0.3])
    moved = perturbed_profile(LENGTH, STOCK, (arch,), (0, name)).thickness(x).imag / COMPLEX_STEP
    step = 1e-6 * getattr(arch, name)
    high, low = (replace(arch, **{name: getattr(arch, name) + s}) for s in (step, -step))
    numeric = (profile(high).thickness(x) - profile(low).thickness(x)) / (2 * step)
    assert moved == pytest.approx(numeric, rel=1e-6, abs=1e-9)


def test_least_thickness_says_where() -> None:
    least, place = profile(Arch(start=0.1, end=0.3, depth=0.012)).least_thickness()
    assert (least, place) == (pytest.approx(0.010), pytest.approx(0.2))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Arch(start=0.3, end=0.1, depth=0.01), "exchange"),
        (lambda: Arch(start=0.1, end=0.3, depth=-0.01), "above zero"),
        (lambda: Arch(start=0.1, end=0.3, depth=0.01, fullness=0.5), "at least 1"),
        (lambda: Arch(start=0.1, end=math.nan, depth=0.01), "finite"),
        (lambda: Pocket(start=0.1, end=0.11, depth=0.01, corner_radius=0.02), "widen it"),
        (lambda: Groove(at=0.2, width=0.01, depth=0.001, section="v"), "flat, round or dished"),
        (lambda: Groove(at=0.2, width=0.01, depth=0.001, section="round"), "radius"),
        (lambda: Table(x=(0.1, 0.1), depth=(0.0, 0.001)), "must increase"),
        (lambda: Table(x=(0.1, 0.2), depth=(0.0, -0.001)), "put back"),
        (lambda: Table(x=(0.1, 0.2), depth=(0.0,)), "same number"),
        (lambda: Table(x=(0.1, 0.2), depth=(0.0, -0.0)), "cuts nothing"),
    ],
)
def test_impossible_shapes_are_refused_with_a_way_out(make, words: str) -> None:
    with pytest.raises(GeometryError, match=words):
        make()


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        (Pocket(start=-0.01, end=0.3, depth=0.01), "keep it on the bar"),
        (Pocket(start=0.1, end=0.3, depth=0.03), "through the bar"),
        (Pocket(start=0.1, end=0.3, depth=0.021), "leaves 1.00 mm at x = 100.0"),
    ],
)
def test_impossible_cuts_are_refused_with_their_place(cut: Shape, words: str) -> None:
    with pytest.raises(GeometryError, match=words):
        check_undercut(LENGTH, STOCK, (cut,), keep=0.002)
