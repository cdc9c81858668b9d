"""The wood of a bar from the frequencies heard on it."""

from barmodel.fit.agree import Odd, agreed
from barmodel.fit.records import Taps, WoodFit
from barmodel.fit.ring import quality
from barmodel.fit.solve import fit_wood

__all__ = ["Odd", "Taps", "WoodFit", "agreed", "fit_wood", "quality"]
