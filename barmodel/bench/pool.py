"""Cuts a maker can make on this bar, and what each does per millimetre of depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.cutmap import LightEffect
from barmodel.cuts import high_walls, walls_crossed
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter, find_cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

TRIAL = 0.1 * MM
"""Depth at which effects are taken. [m]"""
DEFAULT_CUTTERS = ("file10", "scraper20", "scraper40", "drum40")
"""What a maker is taken to have for the last cents unless he says otherwise (own choice)."""
TRAVELS = (0.06, 0.12, 0.22, 0.36)
"""Lengths of the cuts of a cutter that is moved along, over the length of the bar."""
GRID = 0.25 * MM
"""Distance of the places at which outlines are taken. [m]"""
EVERY = 8
"""Each so many of them, the wood that several cuts take together is looked at."""
SHALLOWNESS = 0.04
"""Most depth of one bite over the length of the cut: deeper is a notch, whose effect is less sure
and which shows. [1]"""
SHARE = 0.12
"""Most of the present thickness one bite takes. [1]"""
ALIKE = 0.7
"""Cuts are about as long when the shorter is at least so much of the longer. [1]"""
NEAR_END = 0.10
"""No cut of the plan comes closer to an end than this share of the length. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Possible cuts, n of them.

    Attributes
    ----------
    cuts : tuple of Shape
        Each at the trial depth.
    cutters : tuple of Cutter
        What each is made with.
    effects : ndarray, shape (k, n)
        Shift of each mode. [cent/mm]
    area : ndarray, shape (n,)
        Side area removed. [mm²/mm]
    limit : ndarray, shape (n,)
        Deepest each may be made in one bite. [mm]
    cover : ndarray, shape (n, m)
        Depth of each over its deepest, at places along the left half of the bar. [1]
    thickness : ndarray, shape (m,)
        Of the bar there. [m]
    """

    cuts: tuple[Shape, ...]
    cutters: tuple[Cutter, ...]
    effects: Array
    area: Array
    limit: Array
    cover: Array
    thickness: Array

    def cut(self, index: int, depth_mm: float, *, nearer: float = 0.0) -> Shape:
        """Return one of the cuts at a depth [mm], so much nearer to the left end. [m]"""
        start, end = self.cuts[index].extent
        cutter = self.cutters[index]
        depth = depth_mm * MM
        return cutter.cut(
            at=(start + end) / 2 - nearer,
            depth=depth,
            width=max(end - start, cutter.least_width(depth)),
            mirror=self.cuts[index].mirror,
        )

    def without(self, indices: Sequence[int]) -> Pool:
        """Return the pool with some cuts forbidden."""
        limit = self.limit.copy()
        limit[list(indices)] = 0.0
        return replace(self, limit=limit)

    def crowded(self, depths: Array) -> list[int]:
        """Cuts about as long as a deeper one of those used, and over it by more than half.

        The programme likes to share a cut between neighbouring stations where one would do.

        Parameters
        ----------
        depths : ndarray, shape (n,)
            Depths of a plan, zero for what is not used.
        """
        edges = np.array([cut.extent for cut in self.cuts])
        wide = edges[:, 1] - edges[:, 0]
        kept: list[int] = []
        over = np.zeros(depths.size, dtype=bool)
        for j in np.argsort(-depths):
            if depths[j] <= 0.0 or over[j]:
                continue
            common = np.minimum(edges[:, 1], edges[j, 1]) - np.maximum(edges[:, 0], edges[j, 0])
            alike = np.minimum(wide, wide[j]) > ALIKE * np.maximum(wide, wide[j])
            near = alike & (common > 0.5 * np.minimum(wide, wide[j]) + 1e-9)
            near[j] = False
            over |= near
            kept.append(int(j))
        if not np.any(over & (depths > 0.0)):
            return []
        return [int(j) for j in np.flatnonzero(over) if j not in kept]


def join(pools: Sequence[Pool]) -> Pool:
    """Put pools of several cutters together."""
    return Pool(
        cuts=tuple(cut for pool in pools for cut in pool.cuts),
        cutters=tuple(cutter for pool in pools for cutter in pool.cutters),
        effects=np.concatenate([pool.effects for pool in pools], axis=1),
        area=np.concatenate([pool.area for pool in pools]),
        limit=np.concatenate([pool.limit for pool in pools]),
        cover=np.concatenate([pool.cover for pool in pools]),
        thickness=pools[0].thickness,
    )


def default_cutters() -> tuple[Cutter, ...]:
    """Cutters planned with unless the maker names his own."""
    return tuple(find_cutter(name) for name in DEFAULT_CUTTERS)


def pool_of(
    effect: LightEffect,
    cutter: Cutter,
    *,
    keep: float = LEAST_THICKNESS,
    told: Bar | None = None,
) -> Pool:
    """List the cuts of one cutter on a bar, mirror pairs and one in the middle.

    Parameters
    ----------
    effect : LightEffect
        The bar and what light cuts do to it.
    cutter : Cutter
    keep : float
        Thickness that must remain. [m]
    told : Bar, optional
        The bar by its cuts as written down, where that is not quite the bar as it most likely
        is: no less may remain of either.
    """
    bar = effect.bar
    length = bar.blank.length
    cuts = [cut for width in _widths(bar, cutter) for cut in _stations(bar, cutter, width)]
    cuts += _whole_floors(bar, cutter)
    step = length / np.ceil(length / GRID)
    x = step * (np.arange(round(length / step)) + 0.5)
    outlines = np.stack([_outline(cut, x) for cut in cuts])
    thickness = bar.profile.thickness(x).real
    if told is not None:
        thickness = np.minimum(thickness, told.profile.thickness(x).real)
    places = np.arange(0, x.size // 2 + 1, EVERY)
    thinnest = np.where(outlines > 0.0, thickness, np.inf).min(axis=1)
    widths = np.array([end - start for start, end in (cut.extent for cut in cuts)])
    across = np.array([bool(walls_crossed(bar, cut)) for cut in cuts])
    limit = np.minimum(SHALLOWNESS * widths, np.minimum(SHARE * thinnest, thinnest - keep))
    return Pool(
        cuts=tuple(cuts),
        cutters=(cutter,) * len(cuts),
        effects=effect.at(x) @ outlines.T * (step * MM / TRIAL),
        area=outlines.sum(axis=1) * (step / TRIAL / MM),
        limit=np.where(across, 0.0, np.maximum(limit, 0.0)) / MM,
        cover=outlines[:, places] / TRIAL,
        thickness=thickness[places],
    )


def _outline(cut: Shape, x: Array) -> Array:
    """Depth of a cut at places that lie evenly over the bar, shape as x. [m]"""
    depth = np.zeros_like(x)
    for piece in cut.pieces():
        inside = (x >= piece.start.real) & (x <= piece.end.real)
        depth[inside] = piece.depth(x[inside]).real
    return np.maximum(depth, depth[::-1]) if cut.mirror else depth


def _widths(bar: Bar, cutter: Cutter) -> list[float]:
    """Lengths along the bar that the cutter is used with. [m]"""
    least = cutter.least_width(TRIAL)
    if cutter.kind == "scraper":
        return [cutter.width]
    travelled = [round(share * bar.blank.length / MM) * MM for share in TRAVELS]
    own = [cutter.width] if cutter.width else []
    return own + [width for width in travelled if width >= 2.0 * least]


def _stations(bar: Bar, cutter: Cutter, width: float) -> list[Shape]:
    """Trial cuts of one length, at whole millimetres: pairs that do not overlap, a middle one."""
    length = bar.blank.length
    middle = length / 2
    step = max(np.ceil(width / 5 / MM), 4.0) * MM
    first = np.ceil((NEAR_END * length + width / 2) / MM) * MM
    places = np.arange(first, middle - width / 2 + 1e-9, step)
    pairs = [cutter.cut(at=float(at), depth=TRIAL, width=width, mirror=True) for at in places]
    return [*pairs, cutter.cut(at=middle, depth=TRIAL, width=width)]


def _whole_floors(bar: Bar, cutter: Cutter) -> list[Shape]:
    """Trial cuts that deepen a floor from wall to wall: pairs, and the one over the middle."""
    if cutter.kind == "scraper":
        return []
    length, out = bar.blank.length, []
    for start, end in pairwise(high_walls(bar).tolist()):
        at, over_middle = (start + end) / 2, abs(start + end - length) < 0.1 * MM
        beyond = at > length / 2 and not over_middle
        if not beyond and end - start >= cutter.least_width(TRIAL):
            mirror = not over_middle
            out.append(cutter.cut(at=at, depth=TRIAL, width=end - start, mirror=mirror))
    return out
