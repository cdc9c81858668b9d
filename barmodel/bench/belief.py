"""What is believed of a bar before it is heard: wood, depths, what the model misses, heat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.undercut import Shape
from barmodel.undercut.piece import Array
from barmodel.units import MM
from barmodel.wood import WeatherResponse, Wood, spread_of
from barmodel.wood.spread import SPECIES

ROUGH_DEPTH = 0.1 * MM
"""Standard error of the depth of a deep cut (common practice, no source). [m]"""
FINE_DEPTH = 0.02 * MM
FINE_SHARE = 0.08
"""Standard error of a light cut: 0.02 mm and 8 % of its depth (common practice, no source)."""
MEASURED_DEPTH = 0.05 * MM
"""Standard error of a depth found with a gauge (common practice, no source). [m]"""
TRIM_ERROR = 0.1 * MM
"""Standard error of a length taken off an end. [m]"""


def depth_error(cut: Shape, *, measured: bool = False) -> float:
    """Standard error of the depth of a cut. [m]

    Examples
    --------
    >>> from barmodel.undercut import Groove
    >>> round(depth_error(Groove(at=0.2, width=0.02, depth=0.3e-3)) / MM, 3)
    0.044
    """
    if measured:
        return MEASURED_DEPTH
    return min(ROUGH_DEPTH, FINE_DEPTH + FINE_SHARE * cut.deepest)


@dataclass(frozen=True, slots=True, kw_only=True)
class Belief:
    """Spreads of everything that is not known, before anything is heard.

    Attributes
    ----------
    e_long, g_long_thick, g_long_width : float
        Relative spread of each constant about the written value (`barmodel.wood.spread`). [1]
    offset_cents : float
        What the model may miss in a mode of the uncut bar: uneven wood, sizes, mesh. [cent]
    begun_cents : float
        The same of a bar begun before its file was: its underside was only measured. [cent]
    drift_share : float
        Growth of that by a cut, as a share of the shift by the cut: places of the wood that were
        not softer or stiffer than they are taken to be. [1]
    drift_least, drift_most : float
        Bounds of the growth by one cut. [cent]
    drilled_cents : float
        Growth of that by drilling cord holes: some cents on long bars, tens on short thin ones
        (`barmodel.drilling`). [cent]
    reading_cents : float
        Error of every reading besides what it reports: how the bar was held. [cent]
    cents_per_c, cents_per_c_error : float
        Drift with temperature and its standard error; wood by a maker's bars (a published
        build log of 44 rosewood xylophone bars, from memory). [cent/°C]
    reference_c : float
        Temperature at which the bar shall be in tune. [°C]
    """

    e_long: float = SPECIES["e_long"]
    g_long_thick: float = SPECIES["g_long_thick"]
    g_long_width: float = SPECIES["g_long_width"]
    offset_cents: float = 8.0
    begun_cents: float = 25.0
    drift_share: float = 0.03
    drift_least: float = 0.15
    drift_most: float = 8.0
    drilled_cents: float = 30.0
    reading_cents: float = 0.3
    cents_per_c: float = -0.9
    cents_per_c_error: float = 0.3
    reference_c: float = 20.0

    @classmethod
    def about(cls, wood: Wood, response: WeatherResponse | None = None) -> Belief:
        """Believe what is usual of a wood, or of a metal, whose constants hardly differ.

        Constants that were measured on the wood itself are believed as well as they were measured.

        Parameters
        ----------
        wood : Wood
        response : WeatherResponse, optional
            How the species answers to heat, where that is known.
        """
        usual = {name: error for name, error in spread_of(wood).items() if name in SPECIES}
        if wood.isotropic:
            usual |= {"cents_per_c": -0.4, "cents_per_c_error": 0.1}
        if response is not None:
            usual |= {
                "cents_per_c": response.cents_per_c,
                "cents_per_c_error": response.cents_per_c_error,
            }
        return cls(**usual)

    def drift(self, shift_cents: Array) -> Array:
        """Growth of each mode's offset by a cut that shifts the modes so. [cent]"""
        grown = self.drift_share * np.abs(shift_cents)
        return np.asarray(np.clip(grown, self.drift_least, self.drift_most))
