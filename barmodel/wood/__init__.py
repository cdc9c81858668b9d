"""Woods and alloys: elastic constants, the species table, what to fill in when few are known."""

from barmodel.wood.elastic import MODULI, POISSON, Sawn, Wood
from barmodel.wood.fill import GENERIC_HARDWOOD, GrainRatios, from_partial
from barmodel.wood.names import others_called
from barmodel.wood.response import WeatherResponse
from barmodel.wood.species import (
    Law,
    Quantity,
    Species,
    Tag,
    general,
    species,
    species_table,
)
from barmodel.wood.spread import spread_of

__all__ = [
    "GENERIC_HARDWOOD",
    "MODULI",
    "POISSON",
    "GrainRatios",
    "Law",
    "Quantity",
    "Sawn",
    "Species",
    "Tag",
    "WeatherResponse",
    "Wood",
    "from_partial",
    "general",
    "others_called",
    "species",
    "species_table",
    "spread_of",
]
