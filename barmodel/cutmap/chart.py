"""The cut map: cents per millimetre along the bar, for one cutter.

Light cuts come from one solution (`effect`). For a stated depth each station is solved anew with
the cut in it: a groove with walls unloads the wood beside it and acts up to twice as much as
the wood it takes away. Bars alike on both halves, cut alike, are solved for one half of the
stations.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.cutmap.effect import VERTICAL, LightEffect, light_effect, solve_modes
from barmodel.cuts import check_cut, walls_crossed
from barmodel.errors import GeometryError, InputError
from barmodel.modes import still_points
from barmodel.pitch import cents
from barmodel.solid import Order
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

LIGHT_DEPTH = 0.1 * MM
"""Depth at which a light cut's outline is taken; matters for drums, whose cut widens with depth."""
TRIM = 1.0 * MM
"""Shortening of each end that `CutMap.trim_cents_per_mm` is taken from. [m]"""
AS_STRONG = 0.005
"""Stations so much alike are equally strong: of a mirrored pair the left one is named. [1]"""
FINE = 181
"""Places at which the light map is looked through for zero points."""
DIFFERENCES: Order = "quick"
"""Mesh of solutions of which only the difference counts: what it is wrong by drops out."""
WORKERS = 2
"""Stations solved at the same time."""


@dataclass(frozen=True, slots=True, eq=False)
class CutMap:
    """Effect of one cutter along the bar.

    Attributes
    ----------
    bar : Bar
    cutter : Cutter
    width : float or None
        Length of the cut along the bar when it is more than the cutter's own. [m]
    depth : float or None
        Depth of the cuts; None for the limit of light cuts. [m]
    mirror : bool
        Whether each cut is made on both halves.
    labels : tuple of str
        Modes, one row each.
    hz : ndarray, shape (k,)
        Frequencies before the cut. [Hz]
    x : ndarray, shape (n,)
        Middle of the cut, of the left one in a pair. [m]
    cents_per_mm : ndarray, shape (k, n)
        Shift over depth; NaN where the cut cannot be made. [cent/mm]
    zero_points : tuple of ndarray
        Where the cut leaves a mode alone. [m]
    nodes : tuple of ndarray
        Where a mode is still: another thing than `zero_points`. [m]
    strongest : ndarray, shape (k,)
        Where the cut lowers a mode most. [m]
    shape_x, shapes : ndarray, shapes (m,) and (k, m)
        Motion of each mode, the largest ±1. [m], [1]
    trim_cents_per_mm : ndarray, shape (k,)
        Shift for each millimetre taken off both ends (by a new solution). [cent/mm]
    model : str
        Where the numbers are from, in words.
    """

    bar: Bar
    cutter: Cutter
    width: float | None
    depth: float | None
    mirror: bool
    labels: tuple[str, ...]
    hz: Array
    x: Array
    cents_per_mm: Array
    zero_points: tuple[Array, ...]
    nodes: tuple[Array, ...]
    strongest: Array
    shape_x: Array
    shapes: Array
    trim_cents_per_mm: Array
    model: str

    def room(self, keep: float) -> Array:
        """Depth that the bar has to give at each station, `keep` [m] left, shape (n,). [m]"""
        start, end = self.cutter.cut(
            at=0.0, depth=self.depth or LIGHT_DEPTH, width=self.width
        ).extent
        under = self.x[:, None] + np.linspace(start, end, 23)[1:-1]
        thinnest = self.bar.profile.thickness(under).real.min(axis=1)
        return np.asarray(np.maximum(thinnest - keep, 0.0))


def stations(bar: Bar, width: float, count: int) -> Array:
    """Places for cuts of a width, evenly over the bar from end to end, shape (count,). [m]"""
    if count < 2:
        raise InputError(f"{count} stations make no map; take at least 2")
    if width >= bar.blank.length:
        raise GeometryError(
            f"a cut of {width / MM:g} mm is as long as the bar ({bar.blank.length / MM:g} mm); "
            "take a narrower cutter"
        )
    return np.linspace(width / 2, bar.blank.length - width / 2, count)


