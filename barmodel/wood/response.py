"""How the bars of one species answer to heat and moisture, as numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WeatherResponse:
    """How a bar of one species answers to heat and moisture; read by `barmodel.weather`.

    Parameters
    ----------
    cents_per_c, cents_per_c_error : float
        Drift of a bending mode with temperature, and its standard deviation. [cents/°C]
    takes_water : bool
        False for metal; the moisture numbers then do not count.
    e_dry_ratio, e_dry_ratio_error : float
        Stiffness at 12 % moisture over that of green wood, and its standard deviation. [-]
    intersection_percent : float
        Moisture at which stiffness begins to change on drying. [%]
    shrink_width_percent, shrink_thick_percent : float
        Shrinkage from green to oven-dry across the bar's width and thickness. [%]
    moisture_relative_error : float
        Relative standard deviation of any shift by moisture. [-]
    """

    cents_per_c: float
    cents_per_c_error: float
    takes_water: bool
    e_dry_ratio: float
    e_dry_ratio_error: float
    intersection_percent: float
    shrink_width_percent: float
    shrink_thick_percent: float
    moisture_relative_error: float
