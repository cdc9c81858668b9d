"""A family of undercuts: a few unknowns that draw a whole underside.

The unknowns are the logarithms of lengths and thicknesses, in which frequencies are nearly
straight. Every formula lets complex numbers through, so that its derivatives come by the
complex step (see `barmodel.undercut.piece`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np

from barmodel.bar import Blank
from barmodel.design.limits import MARGIN, Limits
from barmodel.errors import InputError
from barmodel.undercut import Shape
from barmodel.undercut.piece import COMPLEX_STEP, Array, Values

CutParameter = tuple[int, str]
"""Which cut, and which of its parameters."""


@dataclass(frozen=True, slots=True)
class Family:
    """What the search needs to know of a family.

    Attributes
    ----------
    blank : Blank
    limits : Limits
    """

    name: ClassVar[str]
    blank: Blank
    limits: Limits

    @property
    def unknowns(self) -> tuple[str, ...]:
        """Names of the unknowns as a maker fixes them."""
        raise NotImplementedError

    @property
    def keys(self) -> tuple[tuple[CutParameter, float], ...]:
        """Parameters of the cuts that move, and how many places move alike.

        A start moves the end of a cut about the middle the other way, hence counts twice.
        """
        raise NotImplementedError

    def cuts(self, unknowns: Array) -> tuple[Shape, ...]:
        """Draw the cuts for unknowns, shape (n,)."""
        raise NotImplementedError

    def values(self, unknowns: Values) -> Values:
        """Cut parameters in the order of `keys`, analytic in the unknowns. [m] or [1]"""
        raise NotImplementedError

    def slack(self, unknowns: Values) -> Values:
        """Room left to each limit, relative; none may be negative. [1]"""
        raise NotImplementedError

    def slack_names(self) -> tuple[str, ...]:
        """Say each limit in words, in the order of `slack`."""
        raise NotImplementedError

    def oddness(self, unknowns: Array) -> float:
        """Weigh how odd a shape looks at the bench, in cents per 0.1 mm; 0 for a plain one."""
        return 0.0

    def starts(self, *, modes: int) -> tuple[Array, ...]:
        """Guess unknowns, most hopeful first; the search sets the centre thickness itself."""
        raise NotImplementedError

    def unknown(self, name: str, value: float) -> float:
        """Turn a maker's measure (start, depth, width: [m]; fullness: [1]) into the unknown."""
        raise NotImplementedError

    def measures(self, unknowns: Array) -> dict[str, float]:
        """Turn unknowns into the maker's measures, by name. [m] or [1]"""
        raise NotImplementedError

    def fixed(self, wanted: Mapping[str, float]) -> dict[int, float]:
        """Positions and values of the unknowns a maker has fixed."""
        for name in wanted:
            if name not in self.unknowns:
                raise InputError(
                    f"{name!r} is no measure of the family {self.name}; "
                    f"fix {', '.join(self.unknowns)}"
                )
        return {self.unknowns.index(n): self.unknown(n, v) for n, v in wanted.items()}

    def depth_unknown(self, measure: float, name: str) -> float:
        """Logarithm of the thickness a depth leaves. [1]"""
        left = self.blank.thickness - measure
        if not measure > 0.0 or left < self.limits.keep:
            raise InputError(
                f"{name} of {measure * 1e3:g} mm leaves {left * 1e3:g} mm of "
                f"{self.blank.thickness * 1e3:g} mm; at least {self.limits.keep * 1e3:g} mm must "
                "remain and something must be cut; change the depth or the least thickness"
            ).if_thinner(left > 0.0)
        return float(np.log(left))

    def start_unknown(self, measure: float, name: str) -> float:
        """Logarithm of the half extent a start leaves. [1]"""
        half = self.blank.length / 2
        if not self.limits.clear(self.blank.length) <= measure < half:
            raise InputError(
                f"{name} of {measure * 1e3:g} mm is not between the clear end "
                f"({self.limits.clear(self.blank.length) * 1e3:g} mm) and the middle "
                f"({half * 1e3:g} mm)"
            )
        return float(np.log(half - measure))


def complex_jacobian(function: Callable[[Any], Any], at: Array) -> tuple[Array, Array]:
    """Values and derivatives of an analytic vector function, shapes (m,) and (m, n)."""
    columns = []
    value = np.asarray(function(at)).real
    for index in range(at.size):
        moved = at.astype(complex)
        moved[index] += 1j * COMPLEX_STEP
        columns.append(np.asarray(function(moved)).imag / COMPLEX_STEP)
    return value, np.stack(columns, axis=1)


def round_radius(half_width: Any, depth: Any) -> Any:
    """Radius of the arc that is `depth` deep and 2·`half_width` wide: (w² + d²)/(2d). [m]"""
    return (half_width**2 + depth**2) / (2 * depth)


def most_curved(half: Any, depth: Any, fullness: Any) -> Any:
    """Largest curvature of an arch: max over u of h″/(1 + h′²)^(3/2). [1/m]

    With h = t − d(1 − uⁿ), u = x/a: h′ = (d n/a) uⁿ⁻¹, h″ = (d n(n−1)/a²) uⁿ⁻².
    """
    u = np.linspace(1.0 / 48, 1.0, 48)
    slope = depth * fullness / half * u ** (fullness - 1)
    bend = depth * fullness * (fullness - 1) / half**2 * u ** (fullness - 2)
    curvature = bend / (1 + slope**2) ** 1.5
    return curvature[np.argmax(curvature.real)]


def room(value: Any, at_most: Any) -> Any:
    """Relative room of a value below its bound, with the margin of curved limits. [1]"""
    return 1.0 - MARGIN - value / at_most
