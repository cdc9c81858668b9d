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

_LENGTH = re.compile(
    r"""^\s*(?:
            (?P<number>\d+(?:\.\d*)?|\.\d+)
          | (?:(?P<whole>\d+)[\s-]+)? (?P<numerator>\d+) \s*/\s* (?P<denominator>\d+)
        )\s*(?P<unit>mm|cm|m|in|inch|inches|"|″)?\s*$""",
    re.VERBOSE,
)
_UNIT = {"mm": MM, "cm": 10 * MM, "m": 1.0, "in": INCH, "inch": INCH, "inches": INCH}
_UNIT |= {'"': INCH, "″": INCH}


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