def cut_map(
    bar: Bar,
    cutter: Cutter,
    *,
    depth: float | None = None,
    width: float | None = None,
    mirror: bool = True,
    labels: Sequence[str] = VERTICAL,
    x: Array | None = None,
    count: int = 60,
    keep: float = LEAST_THICKNESS,
    progress: Callable[[], None] | None = None,
) -> CutMap:
    """Compute what a cutter does to the modes, along the bar.

    Parameters
    ----------
    bar : Bar
        The bar as it is.
    cutter : Cutter
    depth : float, optional
        Depth of the cuts; the limit of light cuts by default. [m]
    width : float, optional
        Length of each cut along the bar, if the cutter travels. [m]
    mirror : bool
        Cut both halves alike.
    labels : sequence of str
        Modes, as V1, T1, La1.
    x : ndarray, optional
        Stations; otherwise `count` of them from end to end. [m]
    keep : float
        Least thickness; stations where the cut would leave less, or lie across a wall, are
        NaN. [m]
    progress : callable, optional
        Called after each station solved.
    """
    deep = LIGHT_DEPTH if depth is None else depth
    outline = cutter.cut(at=0.0, depth=deep, width=width)
    start, end = outline.extent
    places = stations(bar, end - start, count) if x is None else np.asarray(x, dtype=float)
    effect = light_effect(bar, labels)
    cut_at = partial(_cut_at, cutter, deep, width, mirror)
    cuts = [cut_at(float(at)) for at in places]
    if depth is None:
        effects = np.stack([effect.shift(cut) for cut in cuts], axis=1) / (LIGHT_DEPTH / MM)
        fine = np.linspace(places.min(), places.max(), max(FINE, places.size))
        curve = np.stack([effect.shift(cut_at(float(at))) for at in fine], axis=1)
        zeros = tuple(_zeros(fine, row) for row in curve)
        model = "solid, limit of light cuts from one solution"
    else:
        effects = _solved(bar, cuts, places, labels, keep, progress) / (depth / MM)
        if not np.isfinite(effects).any():
            raise GeometryError(
                f"{cutter.name}: no cut {depth / MM:g} mm deep leaves {keep / MM:g} mm of this "
                "bar, wherever it is made; ask for a shallower one"
            ).if_thinner()
        known = [np.isfinite(row) for row in effects]
        zeros = tuple(_zeros(places[ok], row[ok]) for ok, row in zip(known, effects, strict=True))
        model = f"solid, solved again with each cut ({DIFFERENCES} mesh)"
    effects[:, [bool(walls_crossed(bar, cut)) for cut in cuts]] = np.nan
    zeros = tuple(
        np.array([at for at in row if not walls_crossed(bar, cut_at(float(at)))]) for row in zeros
    )
    trimmed = _hz(bar.trimmed(left=TRIM, right=TRIM), labels)
    trim = cents(trimmed, _hz(bar, labels)) / (TRIM / MM)
    return _described(
        effect, cutter, places, effects, width=width, depth=depth, mirror=mirror, zeros=zeros,
        trim=trim, model=model,
    )  # fmt: skip


def _cut_at(cutter: Cutter, depth: float, width: float | None, mirror: bool, at: float) -> Shape:
    return cutter.cut(at=at, depth=depth, width=width, mirror=mirror)


def _described(
    effect: LightEffect,
    cutter: Cutter,
    x: Array,
    effects: Array,
    *,
    width: float | None,
    depth: float | None,
    mirror: bool,
    zeros: tuple[Array, ...],
    trim: Array,
    model: str,
) -> CutMap:
    """Read off the curves what a maker looks for."""
    shapes = np.stack([mode.motion / np.abs(mode.motion).max() for mode in effect.modes])
    return CutMap(
        bar=effect.bar,
        cutter=cutter,
        width=width,
        depth=depth,
        mirror=mirror,
        labels=effect.labels,
        hz=effect.hz,
        x=x,
        cents_per_mm=effects,
        zero_points=zeros,
        nodes=tuple(mode.nodes for mode in effect.modes),
        strongest=np.array([_strongest(x, row) for row in effects]),
        shape_x=effect.solved.x,
        shapes=shapes,
        trim_cents_per_mm=trim,
        model=model,
    )


def _strongest(x: Array, effects: Array) -> float:
    """Station with the largest fall, of those as strong the first; NaN if no cut can be. [m]"""
    known = np.isfinite(effects)
    if not known.any():
        return float("nan")
    least = float(effects[known].min())
    return float(x[known][effects[known] <= least + AS_STRONG * abs(least)][0])


def _zeros(x: Array, effects: Array) -> Array:
    """Zero crossings, by a cubic through the stations where there are enough of them. [m]"""
    if x.size < 4:
        return still_points(x, effects) if x.size > 1 else np.empty(0)
    from scipy.interpolate import CubicSpline  # a third of a second to load

    roots = CubicSpline(x, effects).roots(extrapolate=False)
    return np.asarray(np.sort(roots[np.isfinite(roots)]))


def _solved(
    bar: Bar,
    cuts: Sequence[Shape],
    places: Array,
    labels: Sequence[str],
    keep: float,
    progress: Callable[[], None] | None,
) -> Array:
    """Shift by each cut, every one solved; shape (k, n). [cent]"""
    before = _hz(bar, labels)
    twin = _twins(bar, cuts, places)

    def shift(index: int) -> Array:
        try:
            check_cut(bar, cuts[index], keep=keep)
        except GeometryError:
            return np.full(len(labels), np.nan)
        found = cents(_hz(bar.with_cuts(cuts[index]), labels), before)
        if progress is not None:
            progress()
        return np.asarray(found)

    own = sorted(set(twin))
    with ThreadPoolExecutor(WORKERS) as pool:
        results = dict(zip(own, pool.map(shift, own), strict=True))
    return np.stack([results[index] for index in twin], axis=1)


def _hz(bar: Bar, labels: Sequence[str]) -> Array:
    solved = solve_modes(bar, labels, order=DIFFERENCES)
    return np.array([solved[label].hz for label in labels])


def _twins(bar: Bar, cuts: Sequence[Shape], places: Array) -> list[int]:
    """For each station, the one whose solution serves it too: its mirror image, or itself."""
    if not bar.profile.symmetric:
        paired = all(cut.mirror for cut in cuts)
        if not paired:
            return list(range(len(cuts)))
    mirrored = bar.blank.length - places
    twins = []
    for index, place in enumerate(places):
        match = int(np.abs(mirrored - place).argmin())
        alike = abs(mirrored[match] - place) < 1e-9
        twins.append(min(index, match) if alike else index)
    return twins
