"""What wood removed here, with this cutter, does to each mode; and where to cut for one of them."""

from barmodel.cutmap.chart import CutMap, cut_map, stations
from barmodel.cutmap.effect import LightEffect, light_effect
from barmodel.cutmap.predict import Prediction, predict
from barmodel.cutmap.recipe import Recipe, find_recipe
from barmodel.cutmap.tried import TriedCut, try_best

__all__ = [
    "CutMap",
    "LightEffect",
    "Prediction",
    "Recipe",
    "TriedCut",
    "cut_map",
    "find_recipe",
    "light_effect",
    "predict",
    "stations",
    "try_best",
]
