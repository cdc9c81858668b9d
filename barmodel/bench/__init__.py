"""The bar at the bench: what its readings say of it, and the next cut."""

from barmodel.bench.history import CutMade, Event, History, Reading
from barmodel.bench.standing import Standing, standing

__all__ = ["CutMade", "Event", "History", "Reading", "Standing", "standing"]
