from __future__ import annotations

import math

import numpy as np
import pytest

from barmodel.errors import InputError
from barmodel.solid import solve
from barmodel.solid.eigen import TOLERANCE
from barmodel.undercut import Arch, Groove, Pocket, Table
from tests.solid.bars import ALUMINIUM, bar
from tests.woods import HARDWOOD
from validation.kit.reference_bars import load_cases, reference_bar

PARABOLA = Arch(start=0.1, end=0.33, depth=0.0126, fullness=2.0)


def cents(a: float, b: float) -> float:
    return 1200 * math.log2(a / b)


def test_half_and_whole_bar_agree():
    cuts = (Pocket(start=0.1, end=0.2, depth=0.008),)
    half = solve(bar(300, 50, 22, ALUMINIUM, *cuts), families=["bending"])
    grain = Table(x=(0.0, 0.002), depth=(1.5e-7, 1.5e-7))  # unsymmetric, and that is all
    whole = solve(bar(300, 50, 22, ALUMINIUM, *cuts, grain), families=["bending"])
    assert half.mesh["bending"].half
    assert not whole.mesh["bending"].half
    for label in ("V1", "V2", "V3"):
        assert abs(cents(half[label].hz, whole[label].hz)) < 0.02
        a, b = half[label].motion, whole[label].motion
        assert np.abs(a - b).max() < 1e-3 * np.abs(a).max()


def test_mirrored_bar_has_the_same_modes():
    left = (Arch(start=0.04, end=0.18, depth=0.009), Pocket(start=0.21, end=0.26, depth=0.005))
    right = (Pocket(start=0.04, end=0.09, depth=0.005), Arch(start=0.12, end=0.26, depth=0.009))
    a = solve(bar(300, 50, 20, HARDWOOD, *left), count=2)
    b = solve(bar(300, 50, 20, HARDWOOD, *right), count=2)
    for p, q in zip(a.modes, b.modes, strict=True):
        assert p.label == q.label
        assert abs(cents(p.hz, q.hz)) < 0.01
        assert p.nodes == pytest.approx((0.3 - q.nodes)[::-1], abs=2e-5)


def test_frequencies_go_inversely_with_size_and_with_the_root_of_stiffness():
    a = solve(bar(300, 50, 20, HARDWOOD, Arch(start=0.06, end=0.24, depth=0.01)))
    b = solve(bar(150, 25, 10, HARDWOOD, Arch(start=0.03, end=0.12, depth=0.005)))
    c = solve(
        bar(
            300,
            50,
            20,
            HARDWOOD.scaled(e_factor=2.0, g_factor=2.0),
            Arch(start=0.06, end=0.24, depth=0.01),
        )
    )
    for p, q, r in zip(a.modes, b.modes, c.modes, strict=True):
        assert q.hz == pytest.approx(2 * p.hz, rel=1e-6)
        assert r.hz == pytest.approx(math.sqrt(2) * p.hz, rel=1e-6)


def test_modes_of_a_blank_are_named_and_their_nodes_known():
    modes = solve(bar(600, 30, 8, ALUMINIUM), count=3)
    # Euler–Bernoulli nodes (Blevins 1979, Table 8-1); shear moves them by under a millimetre here.
    assert modes["V1"].nodes / 0.6 == pytest.approx([0.2242, 0.7758], abs=1e-3)
    assert modes["V2"].nodes / 0.6 == pytest.approx([0.1321, 0.5, 0.8679], abs=1e-3)
    assert modes["T1"].nodes / 0.6 == pytest.approx([0.5], abs=1e-6)
    assert all(mode.share > 0.9 for mode in modes.modes)
    assert all(mode.residual < TOLERANCE for mode in modes.modes)


@pytest.mark.parametrize("order", ["quick", "standard"])
def test_estimated_error_covers_the_true_one_without_crying_wolf(order):
    case = next(case for case in load_cases() if case["id"] == "B-step-45-al")
    modes = solve(reference_bar(case), families=["bending"], estimate=True, order=order)
    for label in ("V1", "V2", "V3"):
        true = cents(modes[label].hz, case["hz"][label])
        assert true < modes[label].error_cents < 6.0 * true


@pytest.mark.parametrize(
    "cuts",
    [
        (Pocket(start=0.09, end=0.34, depth=0.007), Pocket(start=0.092, end=0.338, depth=0.005)),
        (Pocket(start=0.0, end=0.03, depth=0.006),),
        (Pocket(start=0.1, end=0.33, depth=0.021),),
        (Pocket(start=0.1, end=0.33, depth=0.012, corner_radius=0.012),),
        (PARABOLA, Groove(at=0.1051, width=0.01, depth=0.001)),
        (PARABOLA, Groove(at=0.2, width=0.01, depth=5e-5)),
    ],
    ids=["nested", "at the end", "thin floor", "round wall", "groove at kink", "hair"],
)
def test_awkward_undercuts_agree_with_a_finer_mesh(cuts):
    the_bar = bar(430, 64, 23, HARDWOOD, *cuts)
    coarse, fine = (solve(the_bar, families=["bending"], order=o) for o in ("standard", "fine"))
    for label in ("V1", "V2", "V3"):
        assert -0.1 < cents(coarse[label].hz, fine[label].hz) < 2.5, label


