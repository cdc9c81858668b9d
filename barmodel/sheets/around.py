"""What lies around a cord hole: the wood over and under it, and steps it may break into."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.holes import ACROSS, CordHole
from barmodel.units import MM

LEAST_AROUND = 3 * MM
"""Wood wished for between a hole and any surface or step (common practice, no source). [m]"""


@dataclass(frozen=True, slots=True)
class Around:
    """What lies beside a hole.

    Attributes
    ----------
    over, under : float
        Least wood towards the top, and towards the underside in any direction. [m]
    wall : float or None
        Nearest step of the underside, from the left end. [m]
    to_wall : float
        Level distance from the edge of the hole to it; negative when the hole crosses it. [m]
    """

    over: float
    under: float
    wall: float | None
    to_wall: float


def around_hole(bar: Bar, hole: CordHole) -> Around:
    """Measure the wood left around a hole, over the whole width of the bar.

    Examples
    --------
    >>> from barmodel.bar import Blank
    >>> from barmodel.wood import Wood
    >>> wood = Wood.from_isotropic(e=17e9, nu=0.3, density=850.0)
    >>> bar = Bar(blank=Blank(length=0.4, width=0.06, thickness=0.022, wood=wood))
    >>> round(1e3 * around_hole(bar, CordHole(0.09)).under, 3)  # 11 mm less the radius
    7.8
    """
    profile, radius = bar.profile, hole.diameter / 2
    front, rear = hole.ends(bar.blank.width)
    axis = (front + rear) / 2 + ACROSS * (rear - front) / 2
    reach = np.linspace(-3.0 * hole.diameter, 3.0 * hole.diameter, 601)
    walls = profile.walls
    x = np.clip(axis[:, None] + reach, 0.0, profile.length)
    down = profile.thickness(x.ravel()).real.reshape(x.shape) - hole.height
    under = float(np.hypot(x - axis[:, None], down).min())
    if walls.size == 0:
        return Around(hole.height - radius, under - radius, None, math.inf)
    away = np.abs(walls[:, None] - axis[None])
    nearest = int(away.min(axis=1).argmin())
    return Around(
        hole.height - radius, under - radius, float(walls[nearest]),
        float(away.min()) - radius,
    )  # fmt: skip


def all_hole_cautions(
    bar: Bar, holes: Sequence[CordHole], *, keep: float = LEAST_AROUND
) -> tuple[str, ...]:
    """The same for all holes; what holds for a hole and its mirror image is said once.

    Parameters
    ----------
    bar : Bar
    holes : sequence of CordHole
    keep : float
        Wood wished for around each. [m]
    """
    said: list[str] = []
    told: list[CordHole] = []
    for hole in holes:
        if bar.profile.symmetric and any(_mirrored(bar, hole, other) for other in told):
            continue
        pair = [other for other in holes if _mirrored(bar, hole, other)]
        sentences = hole_cautions(bar, hole, keep=keep)
        if pair and bar.profile.symmetric:
            sentences = tuple(f"{text} The same at {pair[0].x / MM:.1f} mm." for text in sentences)
        said += sentences
        told.append(hole)
    return tuple(said)


def _mirrored(bar: Bar, one: CordHole, other: CordHole) -> bool:
    """Whether one hole is the mirror image of the other about the middle of the bar."""
    return (
        one is not other
        and abs(one.x + other.x - bar.blank.length) < 0.1 * MM
        and abs(one.height - other.height) < 1e-6
        and abs(one.diameter - other.diameter) < 1e-6
        and abs(one.angle_degrees + other.angle_degrees) < 1e-6
    )


def hole_cautions(bar: Bar, hole: CordHole, *, keep: float = LEAST_AROUND) -> tuple[str, ...]:
    """Sentences about a hole that leaves little wood or meets a step of the underside.

    Parameters
    ----------
    bar : Bar
    hole : CordHole
    keep : float
        Wood wished for around it. [m]
    """
    beside, said = around_hole(bar, hole), []
    name = f"Hole at {hole.x / MM:.1f} mm"
    for side, wood in (("top", beside.over), ("underside", beside.under)):
        if wood < keep - 1e-9:
            said.append(
                f"{name}: only {wood / MM:.1f} mm of wood stay towards the {side}, less than "
                f"{keep / MM:g} mm; drill thinner or at another height."
            )
    if beside.wall is not None and beside.to_wall < keep - 1e-9:
        what = "crosses the step" if beside.to_wall < 0.0 else "comes close to the step"
        said.append(
            f"{name}, {hole.diameter / MM:g} mm wide, {what} of the underside at "
            f"{beside.wall / MM:.1f} mm: the step's corner may break out there. Begin the step "
            f"{keep / MM:g} mm clear of the hole, or round it over."
        )
    return tuple(said)
