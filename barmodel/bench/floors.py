"""The floors that cuts leave, from one end of the underside to the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from barmodel.bar import Bar
from barmodel.undercut import Profile, Shape
from barmodel.units import MM

FLAT = 2e-6
"""Depths along a floor differ by no more where it is flat. [m]"""
STATION = 10 * MM
"""Distance of the places at which an underside that is not flat is told. [m]"""
_ON = 1e-9
"""What tells the floor beside a wall from the one beyond it. [m]"""
_INSIDE = np.linspace(0.001, 0.999, 9)


@dataclass(frozen=True, slots=True)
class Floor:
    """A part of the underside: one flat floor, or one place of a curve.

    Attributes
    ----------
    start, end : float
        From the left end; the same for a place of a curve. [m]
    depth : float
        From the uncut underside. [m]
    thickness : float
        What remains. [m]
    short : float
        Depth left to the design there. [m]
    """

    start: float
    end: float
    depth: float
    thickness: float
    short: float


def floors(bar: Bar, design: Sequence[Shape]) -> tuple[Floor, ...]:
    """List the floors of a bar, left to right: flat ones whole, curves at every so many mm.

    Of a bar that is alike on both halves only the left one is told, up to and with the floor over
    its middle.

    Parameters
    ----------
    bar : Bar
        With the cuts in it.
    design : sequence of Shape
        The undercut aimed at, into the blank.

    Examples
    --------
    >>> from barmodel.bar import Blank
    >>> from barmodel.undercut import Pocket
    >>> from barmodel.wood import species
    >>> blank = Blank(length=0.4, width=0.06, thickness=0.022, wood=species("padauk").wood())
    >>> steps = Pocket(start=0.1, end=0.3, depth=5e-3), Pocket(start=0.15, end=0.25, depth=4e-3)
    >>> for one in floors(Bar(blank=blank, undercut=steps), steps):
    ...     print(f"{one.start / MM:.0f}–{one.end / MM:.0f}: {one.depth / MM:.1f} deep")
    100–150: 5.0 deep
    150–250: 9.0 deep
    """
    goal = Bar(blank=bar.blank, undercut=tuple(design)).profile
    length, stock = bar.blank.length, bar.blank.thickness
    pieces = _pieces(bar.profile)
    edges = np.array([edge for start, end, _ in pieces for edge in (start, end)])
    alike = bool(np.allclose(edges + edges[::-1], length, atol=1e-6))
    out: list[Floor] = []
    for start, end, flat in pieces:
        if alike and start > length / 2 - 1e-9:
            break
        last = min(end, length / 2) if alike and not flat else end
        for place in np.array([(start + last) / 2]) if flat else _stations(start, last):
            deep, aim = (float(p.depth(np.array([place])).real[0]) for p in (bar.profile, goal))
            between = (start, end) if flat else (float(place), float(place))
            out.append(Floor(*between, depth=deep, thickness=stock - deep, short=aim - deep))
    return tuple(out)


def _pieces(profile: Profile) -> list[tuple[float, float, bool]]:
    """Stretches of the underside that are cut, from where to where, and whether flat. [m]

    Neighbours at the same level are one, and so are curves with no wall between them.
    """
    out: list[tuple[float, float, bool]] = []
    level = np.nan
    for start, end in pairwise(profile.edges.tolist()):
        depth = profile.depth(start + _INSIDE * (end - start)).real
        if depth.max() <= FLAT:
            continue
        flat = bool(np.ptp(depth) <= FLAT)
        goes_on = bool(out) and out[-1][1] == start and out[-1][2] == flat
        if flat:
            goes_on &= abs(depth[0] - level) <= FLAT
        else:
            goes_on &= not np.isclose(profile.walls, start, atol=_ON).any()
        level = depth[0]
        if goes_on:
            start = out.pop()[0]
        out.append((start, end, flat))
    return out


def _stations(start: float, end: float) -> np.ndarray:
    """Both edges, and whole centimetres between them."""
    inside = np.arange(np.ceil((start + 1e-9) / STATION), end / STATION) * STATION
    inside = inside[(inside > start + 1.5 * MM) & (inside < end - 1.5 * MM)]
    return np.concatenate([[start + _ON], inside, [end - _ON]])
