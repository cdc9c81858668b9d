"""The wood of a bar from the frequencies heard on it."""

from barmodel.fit.records import Taps, WoodFit
from barmodel.fit.solve import fit_wood

__all__ = ["Taps", "WoodFit", "fit_wood"]
