"""Numbers for the bench: depths at stations, flat floors, router passes and their stops."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.errors import InputError
from barmodel.undercut.outline import Floor, floors, underside
from barmodel.undercut.piece import Array
from barmodel.undercut.profile import SAME_PLACE, Profile
from barmodel.units import MM

DEEPEST_PASS = 3 * MM
"""Most wood taken in one pass: 2 to 3 mm (common practice, no source). [m]"""
LEFT_TO_SAND = 1 * MM
"""Wood left on curved parts (common practice, no source). [m]"""
LEAST_PASS = 0.2 * MM
"""Thinner passes are left to the drum or the scraper. [m]"""


@dataclass(frozen=True, slots=True)
class Station:
    """One place where the depth is told.

    Attributes
    ----------
    x : float
        From the left end. [m]
    from_end : float
        From the nearer end. [m]
    """

    x: float
    from_end: float


def stations(length: float, every: float, more: Sequence[float] = ()) -> tuple[Station, ...]:
    """Places every so far from each end, and the middle, from left to right.

    Parameters
    ----------
    length, every : float
        Length of the bar, distance between stations. [m]
    more : sequence of float
        Further places, from the nearer end; they are told on both halves. [m]

    Examples
    --------
    >>> [round(1e3 * s.x) for s in stations(0.05, 0.01)]
    [0, 10, 20, 25, 30, 40, 50]
    """
    if not 1 * MM <= every <= length / 2:
        raise InputError(
            f"stations every {every / MM:g} mm; choose 1 mm up to half the bar, usually 5 or 10"
        )
    count = math.ceil(length / 2 / every - 1e-9)
    left = [i * every for i in range(count)]
    taken = [*left, length / 2]
    left += [at for at in more if all(abs(at - other) > 0.4 * MM for other in taken)]
    left.sort()
    left_half = [Station(x, x) for x in left]
    right_half = [Station(length - x, x) for x in reversed(left)]
    return (*left_half, Station(length / 2, length / 2), *right_half)


def thickness_at(profile: Profile, x: Array) -> Array:
    """Thickness at places, at a wall the thicker side: the finger stops there first. [m]"""
    x = np.clip(np.asarray(x, dtype=float), 0.0, profile.length)
    right = np.clip(profile.segment_of(x), 0, profile.edges.size - 2)
    inner = profile.edges[1:-1]
    at_edge = np.abs(x[:, None] - inner[None]) < SAME_PLACE
    left = np.where(at_edge.any(axis=1), at_edge @ np.arange(inner.size), right).astype(int)
    other = np.where(at_edge.any(axis=1), left + 1, right)
    sides = [np.asarray(profile.thickness(x, side).real) for side in (left, other)]
    return np.asarray(np.maximum(sides[0], sides[1]))


def thickness_beside(profile: Profile, x: Array) -> Array:
    """Thickness at the points of another underside, at each of its walls on its own two sides. [m]

    Parameters
    ----------
    profile : Profile
    x : ndarray, shape (n,)
        Rising; a place told twice is a wall. [m]
    """
    beside = np.array(x, dtype=float)
    wall = np.flatnonzero(np.diff(x) <= 0.0)
    beside[wall] -= 2 * SAME_PLACE
    beside[wall + 1] += 2 * SAME_PLACE
    return thickness_at(profile, beside)


@dataclass(frozen=True, slots=True)
class Pass:
    """One run of a router between two stops.

    Attributes
    ----------
    depth : float
        Setting of the cutter under the uncut underside. [m]
    start, end : float
        Wood touched, from the left end. [m]
    first_stop, last_stop : float
        Middle of the cutter at its stops. [m]
    to_size : bool
        Whether the floor is then finished; otherwise some wood is left for the drum or plane.
    """

    depth: float
    start: float
    end: float
    first_stop: float
    last_stop: float
    to_size: bool


def router_passes(profile: Profile, *, cutter: float) -> tuple[Pass, ...]:
    """Level runs of a flat cutter that come near the underside and never pass it.

    Level floors are cut to size; over a curved underside `LEFT_TO_SAND` stays on, or more.

    Parameters
    ----------
    profile : Profile
        Underside wanted.
    cutter : float
        Diameter of the flat cutter. [m]
    """
    if not cutter > 0.0:
        raise InputError(f"router bit of {cutter / MM:g} mm: give its diameter")
    x, h = underside(profile)
    stock = float(profile.stock.real)
    level_floors = floors(profile)
    allowed = stock - h - LEFT_TO_SAND
    for floor in level_floors:
        inside = (x >= floor.start - SAME_PLACE) & (x <= floor.end + SAME_PLACE)
        inside &= np.abs(h - floor.thickness) < SAME_PLACE
        allowed[inside] = stock - floor.thickness
    most = float(allowed.max(initial=0.0))
    levels = {round(stock - floor.thickness, 9) for floor in level_floors}
    rounds = int(most / DEEPEST_PASS + 1e-9)
    levels |= {round(k * DEEPEST_PASS, 9) for k in range(1, rounds + 1)}
    # the last pass goes as deep as the cutter fits, in tenths as a router is set
    levels.add(math.floor(_deepest(x, allowed, cutter) / (0.1 * MM) + 1e-6) * 0.1 * MM)
    levels = {level for level in levels if level <= most + SAME_PLACE}
    passes: list[Pass] = []
    for depth in _thinned(levels, level_floors, stock):
        for start, end in _stretches(x, allowed, depth - SAME_PLACE):
            if end - start >= cutter - SAME_PLACE:
                exact = any(
                    abs(stock - f.thickness - depth) < SAME_PLACE
                    and f.start >= start - SAME_PLACE
                    and f.end <= end + SAME_PLACE
                    for f in level_floors
                )
                half = cutter / 2
                passes.append(Pass(depth, start, end, start + half, end - half, exact))
    return tuple(passes)


def _thinned(levels: set[float], exact: tuple[Floor, ...], stock: float) -> list[float]:
    """Levels from shallow to deep without passes that take next to nothing; floors stay."""
    floors_at = [stock - floor.thickness for floor in exact]
    kept: list[float] = []
    for level in sorted(levels):
        floor = any(abs(at - level) < SAME_PLACE for at in floors_at)
        spare = floor or all(abs(at - level) > LEAST_PASS for at in floors_at)
        before = kept[-1] if kept else 0.0
        if spare and level > LEAST_PASS and (floor or level - before > LEAST_PASS):
            kept.append(level)
    return kept


def _deepest(x: Array, allowed: Array, cutter: float) -> float:
    """Greatest depth at which the cutter fits between the ends of a run. [m]"""
    low, high = 0.0, float(allowed.max(initial=0.0))
    for _ in range(24):
        level = (low + high) / 2
        fits = any(end - start >= cutter for start, end in _stretches(x, allowed, level))
        low, high = (level, high) if fits else (low, level)
    return low


@dataclass(frozen=True, slots=True)
class Left:
    """Wood that the passes leave over the underside, to be sanded or scraped off.

    Attributes
    ----------
    middle : float
        In the middle of the bar. [m]
    most, at : float
        Most of it, and where, from the left end. [m]
    """

    middle: float
    most: float
    at: float


def left_by(profile: Profile, passes: Sequence[Pass], there: Profile | None = None) -> Left:
    """Wood left over the underside once all passes are cut.

    Parameters
    ----------
    profile : Profile
        Underside wanted.
    passes : sequence of Pass
    there : Profile, optional
        The bar before them, where other tools have been at it; uncut unless given.
    """
    x, h = underside(profile)
    cut = np.zeros_like(x)
    if there is not None:
        cut = profile.stock.real - thickness_beside(there, x)
    for run in passes:
        inside = (x >= run.start - SAME_PLACE) & (x <= run.end + SAME_PLACE)
        cut[inside] = np.maximum(cut[inside], run.depth)
    rest = profile.stock.real - h - cut
    worst = int(np.argmax(rest))
    middle = float(np.interp(profile.length / 2, x, rest))
    return Left(max(middle, 0.0), max(float(rest[worst]), 0.0), float(x[worst]))


def _stretches(x: Array, allowed: Array, level: float) -> list[tuple[float, float]]:
    """Stretches where at least `level` may be cut, ends by straight lines between points."""
    inside = np.r_[False, allowed >= level, False].astype(int)
    starts, ends = np.flatnonzero(np.diff(inside) == 1), np.flatnonzero(np.diff(inside) == -1) - 1
    found = []
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        left = _crossing(x, allowed, first, first - 1, level)
        right = _crossing(x, allowed, last, last + 1, level)
        found.append((left, right))
    return found


def _crossing(x: Array, allowed: Array, inner: int, outer: int, level: float) -> float:
    if not 0 <= outer < x.size or abs(x[outer] - x[inner]) < SAME_PLACE:
        return float(x[inner])
    if allowed[inner] - allowed[outer] > 0.3 * MM:
        # the allowance itself jumps here (a floor ends): stay inside
        return float(x[inner])
    share = (allowed[inner] - level) / (allowed[inner] - allowed[outer])
    return float(x[inner] + share * (x[outer] - x[inner]))
