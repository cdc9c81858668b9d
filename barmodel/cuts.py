"""Cuts on a bar, and the refusal of those that cannot be made, with the nearest that can."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.errors import GeometryError
from barmodel.undercut import Groove, Pocket, Profile, Shape, Table, build_profile
from barmodel.undercut.piece import Array
from barmodel.units import MM

FINE = 60
"""Places within a drum's radius at which its circle is looked at."""
REACH_TOLERANCE = 0.05 * MM
"""A drum may stay so far short of the floor of its cut before the cut is refused … [m]"""
REACH_SHARE = 0.1
"""… or this share of the cut's depth: on a slope an arc is not quite what a drum leaves. [1]"""
LOW_WALL = 0.5 * MM
"""A step no higher than this is no wall to a cutter (own judgement). [m]"""
BESIDE = 0.5 * MM
"""How far a cut may reach over a wall; it is shallow at its ends (own judgement). [m]"""
_PLACE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class EndTrim:
    """Shortening of the bar.

    Attributes
    ----------
    left, right : float
        Length taken off each end. [m]
    """

    left: float = 0.0
    right: float = 0.0


Cut: TypeAlias = Shape | EndTrim
"""Wood removed from the underside, or from the ends."""


def end_thinning(*, length: float, depth: float) -> Pocket:
    """Thin the underside of both ends by `depth` over `length`: it raises all modes. [m], [m]"""
    return Pocket(start=0.0, end=length, depth=depth, mirror=True)


def side_area(bar: Bar, cut: Shape) -> float:
    """Area of the side view that a cut takes from the uncut blank of a bar. [m²]"""
    length, stock = bar.blank.length, bar.blank.thickness
    return length * stock - build_profile(length, stock, (cut,)).integral()


def apply_cuts(
    bar: Bar, cuts: Sequence[Cut], *, keep: float = LEAST_THICKNESS, check: bool = True
) -> Bar:
    """Return the bar after cuts made in order.

    Parameters
    ----------
    bar : Bar
    cuts : sequence of Shape or EndTrim
        Positions from the left end as it is when the cut is made.
    keep : float
        Thickness that must remain where something is cut. [m]
    check : bool
        Whether to refuse cuts that cannot be made.

    Raises
    ------
    GeometryError
        If a cut cannot be made; the message holds the nearest possible one.
    """
    for cut in cuts:
        if isinstance(cut, EndTrim):
            if check:
                _check_trim(bar, cut)
            bar = bar.trimmed(left=cut.left, right=cut.right)
            continue
        if check:
            check_cut(bar, cut, keep=keep)
        bar = bar.with_cuts(cut)
    return bar


def check_cut(bar: Bar, cut: Shape, *, keep: float = LEAST_THICKNESS) -> None:
    """Refuse a cut off the bar, through it, below the least thickness, or out of reach.

    Parameters
    ----------
    bar : Bar
        As it is before the cut.
    cut : Shape
    keep : float
        Thickness that must remain where the cut takes wood away. [m]

    Raises
    ------
    GeometryError
        Saying what is wrong and the nearest possible cut.
    """
    length = bar.blank.length
    start, end = cut.extent
    if start < -_PLACE or end > length + _PLACE:
        raise GeometryError(
            f"the cut runs from {start / MM:g} to {end / MM:g} mm, but the bar from 0 to "
            f"{length / MM:g} mm; {_nearest_place(start, end, length)}"
        )
    after = bar.with_cuts(cut).profile
    least, place = _least_where_cut(bar.profile, after, cut)
    if least < keep - _PLACE:
        through = "go through the bar" if least <= 0.0 else f"leave {least / MM:.2f} mm"
        raise GeometryError(
            f"the cut would {through} at x = {place / MM:.1f} mm; at least {keep / MM:.2f} mm "
            f"must remain; {_nearest_depth(bar, cut, keep)}"
        ).if_thinner(least > 0.0)
    _check_drum(bar, cut)


