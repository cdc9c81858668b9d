"""A smooth stretch of a cut: the one form in which every shape reaches the rest of the code.

Every shape of cut is written once, as a depth along the bar. Slopes, and the sensitivity of
anything to a shape's own parameters, come from that same formula by the complex step: for an
analytic f, Im f(x + ih)/h is f′(x) to machine precision, without subtraction. Hence the rule
for whoever adds a shape: the formula of a piece is analytic (no abs, no comparison that picks a
branch) and lets complex numbers through.

References
----------
W. Squire and G. Trapp, "Using complex variables to estimate derivatives of real functions",
SIAM Review 40 (1998) 110–112 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Values: TypeAlias = NDArray[Any]
"""Real values, or complex ones while a derivative is being taken."""

COMPLEX_STEP = 1e-30
"""Step of the complex-step derivative; any number far below rounding will do."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Depth of one smooth stretch of a cut, zero outside it.

    Attributes
    ----------
    start, end : float or complex
        Stretch on which `depth` holds, ends included. [m]
    depth : callable
        Depth at positions x, shape as x. [m]
    """

    start: complex
    end: complex
    depth: Callable[[Values], Values]

    def reflected(self, axis: complex) -> Piece:
        """Return the mirror image about the plane x = `axis`. [m]"""
        return Piece(
            start=2 * axis - self.end,
            end=2 * axis - self.start,
            depth=lambda x: self.depth(2 * axis - x),
        )
