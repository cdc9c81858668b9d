"""What wood removed here, with this cutter, does to each mode; and where to cut for one of them."""

from barmodel.cutmap.chart import CutMap, cut_map, stations
from barmodel.cutmap.effect import LightEffect, light_effect
from barmodel.cutmap.predict import Prediction, predict
from barmodel.cutmap.recipe import Recipe, find_recipe
from barmodel.cuts import (
    Cut,
    EndTrim,
    apply_cuts,
    check_cut,
    drum_reaches,
    end_thinning,
)

__all__ = [
    "Cut",
    "CutMap",
    "EndTrim",
    "LightEffect",
    "Prediction",
    "Recipe",
    "apply_cuts",
    "check_cut",
    "cut_map",
    "drum_reaches",
    "end_thinning",
    "find_recipe",
    "light_effect",
    "predict",
    "stations",
]
