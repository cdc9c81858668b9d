"""How to ask for a stepped design whose walls keep clear of the cord holes."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from barmodel.bar import Bar
    from barmodel.holes import CordHole


NODES_MOVE_MM = 1.0
"""How far the nodes, and holes at them, may follow a step that is moved. [mm]"""


def step_aside(aim: Bar, holes: Sequence[CordHole], keep: float, path: Path) -> str | None:
    """The command that moves a wall beside a hole away from it, to the side where it lies.

    Parameters
    ----------
    aim : Bar
        The bar as designed.
    holes : sequence of CordHole
    keep : float
        Wood wished for around a hole. [m]
    path : Path
        Of the bar file.

    Returns
    -------
    str or None
        None where no wall is too near, or the design is not one of steps.
    """
    from barmodel.sheets.around import around_hole
    from barmodel.undercut import Pocket
    from barmodel.units import MM

    if not all(isinstance(cut, Pocket) for cut in aim.undercut) or not aim.profile.symmetric:
        return None
    left = [float(x) for x in aim.profile.walls if x < aim.blank.length / 2]
    for hole in holes:
        beside = around_hole(aim, hole)
        if beside.wall is None or beside.wall not in left or beside.to_wall >= keep - 1e-9:
            continue
        clear = (hole.diameter / 2 + keep) / MM + NODES_MOVE_MM
        inward = beside.wall >= hole.x
        place = math.ceil(hole.x / MM + clear) if inward else math.floor(hole.x / MM - clear)
        if place <= 0:
            continue
        number = left.index(beside.wall) + 1
        return (
            f"To ask for that step: barmodel design {path} --family steps --fix "
            f"start{number}={place:g}, and look at its sheet: the nodes move a little."
        )
    return None
