"""What heat and moisture do to a bar: how far its bending modes drift between two conditions.

Every shift carries its uncertainty, because species, planks and finishes differ more than the
formulas do. All bending modes are taken to drift alike; torsion, which leans on other moduli, is
not covered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from barmodel.errors import InputError
from barmodel.units import CENTS
from barmodel.wood import WeatherResponse

REFERENCE_C = 20.0
"""Temperature readings are brought to when none is asked for. [°C]"""
FIBRE_SATURATION_PERCENT = 30.0
"""Moisture below which wood shrinks on drying, handbook eq. 4-9. [%]"""
COLDEST_C, HOTTEST_C = -10.0, 60.0
DRIEST = 0.05
"""No room is drier; less is a share taken for a percentage (own judgement). [1]"""


@dataclass(frozen=True, slots=True)
class Condition:
    """State of a bar: its temperature and how much water it holds.

    Parameters
    ----------
    temperature_c : float
        Temperature of the bar. [°C]
    moisture_percent : float
        Mass of water over mass of oven-dry wood, 0 to 30. [%]
    """

    temperature_c: float = REFERENCE_C
    moisture_percent: float = 8.0

    def __post_init__(self) -> None:
        _check_temperature(self.temperature_c)
        if not 0 <= self.moisture_percent <= FIBRE_SATURATION_PERCENT:
            raise InputError(
                f"moisture {self.moisture_percent} % of the wood must be 0 to "
                f"{FIBRE_SATURATION_PERCENT:g} %; seasoned bars hold 5 to 12 %"
            )

    @classmethod
    def settled(cls, *, temperature_c: float, relative_humidity: float) -> Condition:
        """State of a bar that has rested for weeks in a room.

        Parameters
        ----------
        temperature_c : float
            Temperature of the room. [°C]
        relative_humidity : float
            Relative humidity, 0 to below 1. [-]

        Examples
        --------
        >>> round(Condition.settled(temperature_c=21.0, relative_humidity=0.5).moisture_percent, 1)
        9.2
        """
        moisture = equilibrium_moisture(temperature_c, relative_humidity)
        return cls(temperature_c, min(moisture, FIBRE_SATURATION_PERCENT))


@dataclass(frozen=True, slots=True)
class Shift:
    """Drift of a bar's bending modes and how sure it is.

    Parameters
    ----------
    cents : float
        Positive when the bar goes sharp. [cents]
    standard_error : float
        One standard deviation. [cents]
    heat_cents, moisture_cents : float
        The two parts of `cents`. [cents]
    """

    cents: float
    standard_error: float
    heat_cents: float
    moisture_cents: float


def equilibrium_moisture(temperature_c: float, relative_humidity: float) -> float:
    """Moisture wood settles at in steady air, by the sorption model of Hailwood and Horrobin.

    Parameters
    ----------
    temperature_c : float
        Temperature, -10 to 60. [°C]
    relative_humidity : float
        Relative humidity as a fraction, 0 to below 1. [-]

    Returns
    -------
    float
        Equilibrium moisture content. [%]

    Raises
    ------
    InputError
        If the air is outside the range of the model; 45 for 0.45 is the usual slip.

    Notes
    -----
    Fitted to spruce; oily tropical woods settle some percent lower and the way back from wet to
    dry lags by a percent or two (from memory).

    References
    ----------
    USDA Wood Handbook, FPL-GTR-282 (2021), eq. 4-5, p. 4-3, after Simpson, W. T. (1973),
    "Predicting equilibrium moisture content of wood by mathematical models", Wood and Fiber 5,
    41-49. Constants read in two independent copies.

    Examples
    --------
    >>> round(equilibrium_moisture(20.0, 0.5), 2)
    9.27
    """
    t = _check_temperature(temperature_c)
    if not 0 <= relative_humidity < 1:
        raise InputError(
            f"relative humidity {relative_humidity} must be at least 0 and below 1; "
            "write 45 % as 0.45"
        )
    molar = 349 + 1.29 * t + 0.0135 * t * t
    k = (0.805 + 0.000736 * t - 0.00000273 * t * t) * relative_humidity
    k1 = (6.27 - 0.00938 * t - 0.000303 * t * t) * k
    k2 = (1.91 + 0.0407 * t - 0.000293 * t * t) * k
    return 1800 / molar * (k / (1 - k) + (k1 + 2 * k1 * k2) / (1 + k1 + k1 * k2))


def property_at_moisture(
    at_12_percent: float,
    green: float,
    moisture_percent: float,
    *,
    intersection_percent: float = 25.0,
) -> float:
    """Carry a stiffness or strength from 12 % moisture to another, P12·(P12/Pg)^((12−M)/(Mp−12)).

    Parameters
    ----------
    at_12_percent, green : float
        The property at 12 % moisture and in green wood, same unit.
    moisture_percent : float
        Moisture asked for; above the intersection the green value holds. [%]
    intersection_percent : float
        Moisture at which the property begins to change on drying, Mp. [%]

    Returns
    -------
    float
        The property, same unit.

    Raises
    ------
    InputError
        If a value is not positive.

    References
    ----------
    USDA Wood Handbook, FPL-GTR-282 (2021), eq. 5-3 and table 5-13, p. 5-34.

    Examples
    --------
    >>> round(property_at_moisture(12.6, 10.7, 8.0), 3)  # sugar maple, GPa
    13.25
    """
    if not (at_12_percent > 0 and green > 0 and intersection_percent > 12):
        raise InputError(
            f"properties {at_12_percent} and {green} must be positive and the intersection "
            f"moisture {intersection_percent} % above 12 %"
        )
    exponent = _steps_to_dry(moisture_percent, intersection_percent)
    return at_12_percent * math.pow(at_12_percent / green, exponent)


def shift(response: WeatherResponse, before: Condition, after: Condition) -> Shift:
    """How far the bending modes of a bar drift between two conditions.

    Heat shifts linearly. Moisture changes stiffness (eq. 5-3), mass, width and thickness; a bar's
    bending frequency goes as √(E·b·h³/m), its length does not move.

    Parameters
    ----------
    response : WeatherResponse
        How this species answers, from ``species(...).weather()``.
    before, after : Condition
        The two states of the bar.

    Returns
    -------
    Shift
        Positive cents when `after` is sharper.

    Examples
    --------
    >>> from barmodel.wood import species
    >>> damp = shift(species("padauk").weather(), Condition(20, 8), Condition(20, 9))
    >>> round(damp.cents, 1), damp.standard_error > 3
    (-12.8, True)
    """
    degrees = after.temperature_c - before.temperature_c
    heat = degrees * response.cents_per_c
    heat_error = degrees * response.cents_per_c_error
    water = water_error = 0.0
    if response.takes_water:
        water = _moisture_cents(response, after) - _moisture_cents(response, before)
        then, now = (
            _steps_to_dry(state.moisture_percent, response.intersection_percent)
            for state in (after, before)
        )
        step = then - now
        ratio_error = CENTS / 2 * step * response.e_dry_ratio_error / response.e_dry_ratio
        water_error = math.hypot(ratio_error, water * response.moisture_relative_error)
    return Shift(heat + water, math.hypot(heat_error, water_error), heat, water)


def offset_to_leave(response: WeatherResponse, today: Condition, played: Condition) -> Shift:
    """How far above its target to leave a bar today so that it is right where it is played.

    Parameters
    ----------
    response : WeatherResponse
        How this species answers.
    today, played : Condition
        State of the bar at the bench, and later in its room.

    Returns
    -------
    Shift
        Positive cents: leave it sharp today.

    Examples
    --------
    >>> from barmodel.wood import species
    >>> metal = species("6061").weather()
    >>> round(offset_to_leave(metal, Condition(15), Condition(25)).cents, 1)
    4.4
    """
    return shift(response, played, today)


def _steps_to_dry(moisture_percent: float, intersection_percent: float) -> float:
    """Exponent of eq. 5-3: 0 at 12 % moisture, −1 when green, positive when drier. [-]"""
    return (12 - min(moisture_percent, intersection_percent)) / (intersection_percent - 12)


def _moisture_cents(response: WeatherResponse, state: Condition) -> float:
    """Cents of √(E·b·h³/m) at a moisture, against an arbitrary but fixed zero."""
    carried = property_at_moisture(
        response.e_dry_ratio,
        1.0,
        state.moisture_percent,
        intersection_percent=response.intersection_percent,
    )
    stiffness = math.log(carried / response.e_dry_ratio)
    mass = math.log1p(state.moisture_percent / 100)
    dry = 1 - state.moisture_percent / FIBRE_SATURATION_PERCENT
    width = math.log1p(-response.shrink_width_percent / 100 * dry)
    thick = math.log1p(-response.shrink_thick_percent / 100 * dry)
    return CENTS / 2 * (stiffness + width + 3 * thick - mass)


def _check_temperature(temperature_c: float) -> float:
    """Return the temperature, or raise `InputError` when no workshop has it. [°C]"""
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise InputError(
            f"temperature {temperature_c} °C is outside {COLDEST_C:g} to {HOTTEST_C:g} °C; "
            "give degrees Celsius"
        )
    return temperature_c
