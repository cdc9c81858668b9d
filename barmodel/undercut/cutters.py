"""What a maker cuts with, and the shape each cutter leaves.

Four kinds cover the bench: a router *bit* with a flat floor and walls, a *drum* (or spindle, or
the nose of a belt sander) that leaves an arc, a *scraper* (or file) that leaves a shallow dish,
and a *belt* held flat over a length. The default list is this project's own; sizes are those in
common use (common practice, no source).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from barmodel.errors import GeometryError, InputError
from barmodel.undercut.shapes import Groove, Pocket, Shape, drum_reach
from barmodel.units import MM

Kind: TypeAlias = Literal["bit", "drum", "scraper", "belt"]

_SIZES: dict[Kind, tuple[str, ...]] = {
    "bit": ("width",),
    "drum": ("radius",),
    "scraper": ("width",),
    "belt": ("width", "radius"),
}
"""What tells the size of each kind."""
_ROUNDING = 1e-9
"""Widths that differ by less are the same width. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """One tool of the maker.

    Attributes
    ----------
    name : str
        How the maker calls it.
    kind : {"bit", "drum", "scraper", "belt"}
        bit: flat floor, vertical walls. drum: arc of `radius`. scraper: raised-cosine dish.
        belt: flat floor with ends rounded by the rollers' `radius`.
    width : float
        Least length along the bar of one cut: diameter of a bit, width of a scraper's dish, length
        of a belt; 0 for a drum, whose cut is as long as it is deep. [m]
    radius : float
        Of a drum or of a belt's rollers. [m]
    """

    name: str
    kind: Kind
    width: float = 0.0
    radius: float = 0.0

    def __post_init__(self) -> None:
        if self.kind not in _SIZES:
            raise InputError(
                f"cutter {self.name!r}: kind {self.kind!r} is unknown; use {', '.join(_SIZES)}"
            )
        needed = "radius" if self.kind == "drum" else "width"
        for name in ("width", "radius"):
            value = getattr(self, name)
            if value != 0.0 and name not in _SIZES[self.kind]:
                raise InputError(
                    f"cutter {self.name!r}: a {self.kind} has no {name}; give its {needed} only"
                )
            if not (math.isfinite(value) and value >= 0.0) or (name == needed and value == 0.0):
                raise InputError(
                    f"cutter {self.name!r}: {name} is {value / MM:g} mm; a {self.kind} needs a "
                    f"{needed} above zero"
                )

    def least_width(self, depth: float) -> float:
        """Shortest cut it can make at this depth, along the bar. [m]

        A drum of radius R sunk by D reaches 2√(2RD − D²).

        Examples
        --------
        >>> round(CUTTERS["drum40"].least_width(1e-3) / MM, 2)
        12.49
        """
        if self.radius > 0.0:
            reach = 2.0 * float(drum_reach(depth, self.radius))
            return max(self.width, reach) if self.kind == "belt" else reach
        return self.width

    def cut(
        self, *, at: float, depth: float, width: float | None = None, mirror: bool = False
    ) -> Shape:
        """Shape left by lowering this cutter at a place, and moving it if `width` is more.

        Parameters
        ----------
        at : float
            Middle of the cut. [m]
        depth : float
            Depth from the present surface. [m]
        width : float, optional
            Length along the bar; the least it can cut by default. [m]
        mirror : bool
            The same cut on the other half as well.

        Raises
        ------
        GeometryError
            If it cannot cut so narrow or so deep; with the nearest it can do.
        """
        if not (math.isfinite(depth) and depth > 0.0):
            raise GeometryError(f"cut depth is {depth / MM:g} mm; it must be above zero")
        if self.kind == "drum" and depth > self.radius:
            raise GeometryError(
                f"a drum of radius {self.radius / MM:g} mm cannot be sunk {depth / MM:g} mm, past "
                f"its axle; cut at most {self.radius / MM:g} mm or take a larger drum"
            )
        least = self.least_width(depth)
        length = least if width is None else width
        if length < least - _ROUNDING:
            raise GeometryError(
                f"{self.name} cannot cut {length / MM:g} mm long at {depth / MM:g} mm depth; its "
                f"shortest there is {least / MM:.2f} mm; lengthen the cut or take a smaller cutter"
            )
        if self.kind == "scraper":
            return Groove(at=at, width=length, depth=depth, section="dished", mirror=mirror)
        if self.kind == "drum" and length < least + _ROUNDING:
            return Groove(
                at=at, width=least, depth=depth, section="round", radius=self.radius, mirror=mirror
            )
        if self.radius > 0.0:
            start, end = at - length / 2, at + length / 2
            return Pocket(
                start=start, end=end, depth=depth, corner_radius=self.radius, mirror=mirror
            )
        return Groove(at=at, width=length, depth=depth, mirror=mirror)


def _bit(diameter_mm: float) -> Cutter:
    return Cutter(name=f"bit{diameter_mm:g}", kind="bit", width=diameter_mm * MM)


def _drum(diameter_mm: float) -> Cutter:
    return Cutter(name=f"drum{diameter_mm:g}", kind="drum", radius=diameter_mm / 2 * MM)


def _scraper(name: str, width_mm: float) -> Cutter:
    return Cutter(name=f"{name}{width_mm:g}", kind="scraper", width=width_mm * MM)


CUTTERS: dict[str, Cutter] = {
    cutter.name: cutter
    for cutter in (
        *(_bit(d) for d in (6.0, 12.0, 20.0)),
        *(_drum(d) for d in (25.0, 40.0, 75.0)),
        _scraper("file", 10.0),
        _scraper("scraper", 20.0),
        _scraper("scraper", 40.0),
        Cutter(name="belt100", kind="belt", width=100.0 * MM, radius=25.0 * MM),
    )
}
"""Cutters a maker has unless he says otherwise; the number is a diameter or a length in mm."""


def find_cutter(name: str, own: Mapping[str, Cutter] | None = None) -> Cutter:
    """Look a cutter up by name; any size follows a kind: `drum32`, `bit8`, `scraper15`.

    Parameters
    ----------
    name : str
    own : mapping, optional
        The maker's own cutters; they come before the default ones.

    Raises
    ------
    InputError
        If there is no such cutter.

    Examples
    --------
    >>> find_cutter("drum32").radius
    0.016
    """
    known = {**CUTTERS, **(own or {})}
    if name in known:
        return known[name]
    kind = name.rstrip("0123456789.")
    digits = name[len(kind) :]
    try:
        size = float(digits)
    except ValueError:
        size = 0.0
    if size > 0.0:
        if kind == "bit":
            return _bit(size)
        if kind == "drum":
            return _drum(size)
        if kind in ("scraper", "file"):
            return _scraper(kind, size)
        if kind == "belt":
            return Cutter(name=name, kind="belt", width=size * MM, radius=25.0 * MM)
    raise InputError(
        f"cutter {name!r} is not known; there are {', '.join(known)}, or a kind with its "
        "diameter or width in mm, such as drum32 or bit8"
    )