def test_torsion_of_a_thin_wide_floor_has_functions_enough_across():
    """Two millimetres of wood, 50 wide: with one set of functions for all it is 4 cents sharp."""
    the_bar = bar(400, 50, 20, HARDWOOD, Arch(start=0.04, end=0.36, depth=0.018, fullness=4.0))
    coarse, fine = (solve(the_bar, families=["torsion"], order=o) for o in ("standard", "fine"))
    for label in ("T1", "T2", "La1"):
        assert -0.1 < cents(coarse[label].hz, fine[label].hz) < 1.5, label


def test_tables_with_many_points_cost_no_more_than_smooth_arches():
    x = np.linspace(0.08, 0.35, 271)
    depth = 0.012 * (1 - np.abs((x - 0.215) / 0.135) ** 2.5)
    table = Table(x=tuple(x), depth=tuple(np.maximum(depth, 0.0)))
    dense = solve(bar(430, 64, 23, HARDWOOD, table), families=["bending"])
    smooth = solve(
        bar(430, 64, 23, HARDWOOD, Arch(start=0.08, end=0.35, depth=0.012, fullness=2.5)),
        families=["bending"],
    )
    assert dense.mesh["bending"].unknowns < 4 * smooth.mesh["bending"].unknowns
    for label in ("V1", "V2", "V3"):
        assert abs(cents(dense[label].hz, smooth[label].hz)) < 0.3


def test_a_cliff_is_a_wall():
    """A wall drawn with a tenth of a millimetre of slope is not 35 cents stiffer."""
    cliff = Table(x=(0.1, 0.1001, 0.3299, 0.33), depth=(0.0, 0.01, 0.01, 0.0))
    drawn = solve(bar(430, 64, 23, HARDWOOD, cliff), families=["bending"])
    sawn = solve(
        bar(430, 64, 23, HARDWOOD, Pocket(start=0.10005, end=0.32995, depth=0.01)),
        families=["bending"],
    )
    for label in ("V1", "V2", "V3"):
        assert abs(cents(drawn[label].hz, sawn[label].hz)) < 0.5


def test_a_steep_ramp_is_nearly_a_staircase():
    """Ramp of 12 mm over 2.5 mm against stairs of 2 and 4 vertical steps, extrapolated."""

    def stairs(steps: int) -> tuple[Pocket, ...]:
        starts = 0.09 + 0.0025 * (np.arange(steps) + 0.5) / steps
        return tuple(Pocket(start=x, end=0.43 - x, depth=0.012 / steps) for x in starts)

    ramp = Table(x=(0.09, 0.0925, 0.3375, 0.34), depth=(0.0, 0.012, 0.012, 0.0))
    sloping, coarse, fine = (
        solve(bar(430, 64, 23, HARDWOOD, *cuts), families=["bending"], count=2, order="quick")
        for cuts in ((ramp,), stairs(2), stairs(4))
    )
    assert any("very steep" in text for text in sloping.warnings)
    for label in ("V1", "V2"):
        limit = 2 * fine[label].hz - coarse[label].hz  # errors of stairs go with their step
        assert abs(cents(sloping[label].hz, limit)) < 7.0


def test_says_where_it_is_near_its_limits():
    assert solve(bar(430, 64, 23, HARDWOOD), count=1, order="draft").warnings == ()
    stub = solve(bar(100, 40, 25, HARDWOOD), count=1, order="draft").warnings
    assert any("only 4.0 thicknesses" in text for text in stub)


@pytest.mark.parametrize(
    "wrong", [{"count": 0}, {"families": []}, {"families": ["bend"]}, {"order": "best"}]
)
def test_refuses_what_makes_no_sense(wrong):
    with pytest.raises(InputError):
        solve(bar(430, 64, 23, HARDWOOD), **wrong)


def test_every_mode_has_a_name_of_its_own():
    plate = solve(bar(120, 110, 20, HARDWOOD), count=2, order="draft")
    labels = [mode.label for mode in plate.modes]
    assert {mode.family for mode in plate.of_kind("crosswise")} == {"bending", "torsion"}
    assert len(set(labels)) == len(labels)


def test_results_do_not_depend_on_the_run():
    the_bar = bar(430, 64, 23, HARDWOOD, PARABOLA)
    first, second = (solve(the_bar, count=2, order="quick") for _ in range(2))
    assert [m.hz for m in first.modes] == [m.hz for m in second.modes]
