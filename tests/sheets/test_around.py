"""Wood around a cord hole."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.holes import CordHole
from barmodel.sheets.around import all_hole_cautions, around_hole, hole_cautions
from barmodel.undercut import Arch, Pocket
from tests.woods import HARDWOOD

BLANK = Blank(length=0.35, width=0.058, thickness=0.021, wood=HARDWOOD)
STEPS = Bar(blank=BLANK, undercut=(Pocket(start=0.07, end=0.28, depth=0.001),))


def test_distance_to_a_step_is_from_the_edge_of_the_hole() -> None:
    square = around_hole(STEPS, CordHole(0.06, height=0.0105))
    assert (square.wall, square.to_wall) == (pytest.approx(0.07), pytest.approx(0.0068))
    slant = around_hole(STEPS, CordHole(0.06, height=0.0105, angle_degrees=5.0))
    away = 0.01 - 0.029 * np.tan(np.radians(5.0)) - 0.0032
    assert slant.to_wall == pytest.approx(away), "the rear end comes nearer"


def test_wood_under_a_hole_beside_a_steep_arch_is_measured_square_to_it() -> None:
    arch = Bar(blank=BLANK, undercut=(Arch(start=0.08, end=0.27, depth=0.013, fullness=3.0),))
    beside = around_hole(arch, CordHole(0.082, height=0.0105))
    x = np.linspace(0.07, 0.11, 8001)
    straight = np.hypot(x - 0.082, arch.profile.thickness(x).real - 0.0105).min() - 0.0032
    assert beside.under == pytest.approx(straight, abs=2e-5)
    assert beside.under < arch.profile.thickness(np.array([0.082])).real[0] - 0.0105 - 0.0032


@pytest.mark.parametrize(
    ("hole", "says"),
    [
        (CordHole(0.0693, height=0.0105), ["crosses the step of the underside at 70.0 mm"]),
        (CordHole(0.0650, height=0.0105), ["comes close to the step"]),
        (CordHole(0.0600, height=0.0105), []),
        (CordHole(0.0600, height=0.0055), ["2.3 mm of wood stay towards the top"]),
        (CordHole(0.0600, height=0.0155), ["2.3 mm of wood stay towards the underside"]),
    ],
)
def test_cautions(hole: CordHole, says: list[str]) -> None:
    said = hole_cautions(STEPS, hole)
    assert len(said) == len(says)
    assert all(words in sentence for words, sentence in zip(says, said, strict=True))
    assert not hole_cautions(STEPS, hole, keep=0.001) or "crosses" in said[0]


def test_what_holds_for_both_holes_is_said_once() -> None:
    left, right = CordHole(0.0693, height=0.0105), CordHole(0.2807, height=0.0105)
    assert BLANK.length == pytest.approx(0.35)
    (said,) = all_hole_cautions(STEPS, (left, right))
    assert said.startswith("Hole at 69.3 mm")
    assert said.endswith("The same at 280.7 mm.")
    higher = CordHole(0.2807, height=0.0055)
    assert len(all_hole_cautions(STEPS, (left, higher))) == 3, "they are not alike"
    assert all_hole_cautions(STEPS, (left,)) == hole_cautions(STEPS, left)
