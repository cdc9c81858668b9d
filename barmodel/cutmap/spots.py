"""Cuts that a recipe may choose from: where, how long, how deep at most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap.chart import stations
from barmodel.cuts import walls_crossed
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter
from barmodel.units import MM

TRIAL = 0.1 * MM
"""Depth for which the effect of each cut is first taken. [m]"""
SHARE = 0.1
"""Part of the thickness one cut of a recipe may take unless the maker says otherwise: finishing
work, which keeps the shape and leaves light-cut theory a guide (own judgement). [1]"""
SHALLOWEST = 0.01 * MM
"""Cuts shallower than this cannot be made; left in only where nothing else meets the aim. [m]"""
WIDTHS = (1, 2, 3)
"""Lengths of cuts, in lengths of the cutter's own: neighbours come out as one longer cut."""
DRUM_POWER = 1.5
"""A drum's cut is √depth long, so that it removes depth^1.5. [1]"""


@dataclass(frozen=True, slots=True)
class Spot:
    """One cut that might be made.

    Attributes
    ----------
    cutter : Cutter
    at : float
        Its middle, on the left half. [m]
    width : float or None
        Length along the bar; None for the cutter's own at whatever depth. [m]
    mirror : bool
        The same on the other half.
    deepest : float
        How deep it may go. [m]
    """

    cutter: Cutter
    at: float
    width: float | None
    mirror: bool
    deepest: float

    @property
    def power(self) -> float:
        """Wood removed goes with depth to this power."""
        return DRUM_POWER if self.cutter.kind == "drum" and self.width is None else 1.0

    @property
    def extent(self) -> tuple[float, float]:
        """Start and end when as deep as it may be. [m]"""
        return self.cut(max(self.deepest, TRIAL)).extent

    def cut(self, depth: float) -> Shape:
        """Return the cut at a depth. [m]"""
        return self.cutter.cut(at=self.at, depth=depth, width=self.width, mirror=self.mirror)

    def amount(self, depth: float) -> float:
        """What shifts are proportional to; equals the depth at the trial depth. [m]"""
        return float(TRIAL * (max(depth, 0.0) / TRIAL) ** self.power)

    def depth(self, amount: float) -> float:
        """Depth that belongs to an amount. [m]"""
        return float(TRIAL * (max(amount, 0.0) / TRIAL) ** (1.0 / self.power))


def spots(
    bar: Bar, cutter: Cutter, *, count: int, keep: float, deepest: float | None
) -> list[Spot]:
    """List the cuts that might be made: mirror pairs on the left half, and middle ones.

    Parameters
    ----------
    bar : Bar
    cutter : Cutter
    count : int
        Places on the half bar.
    keep : float
        Thickness that must remain. [m]
    deepest : float, optional
        Deepest cut; by default `SHARE` of the thickness there. [m]
    """
    own = cutter.least_width(deepest or SHARE * bar.blank.thickness)
    middle, found = bar.blank.length / 2, []
    for times in WIDTHS:
        width = own * times
        if width >= bar.blank.length:
            break
        places = stations(bar, width, 2 * count)[:count]
        pairs = [float(at) for at in places if at + width / 2 <= middle + 1e-9]
        travelled = None if times == 1 else width
        for at, mirror in [*((at, True) for at in pairs), (middle, False)]:
            room = _room(bar, at, width, keep, deepest)
            if cutter.kind == "drum":
                room = min(room, cutter.radius)
            spot = Spot(cutter, at, travelled, mirror, room)
            if room > SHALLOWEST and not walls_crossed(bar, spot.cut(TRIAL)):
                found.append(spot)
    return found


def _room(bar: Bar, at: float, width: float, keep: float, deepest: float | None) -> float:
    """Depth that the bar has to give at a place. [m]"""
    x = np.linspace(at - width / 2, at + width / 2, 23)[1:-1]
    thinnest = float(bar.profile.thickness(x).real.min())
    most = SHARE * thinnest if deepest is None else deepest
    return max(min(thinnest - keep, most), 0.0)


def overlaps(found: Sequence[Spot]) -> np.ndarray:
    """Groups of cuts that hold one point, of which only one can be made, shape (groups, spots)."""
    spans = np.array([spot.extent for spot in found])
    # the points just before an end are enough
    points = np.unique(spans[:, 1].round(6)) - 1e-5
    groups = {tuple(((spans[:, 0] < x) & (spans[:, 1] > x)).tolist()) for x in points}
    return np.array(sorted(groups), dtype=bool)
