"""Water in the wood of a bar: what it was at a reading, and how far the bar has drifted since."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.weather import Shift
    from barmodel.wood import WeatherResponse

FOLLOWS = timedelta(days=20)
"""Time in which the wood of a bar comes nearer to what the air makes of it, to a share 1/e of the
distance; a finish makes it longer (common practice, no source)."""


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


def water_today(document: BarDocument, settled_percent: float | None) -> float | None:
    """Water in the wood today: it comes slowly from what it last was to what the air makes of it.

    Parameters
    ----------
    document : BarDocument
    settled_percent : float or None
        What the wood would come to in the air of the bench, where that is known. [%]
    """
    told = [reading for reading in document.readings if reading.moisture_percent is not None]
    if not told or told[-1].moisture_percent is None:
        return settled_percent
    last = told[-1].moisture_percent
    if settled_percent is None:
        return last
    return settled_percent + (last - settled_percent) * math.exp(-_age(told[-1]) / FOLLOWS)


def _age(reading: Reading) -> timedelta:
    then = datetime.fromisoformat(reading.date)
    return max(datetime.now(then.tzinfo) - then, timedelta(0))


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

    then = reading.moisture_percent
    if then is None or today_percent is None or then == today_percent:
        return Shift(0.0, 0.0, 0.0, 0.0)
    if not takes_water(document):
        return Shift(0.0, 0.0, 0.0, 0.0)
    before, after = (Condition(moisture_percent=percent) for percent in (then, today_percent))
    return shift(response_of(document), before, after)
