"""One number of ours beside one number of somebody else's."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

Tag: TypeAlias = Literal[
    "published", "from memory", "recomputed independently", "common practice, no source"
]
"""How far the expected number can be trusted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One comparison.

    Attributes
    ----------
    key : str
        What is compared, unique within its case.
    expected, computed : float
        The source's number as printed, and ours.
    tolerance : float
        Largest difference allowed, in the same unit.
    unit : str
        Unit of the three numbers; "" for a pure number.
    source : str
        Citation, with page or equation where known.
    tag : Tag
        Standing of the expected number.
    reason : str
        Why this tolerance and no other.
    """

    key: str
    expected: float
    computed: float
    tolerance: float
    unit: str
    source: str
    tag: Tag
    reason: str

    @property
    def passed(self) -> bool:
        """Whether the difference is within the tolerance; never for a NaN."""
        return math.isfinite(self.computed) and (
            abs(self.computed - self.expected) <= self.tolerance
        )

    @property
    def noticed(self) -> bool:
        """Whether there is a number and it is out of tolerance; none at all proves nothing."""
        return math.isfinite(self.computed) and not self.passed


Controls: TypeAlias = dict[str, list[Check]]
"""Negative controls of a case: what is made wrong, and the checks it touches, computed so."""
