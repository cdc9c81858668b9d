"""The bar at the bench: what its readings say of it, and the next cut."""

from barmodel.bench.advice import advise
from barmodel.bench.aim import RISK, TOLERANCES, Goal
from barmodel.bench.alarms import Alarm, find_alarms
from barmodel.bench.belief import Belief
from barmodel.bench.desk import Advice, State
from barmodel.bench.history import CutMade, Event, History, Reading
from barmodel.bench.outcome import Outcome, outcome
from barmodel.bench.posterior import Posterior, infer
from barmodel.bench.rename import Rename
from barmodel.bench.rescue import Rescue
from barmodel.bench.screen import Doubt
from barmodel.bench.standing import Standing, standing

__all__ = [
    "RISK",
    "TOLERANCES",
    "Advice",
    "Alarm",
    "Belief",
    "CutMade",
    "Doubt",
    "Event",
    "Goal",
    "History",
    "Outcome",
    "Posterior",
    "Reading",
    "Rename",
    "Rescue",
    "Standing",
    "State",
    "advise",
    "find_alarms",
    "infer",
    "outcome",
    "standing",
]