def _check_trim(bar: Bar, cut: EndTrim) -> None:
    off, length, stock = cut.left + cut.right, bar.blank.length, bar.blank.thickness
    if min(cut.left, cut.right) < 0.0 or off <= 0.0:
        raise GeometryError("ends: the length taken off must be above zero; wood only comes off")
    room = length - max(2.0 * stock, bar.blank.width)
    if off > room:
        raise GeometryError(
            f"ends: {off / MM:g} mm off a bar of {length / MM:g} mm leaves no bar; "
            f"at most {max(room, 0.0) / MM:.1f} mm altogether can come off"
        )


def _nearest_place(start: float, end: float, length: float) -> str:
    width = end - start
    if width > length:
        return f"the bar has room for {length / MM:g} mm at most"
    middle = min(max((start + end) / 2, width / 2), length - width / 2)
    return f"the nearest place for a cut of this width is {middle / MM:.1f} mm"


def _least_where_cut(before: Profile, after: Profile, cut: Shape) -> tuple[float, float]:
    """Least thickness, and where, among the places this cut takes wood from. [m], [m]"""
    edges = after.edges
    x = edges[:-1, None] + np.diff(edges)[:, None] * np.linspace(0.0, 1.0, 65)
    segment = np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape)
    h = after.thickness(x, segment).real
    inside = np.clip(x, x[:, :1] + 1e-9, x[:, -1:] - 1e-9)
    cut_here = before.thickness(inside).real - after.thickness(inside, segment).real > 1e-9
    if not cut_here.any():
        return float("inf"), cut.extent[0]
    h = np.where(cut_here, h, np.inf)
    at = np.unravel_index(int(h.argmin()), h.shape)
    return float(h[at]), float(x[at])


def depth_leaving(bar: Bar, cut: Shape, thickness: float) -> float:
    """Depth of a cut of this shape that leaves so much where it is made; 0 if none does. [m]

    Parameters
    ----------
    bar : Bar
        As it is before the cut.
    cut : Shape
    thickness : float
        Least thickness that remains, among the places it takes wood from. [m]
    """

    def leaves(d: float) -> float:
        other = cut.with_depth(d)
        return _least_where_cut(bar.profile, bar.with_cuts(other).profile, other)[0]

    low, high = 0.0, bar.blank.thickness
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if leaves(middle) >= thickness else (low, middle)
    return low if low > _PLACE else 0.0


def _nearest_depth(bar: Bar, cut: Shape, keep: float) -> str:
    """In words, the deepest cut of this shape that leaves enough."""
    allowed = np.floor(depth_leaving(bar, cut, keep) / MM * 100.0 + 1e-6) / 100.0
    if allowed <= 0.0:
        return "no cut is possible there; cut elsewhere or set another least thickness"
    if isinstance(cut, Table):
        return f"the same depths, made smaller to {allowed:.2f} mm at the deepest, would do"
    return f"the deepest possible there is {allowed:.2f} mm"


def drum_reaches(bar: Bar, cut: Shape) -> bool:
    """Whether a drum, if the cut is made by one, gets to its floor in `bar` without the flanks."""
    radius = _radius(cut)
    return radius == 0.0 or _touches(bar, cut, radius)[0] <= _allowed(cut)


def high_walls(bar: Bar) -> Array:
    """Walls of the underside that no cutter follows, shape (n,). [m]"""
    profile = bar.profile
    return np.asarray(profile.edges[1:-1][np.abs(profile.jumps) > LOW_WALL])


def walls_crossed(bar: Bar, cut: Shape) -> tuple[float, ...]:
    """Walls of the underside that a cut would lie across, where no cutter can follow. [m]

    Walls lower than `LOW_WALL` are worn away with the rest; a table is what was measured, an arch
    a whole underside, and neither is one pass of a cutter.

    Parameters
    ----------
    bar : Bar
        As it is before the cut.
    cut : Shape
    """
    if not isinstance(cut, Groove | Pocket):
        return ()
    walls = high_walls(bar)
    start, end = cut.extent
    spans = [(start, end)]
    if cut.mirror:
        axis = bar.blank.length / 2 if cut.axis is None else cut.axis
        spans.append((2 * axis - end, 2 * axis - start))
    inside = np.zeros(walls.size, dtype=bool)
    for first, last in spans:
        inside |= (walls > first + BESIDE) & (walls < last - BESIDE)
    return tuple(walls[inside].tolist())


