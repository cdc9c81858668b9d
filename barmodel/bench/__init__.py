"""The bar at the bench: what its readings say of it, and the next cut."""

from barmodel.bench.alarms import Alarm, find_alarms
from barmodel.bench.belief import Belief
from barmodel.bench.history import CutMade, Event, History, Reading
from barmodel.bench.posterior import Posterior, infer
from barmodel.bench.screen import Doubt
from barmodel.bench.standing import Standing, standing

__all__ = [
    "Alarm",
    "Belief",
    "CutMade",
    "Doubt",
    "Event",
    "History",
    "Posterior",
    "Reading",
    "Standing",
    "find_alarms",
    "infer",
    "standing",
]
