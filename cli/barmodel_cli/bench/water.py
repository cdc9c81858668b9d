"""Water in the wood of a bar: what it was at a reading, and how far the bar has drifted since."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.weather import Shift
    from barmodel.wood import WeatherResponse

FOLLOWS = timedelta(days=7)
"""A bar heard within this has as much water as it had then, whatever was said of the air since:
wood takes weeks to follow (common practice, no source)."""


def response_of(document: BarDocument) -> WeatherResponse:
    """How the species of a bar answers to heat and moisture.

    Raises
    ------
    InputError
        If it is not known.
    """
    from barmodel.wood import species

    return species(document.wood.species or "none named").weather(sawn=document.wood.sawn)


def takes_water(document: BarDocument) -> bool:
    """Whether its species is known to follow the moisture of the air."""
    from barmodel.errors import InputError

    try:
        return response_of(document).takes_water
    except InputError:  # a species of the maker's own
        return False


def water_at(reading: Reading, today_percent: float | None) -> float | None:
    """Water in the wood at a reading; today's where it is not told, or where it was just made. [%]

    Parameters
    ----------
    reading : Reading
    today_percent : float or None
        Water today, where that is known. [%]
    """
    then = reading.moisture_percent
    if then is None or (today_percent is not None and _lately(reading)):
        return today_percent
    return then


def _lately(reading: Reading) -> bool:
    then = datetime.fromisoformat(reading.date)
    return datetime.now(then.tzinfo) - then < FOLLOWS


def drift_since(document: BarDocument, reading: Reading, today_percent: float | None) -> Shift:
    """How far a bar has drifted since a reading by the water in it. [cent]

    Parameters
    ----------
    document : BarDocument
    reading : Reading
    today_percent : float or None
        Water today, where that is known. [%]
    """
    from barmodel.weather import Condition, Shift, shift

    then = water_at(reading, today_percent)
    if then is None or today_percent is None or then == today_percent:
        return Shift(0.0, 0.0, 0.0, 0.0)
    if not takes_water(document):
        return Shift(0.0, 0.0, 0.0, 0.0)
    before, after = (Condition(moisture_percent=percent) for percent in (then, today_percent))
    return shift(response_of(document), before, after)
