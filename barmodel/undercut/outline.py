"""The side view of a bar in numbers: its underside, floors, walls and thinnest place."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from barmodel.undercut.piece import Array
from barmodel.undercut.profile import SAME_PLACE, Profile
from barmodel.units import MM

MOST_WALLS = 8
"""A bar with more of them inside is one that has been tuned; a drawing cannot mark them all."""


def underside(profile: Profile, *, step: float = 0.5 * MM) -> tuple[Array, Array]:
    """Points of the underside, walls upright: x and thickness h(x), shape (n,). [m], [m]

    Every kink and wall is a point, and a wall is two; between them points lie at most `step`
    apart.
    """
    xs, hs = [], []
    edges = profile.edges
    for segment, (left, right) in enumerate(itertools.pairwise(edges)):
        count = max(2, int(np.ceil((right - left) / step)) + 1)
        x = np.linspace(left, right, count)
        xs.append(x)
        hs.append(profile.thickness(x, segment).real)
    x, h = np.concatenate(xs), np.concatenate(hs)
    fresh = np.r_[True, (np.diff(x) > 0.0) | (np.abs(np.diff(h)) > SAME_PLACE)]
    return x[fresh], h[fresh]


def cut_span(profile: Profile) -> tuple[float, float] | None:
    """First and last position where wood has been cut away, or None on a plain bar. [m]"""
    x, h = underside(profile)
    cut = np.flatnonzero(profile.stock.real - h > 1e-6)
    if cut.size == 0:
        return None
    # one sample out: the start of a smooth arch is where its depth is still nought
    return float(x[max(cut[0] - 1, 0)]), float(x[min(cut[-1] + 1, x.size - 1)])


def thinnest(profile: Profile) -> tuple[float, float]:
    """Middle of the first thinnest stretch, and the thickness there. [m], [m]"""
    x, h = underside(profile)
    thin = h <= h.min() + 1e-6
    first = int(np.argmax(thin))
    rest = np.flatnonzero(~thin[first:])
    last = first + int(rest[0]) - 1 if rest.size else x.size - 1
    return float((x[first] + x[last]) / 2), float(h.min())


@dataclass(frozen=True, slots=True)
class Floor:
    """A level stretch of the underside between two places. [m]"""

    start: float
    end: float
    thickness: float


def floors(profile: Profile) -> tuple[Floor, ...]:
    """Level stretches that have been cut, neighbours at the same height joined."""
    found: list[Floor] = []
    for i in range(profile.edges.size - 1):
        start, end = float(profile.edges[i]), float(profile.edges[i + 1])
        h = profile.thickness(np.linspace(start, end, 9), i).real
        if np.ptp(h) > SAME_PLACE or profile.stock.real - h[0] < SAME_PLACE:
            continue
        level = float(h[0])
        if found and found[-1].end == start and abs(found[-1].thickness - level) < SAME_PLACE:
            found[-1] = Floor(found[-1].start, end, level)
        else:
            found.append(Floor(start, end, level))
    return tuple(found)


def inner_walls(profile: Profile) -> list[float]:
    """Walls between those where the cut begins and ends; none if there are too many to mark. [m]"""
    span = cut_span(profile) or ()
    found = [float(x) for x in profile.walls]
    found = [x for x in found if all(abs(x - end) > 0.1 * MM for end in span)]
    return found if len(found) <= MOST_WALLS else []
