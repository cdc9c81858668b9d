"""What wood removed here, with this cutter, does to each mode; and where to cut for one of them."""

from barmodel.cutmap.chart import CutMap, cut_map, stations
from barmodel.cutmap.effect import LightEffect, light_effect
from barmodel.cutmap.predict import Prediction, predict
from barmodel.cutmap.recipe import Recipe, find_recipe

__all__ = [
    "CutMap",
    "LightEffect",
    "Prediction",
    "Recipe",
    "cut_map",
    "find_recipe",
    "light_effect",
    "predict",
    "stations",
]
