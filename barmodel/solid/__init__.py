"""The bar as a three-dimensional elastic solid, one column of elements per section."""

from barmodel.solid.record import Family, Kind, MeshReport, SolidMode, SolidModes
from barmodel.solid.sensitivity import SurfaceSensitivity, surface_sensitivity
from barmodel.solid.solve import Order, solve

__all__ = [
    "Family",
    "Kind",
    "MeshReport",
    "Order",
    "SolidMode",
    "SolidModes",
    "SurfaceSensitivity",
    "solve",
    "surface_sensitivity",
]
