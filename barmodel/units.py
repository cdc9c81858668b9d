"""Named factors between SI and the units of the bench, and lengths as makers write them."""

from __future__ import annotations

import math
import re

from barmodel.errors import InputError

MM = 1e-3
"""One millimetre. [m]"""
INCH = 0.0254
"""One inch, exact since 1959. [m]"""
GRAM = 1e-3
"""One gram. [kg]"""
GPA = 1e9
"""One gigapascal. [Pa]"""
CENTS = 1200.0 / math.log(2.0)
"""Cents in one unit of natural log-frequency."""

_NOISE = 1e-3
"""Of the last digit printed: what computing leaves of a number that is meant to be round."""
_LENGTH = re.compile(
    r"""^\s*(?:
            (?P<number>\d+(?:\.\d*)?|\.\d+)
          | (?:(?P<whole>\d+)[\s-]+)? (?P<numerator>\d+) \s*/\s* (?P<denominator>\d+)
        )\s*(?P<unit>mm|cm|m|in|inch|inches|"|″)?\s*$""",
    re.VERBOSE,
)
_UNIT = {"mm": MM, "cm": 10 * MM, "m": 1.0, "in": INCH, "inch": INCH, "inches": INCH}
_UNIT |= {'"': INCH, "″": INCH}


def no_deeper(depth_mm: float, digits: int) -> str:
    """A depth to be cut, as printed: rounded to the shallower side, since wood is not put back.

    Parameters
    ----------
    depth_mm : float
        [mm]
    digits : int
        After the point.

    Examples
    --------
    >>> no_deeper(12.75, 1), no_deeper(17.25, 1), no_deeper(0.61, 2), no_deeper(13.2 - 1e-9, 1)
    ('12.7', '17.2', '0.61', '13.2')
    """
    return f"{math.floor(depth_mm * 10**digits + _NOISE) / 10**digits:.{digits}f}"


def no_thinner(thickness_mm: float, digits: int) -> str:
    """A thickness to be left, as printed: rounded to the thicker side.

    Parameters
    ----------
    thickness_mm : float
        [mm]
    digits : int
        After the point.

    Examples
    --------
    >>> no_thinner(6.75, 1), no_thinner(6.211, 2), no_thinner(9.0 + 1e-9, 1)
    ('6.8', '6.22', '9.0')
    """
    return f"{math.ceil(thickness_mm * 10**digits - _NOISE) / 10**digits:.{digits}f}"


def parse_length(text: str) -> float:
    """Read a length as a maker writes it: `412`, `412 mm`, `41.2cm`, `16 3/4in`, `3/8"`.

    Parameters
    ----------
    text : str
        A positive number, optionally a fraction, with a unit; bare numbers are millimetres.

    Returns
    -------
    float
        The length. [m]

    Raises
    ------
    InputError
        If the text is not a length; a decimal comma gets a word of its own.

    Examples
    --------
    >>> round(parse_length("16 3/4in"), 5)
    0.42545
    >>> round(parse_length("412"), 9)
    0.412
    """
    if "," in text:
        raise InputError(
            f"length {text!r}: write the decimals with a point, "
            f"for example {text.replace(',', '.')!r}"
        )
    match = _LENGTH.match(text)
    if match is None:
        raise InputError(f"length {text!r} is not understood; write 412, 412mm, 41.2cm or 16 3/4in")
    if match["number"] is not None:
        value = float(match["number"])
    elif float(match["denominator"]) == 0.0:
        raise InputError(f"length {text!r} divides by zero")
    else:
        fraction = float(match["numerator"]) / float(match["denominator"])
        value = float(match["whole"] or 0.0) + fraction
    metres = value * _UNIT[match["unit"] or "mm"]
    if not math.isfinite(metres):  # hundreds of digits
        raise InputError(f"length {text!r} is beyond any number; check its digits")
    return metres
