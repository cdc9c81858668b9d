"""A whole instrument: lengths, every bar's design, rails, planks, order of work, weather."""

from barmodel.instrument.plan import LengthRule, RailRule, SetPlan, note_of, semitones_of
from barmodel.instrument.planks import Plank

__all__ = ["LengthRule", "Plank", "RailRule", "SetPlan", "note_of", "semitones_of"]
