"""Exact derivatives against central differences, to 1e-5 of the largest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.beam import derivative, solve_beam, thickness_sensitivity
from barmodel.undercut import Arch, Groove, Pocket
from barmodel.wood import from_partial

WOOD = from_partial(density=850.0, e_long=17e9, known={"g_long_thick": 1.9e9})
CUTS = (
    Arch(start=0.0811, end=0.3523, depth=0.010, fullness=2.7),
    Pocket(start=0.16, end=0.27, depth=0.002, corner_radius=0.02),
    Groove(at=0.105, width=0.04, depth=0.002, section="dished", mirror=True),
)
BAR = Bar(blank=Blank(length=0.43, width=0.064, thickness=0.023, wood=WOOD), undercut=CUTS)
OF_CUTS = [(0, "start"), (0, "end"), (0, "depth"), (0, "fullness"), (1, "start"), (1, "end")]
OF_CUTS += [(1, "depth"), (1, "corner_radius"), (2, "at"), (2, "depth")]
OF_BLANK = {"length": "length", "stock": "thickness", "width": "width"}
OF_WOOD = {"e": "e_long", "g": "g_long_thick", "density": "density"}


def changed(parameter, factor: float) -> Bar:
    if isinstance(parameter, tuple):
        index, name = parameter
        cuts = list(CUTS)
        cuts[index] = replace(cuts[index], **{name: factor * getattr(cuts[index], name)})
        return replace(BAR, undercut=tuple(cuts))
    if parameter in OF_BLANK:
        name = OF_BLANK[parameter]
        return replace(BAR, blank=replace(BAR.blank, **{name: factor * getattr(BAR.blank, name)}))
    name = OF_WOOD[parameter]
    wood = replace(WOOD, **{name: factor * getattr(WOOD, name)})
    return replace(BAR, blank=replace(BAR.blank, wood=wood))


def value_of(parameter) -> float:
    if isinstance(parameter, tuple):
        return getattr(CUTS[parameter[0]], parameter[1])
    holder = BAR.blank if parameter in OF_BLANK else WOOD
    return getattr(holder, (OF_BLANK | OF_WOOD)[parameter])


ALL = [(p, s) for p in (*OF_CUTS, *OF_BLANK, *OF_WOOD) for s in ("plain", "aware")]
ALL.remove(("width", "plain"))  # a plain beam's modes do not know its width


@pytest.mark.parametrize(("parameter", "section"), ALL, ids=str)
def test_derivative_is_the_limit_of_differences(parameter, section) -> None:
    step = 2e-4

    def log_hz(factor: float) -> np.ndarray:
        return np.log(solve_beam(changed(parameter, factor), section=section).hz)

    near, far = (log_hz(1 + s) - log_hz(1 - s) for s in (step, 2 * step))
    numeric = (8 * near - far) / (12 * step)  # fourth order (Richardson)
    exact = value_of(parameter) * derivative(solve_beam(BAR, section=section), parameter)
    # 1e-5 of the largest, and what rounding (1e-11 of ln f) leaves in a difference this wide
    allowed = 1e-5 * np.abs(exact).max() + 1e-7
    assert np.abs(exact - numeric).max() < allowed


@pytest.mark.parametrize("section", ["plain", "aware"])
def test_stiffness_density_and_length_obey_their_sum_rules(section) -> None:
    modes = solve_beam(BAR, section=section)
    by = {name: value_of(name) * derivative(modes, name) for name in OF_WOOD}
    assert by["density"] == pytest.approx(-0.5, abs=1e-9)
    if section == "plain":  # the aware section also leans on the crosswise constants
        assert by["e"] + by["g"] == pytest.approx(0.5, abs=1e-9)


def test_thickness_anywhere_adds_up_to_thickness_everywhere() -> None:
    modes = solve_beam(BAR, section="plain")
    shifts = thickness_sensitivity(modes)
    assert shifts.weight @ shifts.density == pytest.approx(derivative(modes, "stock"), rel=1e-9)
