"""The three bars of this case, and hexahedra for them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.undercut import Arch, Pocket
from barmodel.units import GPA, MM
from barmodel.wood import Wood
from validation.kit.hexahedra import Array, Grid

PADAUK_LIKE = Wood(
    density=740.0,
    e_long=13.2 * GPA,
    e_width=0.95 * GPA,
    e_thick=1.55 * GPA,
    g_long_width=0.98 * GPA,
    g_long_thick=1.25 * GPA,
    g_width_thick=0.33 * GPA,
    nu_long_width=0.47,
    nu_long_thick=0.38,
    nu_width_thick=0.40,
)
DENSE_WOOD = Wood(
    density=960.0,
    e_long=20.5 * GPA,
    e_width=1.9 * GPA,
    e_thick=2.7 * GPA,
    g_long_width=2.2 * GPA,
    g_long_thick=2.8 * GPA,
    g_width_thick=0.75 * GPA,
    nu_long_width=0.43,
    nu_long_thick=0.36,
    nu_width_thick=0.37,
)
ALLOY = Wood.from_isotropic(e=70.5 * GPA, nu=0.33, density=2710.0)

LOPSIDED = Bar(
    blank=Blank(length=360 * MM, width=52 * MM, thickness=21 * MM, wood=PADAUK_LIKE),
    undercut=(Arch(start=70 * MM, end=250 * MM, depth=11 * MM, fullness=2.0),),
)
POCKETED = Bar(
    blank=Blank(length=330 * MM, width=48 * MM, thickness=20 * MM, wood=DENSE_WOOD),
    undercut=(Pocket(start=105 * MM, end=225 * MM, depth=8 * MM),),
)
METAL = Bar(
    blank=Blank(length=270 * MM, width=46 * MM, thickness=13 * MM, wood=ALLOY),
    undercut=(Arch(start=60 * MM, end=210 * MM, depth=6.5 * MM, fullness=3.0),),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """A bar and its two meshes, coarse and fine.

    Attributes
    ----------
    title : str
        The bar in words.
    bar : Bar
    grid : callable
        Mesh at level 0 (coarse, also run live), 1 or 2; smooth bars have a level 3 for benchmarks.
    gain : float
        Ratio of the errors of levels 1 and 2, from the order of convergence.
    """

    title: str
    bar: Bar
    grid: Callable[[int], Grid]
    gain: float


def _across(bar: Bar, count: int) -> Array:
    """Edges from the middle to the side, closer at the side where torsion shears most."""
    return bar.blank.width / 2 * np.sin(np.pi / 2 * np.linspace(0.0, 1.0, count + 1)) ** 0.9


def _arched(bar: Bar, level: int) -> Grid:
    """Even columns in the three segments; sizes of levels 1 and 2, 2 and 3 as 3 to 2."""
    counts, arch, layers = ((3, 8, 2), (6, 16, 2), (9, 24, 3), (14, 36, 4))[level]
    edges = bar.profile.edges  # the two ends of the arch, and its middle where |u|³ has a kink
    bounds = np.array([edges[0], edges[1], edges[-2], edges[-1]])
    pieces = [
        np.linspace(a, b, n + 1)[1:]
        for a, b, n in zip(bounds, bounds[1:], (counts, arch, counts), strict=False)
    ]
    return Grid(
        x=np.concatenate([[0.0], *pieces]),
        y=_across(bar, (2, 4, 4, 4)[level]),
        t=np.linspace(0.0, 1.0, layers + 1),
        upper=lambda x: bar.profile.thickness(x),
    )


def _towards(wall: float, reach: float, first: float, growth: float) -> Array:
    """Distances from a wall: `first`, then growing, the last one at `reach`. [m]"""
    sizes = [first]
    while sum(sizes) < reach:
        sizes.append(sizes[-1] * growth)
    return np.cumsum(sizes) * reach / sum(sizes)


def _walled(bar: Bar, level: int) -> Grid:
    """Columns and layers graded towards the corners of a pocket; levels 1 and 2 halve the first."""
    first, growth = ((2.5 * MM, 3.5), (0.4 * MM, 2.2), (0.1 * MM, 2.2))[level]
    blank, (left, right) = bar.blank, bar.profile.walls
    floor = float(bar.profile.thickness(np.array([blank.length / 2]))[0])
    widest = (20 * MM, 14 * MM, 11 * MM)[level]
    x = np.concatenate(
        [
            _span(0.0, left, first, growth, widest, at_end=True),
            _span(left, (left + right) / 2, first, growth, widest, at_end=False),
        ]
    )
    x = np.unique(np.round(np.concatenate([x, blank.length - x]), 9))
    upper = 1.0 - _towards(0.0, floor, first, growth)[::-1] / floor
    lower = 1.0 + _towards(0.0, blank.thickness - floor, first, growth) / (blank.thickness - floor)
    return Grid(
        x=x,
        y=_across(bar, (2, 3, 4)[level]),
        t=np.concatenate([upper, [1.0], lower]),
        upper=lambda x: np.full_like(x, floor),
        whole=lambda x: np.full_like(x, blank.thickness),
        has_lower=lambda x: (x < left) | (x > right),
    )


def _span(a: float, b: float, first: float, growth: float, widest: float, *, at_end: bool) -> Array:
    """Edges from a to b, growing away from the wall at b (or a) up to `widest`."""
    sizes = [first]
    while sum(sizes) < b - a:
        sizes.append(min(sizes[-1] * growth, widest))
    away = np.concatenate([[0.0], np.cumsum(sizes) * (b - a) / sum(sizes)])
    return b - away[::-1] if at_end else a + away


SUBJECTS = {
    "lopsided": Subject(
        title="360 × 52 × 21 mm, light wood, arch from 70 to 250 mm: unsymmetric",
        bar=LOPSIDED,
        grid=lambda level: _arched(LOPSIDED, level),
        gain=1.5**4,
    ),
    "pocketed": Subject(
        title="330 × 48 × 20 mm, dense wood, pocket 8 mm deep: vertical walls",
        bar=POCKETED,
        grid=lambda level: _walled(POCKETED, level),
        gain=4.0,
    ),
    "metal": Subject(
        title="270 × 46 × 13 mm, aluminium, full arch",
        bar=METAL,
        grid=lambda level: _arched(METAL, level),
        gain=1.5**4,
    ),
}
