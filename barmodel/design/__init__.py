"""Find the undercut that meets a target: search on the beam, last word by the solid."""

from barmodel.design.find import find
from barmodel.design.limits import Limits
from barmodel.design.neighbours import Neighbour, Remedy, clearest, harm, neighbours, remedies
from barmodel.design.record import Design, NoDesignError, Suggestion, depth_table
from barmodel.design.request import FAMILIES, Request

__all__ = [
    "FAMILIES",
    "Design",
    "Limits",
    "Neighbour",
    "NoDesignError",
    "Remedy",
    "Request",
    "Suggestion",
    "clearest",
    "depth_table",
    "find",
    "harm",
    "neighbours",
    "remedies",
]
