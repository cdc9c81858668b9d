"""Designs that are met, kept inside what the maker allows, or refused with help that helps."""

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Blank
from barmodel.beam import solve_beam
from barmodel.design import Limits, NoDesignError, Request, depth_table, find
from barmodel.errors import InputError
from barmodel.modes import solve
from barmodel.pitch import Target
from barmodel.undercut.piece import COMPLEX_STEP
from barmodel.wood import from_partial, species

WOOD = from_partial(density=1000.0, e_long=21e9)
C4 = Request(
    blank=Blank(length=0.372, width=0.053, thickness=0.022, wood=WOOD),
    target=Target("C4"),
    model="beam",
)
LOW = Request(
    blank=Blank(length=0.426, width=0.060, thickness=0.0225, wood=WOOD),
    target=Target("Eb3", a4_hz=443.0, ratios=(1.0, 4.0, 9.8)),
    model="beam",
)


@pytest.mark.parametrize("family", ["arch", "steps", "hollows"])
def test_three_ratios_are_met_on_the_beam(family: str) -> None:
    design = find(replace(C4, family=family))
    again = solve_beam(design.bar, count=3).hz
    assert np.abs(design.target.cents(again)).max() <= 0.01
    assert design.bar.profile.symmetric
    assert design.sensitivity_cents.max() < 0.0  # deeper is flatter


def test_solid_has_the_last_word() -> None:
    design = find(replace(C4, model="best"))
    alone = solve(design.bar, model="solid", count=3, families=["bending"]).bending_hz
    assert np.abs(design.target.cents(alone)).max() <= 0.5
    beam = solve_beam(design.bar, count=3).hz
    assert design.correction_cents == pytest.approx(1200 * np.log2(alone[:3] / beam), abs=1e-6)
    assert np.abs(design.correction_cents).max() > 0.5  # else there was nothing to correct


def test_usual_first_extent_is_a_start_the_search_may_leave() -> None:
    # an arch over the middle half is a usual first extent (common practice, no source)
    design = find(replace(LOW, begin={"start": 0.25 * 0.426}))
    assert np.abs(design.cents).max() <= 0.01


def test_fixed_measures_stay() -> None:
    request = replace(LOW, fixed={"start": 0.1065}, target=replace(LOW.target, ratios=(1.0, 4.0)))
    design = find(request)
    assert design.measures["start"] == pytest.approx(0.1065)
    assert np.abs(design.cents).max() <= 0.01


def test_ratios_alone_leave_the_pitch_free() -> None:
    design = find(replace(LOW, ratios_only=True))
    assert design.hz / design.hz[0] == pytest.approx([1.0, 4.0, 9.8], rel=1e-5)
    assert abs(1200 * np.log2(design.hz[0] / design.target.fundamental_hz)) > 20
    assert design.measures["fullness"] == pytest.approx(3.0)


@pytest.mark.parametrize("length", [0.29, 0.31, 0.32])
def test_what_meets_the_pitch_meets_the_ratios_alone(length: float) -> None:
    """On these a fullness that nobody had asked for once stood in the way."""
    wood = from_partial(density=781.25, e_long=11.2e9)
    blank = Blank(length=length, width=0.052, thickness=0.020, wood=wood)
    with_pitch = find(replace(C4, blank=blank), advise=False)
    assert np.abs(with_pitch.cents).max() <= 0.01
    alone = find(replace(C4, blank=blank, ratios_only=True), advise=False)
    assert np.abs(alone.cents).max() <= 0.01
    assert alone.hz / alone.hz[0] == pytest.approx([1.0, 4.0, 10.0], rel=1e-5)


def test_a_fullness_asked_for_is_kept_though_it_stands_in_the_way() -> None:
    wood = from_partial(density=781.25, e_long=11.2e9)
    blank = Blank(length=0.32, width=0.052, thickness=0.020, wood=wood)
    with pytest.raises(NoDesignError, match="fullness held by you"):
        find(replace(C4, blank=blank, ratios_only=True, fixed={"fullness": 3.0}), advise=False)


def test_drum_rolls_along_the_arch() -> None:
    two = replace(C4, target=Target("C4", ratios=(1.0, 4.0)))
    radius = 1.1 / _sharpest(find(two))  # too big for the arch found without one
    rolled = find(replace(two, limits=Limits(drum_radius=radius)))
    assert radius * _sharpest(rolled) <= 1.0
    assert "the drum radius" in rolled.pressed


def _sharpest(design) -> float:
    x = np.linspace(design.measures["start"] + 1e-4, design.bar.blank.length / 2 - 1e-4, 2000)
    slope = design.bar.profile.thickness(x + 1j * COMPLEX_STEP).imag / COMPLEX_STEP
    bend = np.gradient(slope, x)
    return float(np.abs(bend / (1 + slope**2) ** 1.5).max())


def test_router_floor_is_no_narrower_than_its_bit() -> None:
    steps = replace(C4, family="steps", target=Target("C4", ratios=(1.0, 4.0)))
    bit = 1.2 * _narrowest(find(steps))
    assert _narrowest(find(replace(steps, limits=Limits(bit_diameter=bit)))) >= bit * (1 - 1e-3)


def _narrowest(design) -> float:
    start, end = design.bar.undercut[-1].extent
    return float(end - start)


def test_least_thickness_is_kept_or_refused_with_a_length_that_works() -> None:
    request = replace(C4, limits=Limits(keep=0.0089))
    with pytest.raises(NoDesignError, match="least thickness") as refusal:
        find(request)
    found = {item.change: item.value for item in refusal.value.suggestions}
    assert "length" in found
    longer = replace(request, blank=replace(request.blank, length=float(found["length"])))
    design = find(longer)
    assert np.abs(design.cents).max() <= 0.01
    assert design.least_thickness >= 0.0089 - 1e-6


def test_contradictions_are_refused() -> None:
    with pytest.raises(InputError, match="no measure of the family"):
        find(replace(C4, fixed={"depht": 0.01}))
    with pytest.raises(InputError, match="one ratio alone"):
        replace(C4, target=Target("C4", ratios=(1.0,)), ratios_only=True)
    with pytest.raises(InputError, match="least thickness"):
        replace(C4, limits=Limits(keep=0.03))


def test_thin_metal_and_wood_have_their_own_caution() -> None:
    wood = find(replace(C4, blank=replace(C4.blank, length=0.46), target=Target("C2")))
    assert any("hard blows" in warning for warning in wood.warnings)
    assert replace(C4, blank=replace(C4.blank, wood=species("6061-T6").wood())).caution == 0.004


def test_table_shows_both_sides_of_a_wall() -> None:
    design = find(replace(C4, family="steps"))
    x, depth = depth_table(design.bar)
    walls = design.bar.profile.walls
    assert np.all(np.diff(x) >= 0.0)
    for wall in walls:
        rows = depth[np.abs(x - wall) < 1e-9]
        assert rows.size == 2
        assert abs(rows[1] - rows[0]) > 1e-4
    assert depth[[0, -1]].tolist() == [0.0, 0.0]
