"""Woods and alloys: elastic constants, the species table, what to fill in when few are known."""

from barmodel.wood.elastic import MODULI, POISSON, Wood
from barmodel.wood.fill import GENERIC_HARDWOOD, GrainRatios, Sawn, from_partial

__all__ = [
    "GENERIC_HARDWOOD",
    "MODULI",
    "POISSON",
    "GrainRatios",
    "Sawn",
    "Wood",
    "from_partial",
]
