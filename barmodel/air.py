"""Air columns under the bars: speed of sound, tube lengths, the travel of a tuning stop.

Closed tubes only: one end open under the bar, the other stopped, first resonance at a quarter
wave. A bar over the mouth flattens the tube further, so tune in place with a sliding stop.
"""

from __future__ import annotations

import math

from barmodel.errors import GeometryError, InputError
from barmodel.pitch import shift_hz
from barmodel.units import MM

END_CORRECTION = 0.6133
"""End correction over radius of an unflanged open end at low frequency. [-]

Levine, H. & Schwinger, J. (1948), "On the radiation of sound from an unflanged circular pipe",
Phys. Rev. 73, 383-406 (from memory)."""
ROOM_C = 20.0
"""Temperature taken when none is given. [°C]"""
COLDEST_C, HOTTEST_C = -20.0, 50.0
"""Range of the formula of ISO 9613-1, which is also that of any room with an instrument. [°C]"""
_WIDEST_KA = 0.5


def speed_of_sound(temperature_c: float = ROOM_C) -> float:
    """Speed of sound in air, 343.2·√((t + 273.15)/293.15).

    Parameters
    ----------
    temperature_c : float
        Air temperature, -20 to 50. [°C]

    Returns
    -------
    float
        Speed of sound. [m/s]

    Raises
    ------
    InputError
        If the temperature is outside the range of the formula.

    Notes
    -----
    Humidity is left out: at 20 °C it raises the speed by at most 0.35 %, 6 cents, between dry
    and saturated air (from memory), and far less between two furnished rooms.

    References
    ----------
    ISO 9613-1:1993, annex A.

    Examples
    --------
    >>> round(speed_of_sound(0.0), 3)
    331.286
    """
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        raise InputError(
            f"temperature {temperature_c} °C is outside {COLDEST_C:g} to {HOTTEST_C:g} °C, "
            "where the speed of sound is known here; give degrees Celsius"
        )
    return 343.2 * math.sqrt((temperature_c + 273.15) / 293.15)


def equal_area_radius(width: float, depth: float) -> float:
    """Radius of the round tube with the same opening as a rectangular box, √(w·d/π). [m]

    Parameters
    ----------
    width, depth : float
        Inner sides of the box. [m]

    Raises
    ------
    GeometryError
        If a side is not positive.

    Examples
    --------
    >>> round(equal_area_radius(0.060, 0.040), 5)
    0.02764
    """
    if not (width > 0 and depth > 0 and math.isfinite(width * depth)):
        raise GeometryError(
            f"box of {width / MM:g} by {depth / MM:g} mm inside has no opening; "
            "give both inner sides as positive lengths"
        )
    return math.sqrt(width * depth / math.pi)


def tube_length(
    hz: float,
    *,
    radius: float,
    temperature_c: float = ROOM_C,
    offset_cents: float = 0.0,
    end_correction: float = END_CORRECTION,
) -> float:
    """Inner length of a closed tube that resonates at a frequency, c/(4f) − 0.6133·r.

    Parameters
    ----------
    hz : float
        Frequency of the bar. [Hz]
    radius : float
        Inner radius; for a box that of `equal_area_radius`. [m]
    temperature_c : float
        Air temperature when played. [°C]
    offset_cents : float
        How far the tube is tuned above the bar; makers detune for longer ring. [cents]
    end_correction : float
        End correction over radius. [-]

    Returns
    -------
    float
        Length from the open end to the stop. [m]

    Raises
    ------
    InputError
        If the tube is to be tuned more than an octave away from its bar.
    GeometryError
        If the tube is so wide for its note that the formula does not hold.

    Examples
    --------
    >>> round(tube_length(130.81278, radius=0.030), 4)
    0.6375
    """
    if not abs(offset_cents) <= 1200.0:  # also refuses NaN
        raise InputError(
            f"a tube {offset_cents:g} cents from its bar is more than an octave off; "
            "check the offset, in cents"
        )
    tuned = shift_hz(_positive_hz(hz), offset_cents)
    speed = speed_of_sound(temperature_c)
    _check_radius(radius, tuned, speed)
    return speed / (4 * tuned) - end_correction * radius


def tube_hz(
    length: float,
    *,
    radius: float,
    temperature_c: float = ROOM_C,
    end_correction: float = END_CORRECTION,
) -> float:
    """First resonance of a closed tube, c/(4(L + 0.6133·r)); the inverse of `tube_length`.

    Parameters
    ----------
    length, radius : float
        Inner length and radius. [m]
    temperature_c : float
        Air temperature. [°C]
    end_correction : float
        End correction over radius. [-]

    Returns
    -------
    float
        Frequency. [Hz]

    Raises
    ------
    GeometryError
        If a size is not positive or the tube is too wide for its length.

    Examples
    --------
    >>> round(tube_hz(tube_length(220.0, radius=0.025), radius=0.025), 9)
    220.0
    """
    if not (length > 0 and math.isfinite(length)):
        raise GeometryError(f"tube length {length / MM:g} mm must be positive")
    speed = speed_of_sound(temperature_c)
    hz = speed / (4 * (length + end_correction * max(radius, 0.0)))
    _check_radius(radius, hz, speed)
    return hz


def stop_travel(
    hz: float, *, radius: float, coldest_c: float, hottest_c: float, offset_cents: float = 0.0
) -> tuple[float, float]:
    """Shortest and longest length a sliding stop must reach over a range of temperatures.

    Parameters
    ----------
    hz : float
        Frequency of the bar, taken as steady. [Hz]
    radius : float
        Inner radius. [m]
    coldest_c, hottest_c : float
        Air temperatures between which the instrument is played. [°C]
    offset_cents : float
        How far the tube is tuned above the bar. [cents]

    Returns
    -------
    shortest, longest : float
        Lengths at the coldest and the hottest air. [m]

    Raises
    ------
    InputError
        If the range of temperatures is turned round.

    Examples
    --------
    >>> short, long = stop_travel(130.81278, radius=0.03, coldest_c=15.0, hottest_c=25.0)
    >>> round(1000 * (long - short), 1)
    11.2
    """
    if not coldest_c <= hottest_c:
        raise InputError(
            f"coldest {coldest_c} °C is above hottest {hottest_c} °C; exchange the two"
        )
    shortest, longest = (
        tube_length(hz, radius=radius, temperature_c=air, offset_cents=offset_cents)
        for air in (coldest_c, hottest_c)
    )
    return shortest, longest


def _positive_hz(hz: float) -> float:
    """Return the frequency, or raise `InputError` when it is not positive and finite."""
    if not (hz > 0 and math.isfinite(hz)):
        raise InputError(f"frequency {hz} Hz of a tube must be a positive number")
    return hz


def _check_radius(radius: float, hz: float, speed: float) -> None:
    """Keep to tubes narrow against the wave, ka ≤ 0.5, where the end correction is constant."""
    if not (radius > 0 and math.isfinite(radius)):
        raise GeometryError(f"tube radius {radius / MM:g} mm must be positive")
    widest = _WIDEST_KA * speed / (2 * math.pi * hz)
    if radius > widest:
        raise GeometryError(
            f"a tube of {radius / MM:.1f} mm radius is too wide for {hz:.0f} Hz: above "
            f"{widest / MM:.1f} mm the end correction no longer holds; take a narrower tube"
        )
