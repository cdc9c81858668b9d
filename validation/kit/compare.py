"""Ways of turning a printed number into a `Check`."""

from __future__ import annotations

from decimal import Decimal

import numpy as np

from validation.check import Check, Tag


def last_digit(printed: str) -> float:
    """Half a unit of the last digit of a number as printed, the least honest tolerance.

    Examples
    --------
    >>> last_digit("7.49719")
    5e-06
    """
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return float(Decimal(5).scaleb(exponent - 1))


def compared(
    key: str,
    expected: float,
    computed: float,
    tolerance: float,
    unit: str,
    reason: str,
    *,
    source: str,
    tag: Tag,
) -> Check:
    """A check in one line, for cases with one source: `partial(compared, source=…, tag=…)`."""
    return Check(
        key=key,
        expected=float(expected),
        computed=float(computed),
        tolerance=float(tolerance),
        unit=unit,
        source=source,
        tag=tag,
        reason=reason,
    )


def as_printed(
    key: str,
    printed: str,
    computed: float,
    *,
    unit: str,
    source: str,
    tag: Tag,
    reason: str = "half a unit of the last printed digit",
    tolerance: float | None = None,
) -> Check:
    """Compare with a printed number, by default to its last digit."""
    least = last_digit(printed) if tolerance is None else tolerance
    return compared(key, float(printed), computed, least, unit, reason, source=source, tag=tag)


def in_cents(
    key: str,
    expected_hz: float,
    computed_hz: float,
    *,
    cents: float,
    source: str,
    tag: Tag,
    reason: str,
) -> Check:
    """Compare two frequencies, the tolerance given as a musical interval."""
    tolerance = expected_hz * (2 ** (cents / 1200) - 1)
    why = f"{cents:g} cent: {reason}"
    return compared(key, expected_hz, computed_hz, tolerance, "Hz", why, source=source, tag=tag)


def interval(computed_hz: float, expected_hz: float) -> float:
    """Cents by which the first frequency is sharp of the second."""
    return float(1200 * np.log2(computed_hz / expected_hz))
