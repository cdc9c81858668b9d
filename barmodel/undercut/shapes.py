"""The shapes that are cut out of the underside of a bar.

A shape knows its own depth formula and nothing of the bar it is cut into; `profile` puts shapes
together. x runs along the bar from its left end. All lengths in metres.

To add a shape: subclass `Shape`, name its numbers in `parameters`, give `build` (pieces from
those numbers, analytic in every one of them: see `piece`), say how deep it is and what it is at
another depth, and teach `barmodel.files` its fields.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, fields, replace
from typing import Any, ClassVar, Literal, Self, TypeAlias

import numpy as np

from barmodel.errors import GeometryError
from barmodel.undercut.piece import COMPLEX_STEP, Piece, Values
from barmodel.units import MM

Reference: TypeAlias = Literal["surface", "blank"]
Section: TypeAlias = Literal["flat", "round", "dished"]

_TINY = 1e-12
"""Keeps powers and roots off their branch points; far below any length that matters."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """What all shapes share.

    Attributes
    ----------
    mirror : bool
        The same cut on the other half as well; where the two overlap the deeper one counts.
    measured_from : {"surface", "blank"}
        Depth counts from the surface present before this cut, or from the uncut blank (then
        only what is deeper than the present surface takes wood away).
    axis : float, optional
        Plane about which `mirror` reflects; the middle of the bar unless one end has been
        trimmed since the cut. [m]
    """

    parameters: ClassVar[tuple[str, ...]] = ()
    mirror: bool = False
    measured_from: Reference = "surface"
    axis: float | None = None

    def __post_init__(self) -> None:
        if self.measured_from not in ("surface", "blank"):
            raise GeometryError(
                f"measured_from is {self.measured_from!r}; it must be 'surface' or 'blank'"
            )
        for name in self.parameters:
            _require_finite(type(self).__name__.lower(), name, getattr(self, name))

    @property
    def extent(self) -> tuple[float, float]:
        """First and last position the cut itself (not its mirror image) touches. [m]"""
        pieces = self.pieces()
        return min(p.start.real for p in pieces), max(p.end.real for p in pieces)

    @property
    def deepest(self) -> float:
        """Depth where the cut is deepest; shapes override this. [m]"""
        raise NotImplementedError

    def with_depth(self, depth: float) -> Self:
        """Return the same cut, as its tool would make it, at another depth above zero. [m]"""
        raise NotImplementedError

    def pieces(self, *, perturb: str | None = None) -> tuple[Piece, ...]:
        """Smooth stretches of this cut, without its mirror image.

        Parameters
        ----------
        perturb : str, optional
            Parameter that gets the imaginary complex step, for derivatives.
        """
        values = {name: getattr(self, name) for name in self.parameters}
        if perturb is not None:
            values[perturb] = values[perturb] + 1j * COMPLEX_STEP
        return self.build(**values)

    def build(self, **values: Any) -> tuple[Piece, ...]:
        """Pieces for the given parameter values; shapes override this."""
        raise NotImplementedError

    def shifted(self, distance: float) -> Self:
        """Return the same cut moved along the bar by `distance`. [m]"""
        moved = {
            f.name: getattr(self, f.name) + distance
            for f in fields(self)
            if f.name in ("start", "end", "at", "axis") and getattr(self, f.name) is not None
        }
        return replace(self, **moved)


def _require_finite(shape: str, name: str, value: float) -> None:
    if not math.isfinite(value):
        raise GeometryError(f"{shape}: {name} is {value}; it must be a finite number")


def _require_order(shape: str, start: float, end: float) -> None:
    if not start < end:
        raise GeometryError(
            f"{shape}: start {start / MM:g} mm is not before end {end / MM:g} mm; exchange them"
        )


def _require_positive(shape: str, name: str, value: float) -> None:
    if not value > 0.0:
        raise GeometryError(f"{shape}: {name} is {value / MM:g} mm; it must be above zero")


@dataclass(frozen=True, slots=True, kw_only=True)
class Arch(Shape):
    """Smooth arch: depth·(1 − |2(x − m)/w|^fullness), m its middle and w its width.

    Attributes
    ----------
    start, end : float
        Where the arch meets the underside. [m]
    depth : float
        Depth at the middle. [m]
    fullness : float
        Exponent, at least 1: 1 a roof, 2 a parabola, larger a flatter floor with steeper ends. [1]
    """

    parameters: ClassVar[tuple[str, ...]] = ("start", "end", "depth", "fullness")
    start: float
    end: float
    depth: float
    fullness: float = 2.0

    def __post_init__(self) -> None:
        Shape.__post_init__(self)
        _require_order("arch", self.start, self.end)
        _require_positive("arch", "depth", self.depth)
        if self.fullness < 1.0:
            raise GeometryError(f"arch: fullness is {self.fullness:g}; it must be at least 1")

    @property
    def deepest(self) -> float:
        """Depth at the middle. [m]"""
        return self.depth

    def with_depth(self, depth: float) -> Arch:
        """Return the same arch at another depth. [m]"""
        return replace(self, depth=depth)

    def build(self, **values: Any) -> tuple[Piece, ...]:
        """Two halves, since |u|^n is not smooth at the middle."""
        start, end, depth, n = (values[name] for name in self.parameters)
        middle, half = (start + end) / 2, (end - start) / 2

        def side(sign: float, x: Values) -> Values:
            u = np.asarray(sign * (x - middle) / half)
            u = u - np.minimum(u.real - _TINY, 0.0)
            return np.asarray(depth * (1.0 - np.exp(n * np.log(u))))

        return (
            Piece(start, middle, lambda x: side(-1.0, x)),
            Piece(middle, end, lambda x: side(+1.0, x)),
        )


def _round_end(distance: Values, depth: Any, radius: Any) -> Values:
    """Depth under a drum whose lowest point is `distance` further on: D − R + √(R² − s²)."""
    square = radius * radius - distance * distance
    square = square - np.minimum(square.real - (_TINY + 1e-6 * radius.real) ** 2, 0.0)
    return np.asarray(depth - radius + np.sqrt(square))


def drum_reach(depth: Any, radius: Any) -> Any:
    """Distance from a drum's lowest point to where it leaves the wood. [m], [m]

    √(2RD − D²), at most R, nothing where nothing is cut; analytic between.
    """
    if depth.real <= 0.0:
        return 0.0 * depth
    return radius if radius.real <= depth.real else np.sqrt(2 * radius * depth - depth * depth)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pocket(Shape):
    """Flat floor between two walls, or between the round ends a drum or round-nosed bit leaves.

    Attributes
    ----------
    start, end : float
        Outer limits of the pocket at the underside. [m]
    depth : float
        Depth of the floor. [m]
    corner_radius : float
        0 for vertical walls; else the radius of the round between wall and floor. A radius
        larger than the depth is a drum that was lowered and moved along. [m]
    """

    parameters: ClassVar[tuple[str, ...]] = ("start", "end", "depth", "corner_radius")
    start: float
    end: float
    depth: float
    corner_radius: float = 0.0

    def __post_init__(self) -> None:
        Shape.__post_init__(self)
        _require_order("pocket", self.start, self.end)
        _require_positive("pocket", "depth", self.depth)
        if self.corner_radius < 0.0:
            raise GeometryError("pocket: corner_radius is negative; it must be 0 or more")
        if self.corner_radius > 0.0:
            reach = float(drum_reach(self.depth, self.corner_radius))
            if 2 * reach > (self.end - self.start) * (1 + 1e-9):
                raise GeometryError(
                    f"pocket: a radius of {self.corner_radius / MM:g} mm needs "
                    f"{2 * reach / MM:.1f} mm of length at {self.depth / MM:g} mm depth, but the "
                    f"pocket is {(self.end - self.start) / MM:g} mm long; "
                    "widen it or cut a groove with section 'round'"
                )

    @property
    def deepest(self) -> float:
        """Depth of the floor. [m]"""
        return self.depth

    def with_depth(self, depth: float) -> Pocket:
        """Return the same pocket at another depth, at most where its two rounds meet. [m]"""
        half, radius = (self.end - self.start) / 2, self.corner_radius
        if half < radius:
            depth = min(depth, radius - math.sqrt(radius * radius - half * half))
        return replace(self, depth=depth)

    def build(self, **values: Any) -> tuple[Piece, ...]:
        """Floor, and a round at each end if there is a radius."""
        start, end, depth, radius = (values[name] for name in self.parameters)
        if radius.real == 0.0:
            return (_flat(start, end, depth),)
        reach = drum_reach(depth, radius)
        left, right = start + reach, end - reach
        return (
            Piece(start, left, lambda x: _round_end(left - x, depth, radius)),
            _flat(left, right, depth),
            Piece(right, end, lambda x: _round_end(x - right, depth, radius)),
        )


def _flat(start: Any, end: Any, depth: Any) -> Piece:
    return Piece(start, end, lambda x: depth + 0.0 * x)


@dataclass(frozen=True, slots=True, kw_only=True)
class Groove(Shape):
    """Narrow cut about one place.

    Attributes
    ----------
    at : float
        Middle of the groove. [m]
    width : float
        Length along the bar. A round groove is no wider than its drum reaches at this depth. [m]
    depth : float
        Depth at the middle. [m]
    section : {"flat", "round", "dished"}
        flat: vertical walls; round: arc of a drum of `radius`; dished: raised cosine,
        depth/2·(1 + cos(2π(x − at)/width)), as a scraper or file leaves it.
    radius : float
        Radius of the drum; only for `round`. [m]
    """

    parameters: ClassVar[tuple[str, ...]] = ("at", "width", "depth", "radius")
    at: float
    width: float
    depth: float
    section: Section = "flat"
    radius: float = 0.0

    def __post_init__(self) -> None:
        Shape.__post_init__(self)
        _require_positive("groove", "width", self.width)
        _require_positive("groove", "depth", self.depth)
        if self.section not in ("flat", "round", "dished"):
            raise GeometryError(
                f"groove: section {self.section!r} is unknown; use flat, round or dished"
            )
        if self.section == "round":
            _require_positive("groove", "radius", self.radius)

    @property
    def deepest(self) -> float:
        """Depth at the middle. [m]"""
        return self.depth

    def with_depth(self, depth: float) -> Groove:
        """Return the same groove at another depth; a drum's is as wide as the drum reaches. [m]"""
        width, reach = self.width, 2.0 * drum_reach(self.depth, self.radius)
        if self.section == "round" and width > reach * (1.0 - 1e-9):
            width = 2.0 * drum_reach(depth, self.radius)
        return replace(self, depth=depth, width=width)

    def build(self, **values: Any) -> tuple[Piece, ...]:
        """One piece; the walls, if any, are its ends."""
        at, width, depth, radius = (values[name] for name in self.parameters)
        if self.section == "round":
            reach = drum_reach(depth, radius)
            half = reach if reach.real <= width.real / 2 else width / 2
            return (Piece(at - half, at + half, lambda x: _round_end(x - at, depth, radius)),)
        start, end = at - width / 2, at + width / 2
        if self.section == "flat":
            return (_flat(start, end, depth),)
        wave = 2 * math.pi / width
        return (Piece(start, end, lambda x: depth / 2 * (1 + np.cos(wave * (x - at)))),)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table(Shape):
    """Measured or arbitrary depths, straight lines between the points, nothing outside them.

    Attributes
    ----------
    x : tuple of float
        Positions, strictly increasing, at least two. [m]
    depth : tuple of float
        Depths at those positions, none negative. [m]
    """

    x: tuple[float, ...]
    depth: tuple[float, ...]

    def __post_init__(self) -> None:
        Shape.__post_init__(self)
        if len(self.x) != len(self.depth) or len(self.x) < 2:
            raise GeometryError(
                f"table: {len(self.x)} positions and {len(self.depth)} depths; "
                "give the same number of both, at least two"
            )
        for name, values in (("x", self.x), ("depth", self.depth)):
            for value in values:
                _require_finite("table", name, value)
        for left, right in zip(self.x, self.x[1:], strict=False):
            if not left < right:
                raise GeometryError(
                    f"table: position {right / MM:g} mm follows {left / MM:g} mm; positions must "
                    "increase from one end of the bar to the other, each given once"
                )
        lowest = min(self.depth)
        if lowest < 0.0:
            raise GeometryError(
                f"table: depth {lowest / MM:g} mm is negative; wood cannot be put back"
            )
        if max(self.depth) <= 0.0:
            raise GeometryError("table: no depth is above zero, so it cuts nothing; leave it out")

    @property
    def deepest(self) -> float:
        """Largest depth of the points. [m]"""
        return max(self.depth)

    def with_depth(self, depth: float) -> Table:
        """Return the same form at another depth of its deepest point. [m]"""
        scale = depth / self.deepest
        return replace(self, depth=tuple(scale * d for d in self.depth))

    def build(self, **values: Any) -> tuple[Piece, ...]:
        """One straight piece between neighbouring points where there is any depth."""
        points = list(zip(self.x, self.depth, strict=True))
        return tuple(_line(a, b) for a, b in itertools.pairwise(points) if a[1] > 0.0 or b[1] > 0.0)

    def shifted(self, distance: float) -> Table:
        """Return the same cut moved along the bar by `distance`. [m]"""
        axis = None if self.axis is None else self.axis + distance
        return replace(self, x=tuple(x + distance for x in self.x), axis=axis)


def _line(a: tuple[float, float], b: tuple[float, float]) -> Piece:
    (x0, d0), (x1, d1) = a, b
    slope = (d1 - d0) / (x1 - x0)
    return Piece(x0, x1, lambda x: d0 + slope * (x - x0))