def _allowed(cut: Shape) -> float:
    """How far a drum may stay short of the floor of a cut. [m]"""
    return max(REACH_TOLERANCE, REACH_SHARE * cut.deepest)


def _check_drum(bar: Bar, cut: Shape) -> None:
    """Refuse a drum that would cut the flanks of a hollow before it reached its floor."""
    if drum_reaches(bar, cut):
        return
    radius, allowed = _radius(cut), _allowed(cut)
    start, end = cut.extent
    at = (start + end) / 2
    low, high = 0.0, radius
    for _ in range(30):
        middle = (low + high) / 2
        fits = _touches(bar, cut, middle)[0] <= allowed
        low, high = (middle, high) if fits else (low, middle)
    smaller = np.floor(2.0 * low / MM)
    places = np.arange(end - start, bar.blank.length - (end - start), MM)
    fitting = [p for p in places if _touches(bar, cut.shifted(p - at), radius)[0] <= allowed]
    near = min(fitting, key=lambda p: abs(p - at), default=None)
    advice = []
    if smaller > 0.0:
        advice.append(f"a drum of {smaller:g} mm diameter or less reaches it")
    if near is not None:
        advice.append(f"this drum fits at x = {near / MM:.0f} mm, the nearest place")
    place = _touches(bar, cut, radius)[1]
    raise GeometryError(
        f"a drum of {2 * radius / MM:g} mm diameter cannot reach x = {place / MM:.1f} mm: the "
        f"hollow there is narrower and its flanks would be cut first; {' or '.join(advice)}"
    )


def _radius(cut: Shape) -> float:
    if isinstance(cut, Groove) and cut.section == "round":
        return cut.radius
    return cut.corner_radius if isinstance(cut, Pocket) else 0.0


def _touches(bar: Bar, cut: Shape, radius: float) -> tuple[float, float]:
    """How far a drum stays short of the floor of a cut, and where. [m], [m]

    At every place it is let down until it meets wood that is meant to stay; how deep it gets at a
    point of the floor is the deepest that any of these circles reaches there. The flanks of the
    cut do not count: on a slope an arc is not quite what a drum leaves.
    """
    after = bar.with_cuts(cut).profile
    length, floors = bar.blank.length, [_floor_of(cut, radius)]
    if cut.mirror:
        axis = length / 2 if cut.axis is None else cut.axis
        floors.append((2 * axis - floors[0][1], 2 * axis - floors[0][0]))
    step = radius / FINE
    offset = np.arange(-FINE, FINE + 1) * step
    rise = radius - np.sqrt(np.maximum(radius**2 - offset**2, 0.0))
    worst, at = 0.0, floors[0][0]
    for first, last in floors:
        x = first + step * np.arange(-2 * FINE, 2 * FINE + 1 + round((last - first) / step))
        depth = after.depth(np.clip(x, 1e-6, length - 1e-6)).real
        depth[(x < 0.0) | (x > length)] = np.inf  # beyond the ends there is no wood to meet
        lowest = (sliding_window_view(depth, offset.size) + rise).min(axis=1)
        reached = (sliding_window_view(lowest, offset.size) - rise).max(axis=1)
        floor = depth[2 * FINE : -2 * FINE]
        short = np.where(np.isfinite(floor), floor - reached, 0.0)
        if short.max() > worst:
            worst, at = float(short.max()), float(x[2 * FINE + short.argmax()])
    return worst, at


def _floor_of(cut: Shape, radius: float) -> tuple[float, float]:
    """Where the lowest point of a drum runs to make a cut. [m], [m]"""
    start, end = cut.extent
    if isinstance(cut, Groove):
        return cut.at, cut.at
    depth = min(cut.deepest, radius)
    reach = np.sqrt(max(2 * radius * depth - depth**2, 0.0))
    middle = (start + end) / 2
    return min(start + reach, middle), max(end - reach, middle)
