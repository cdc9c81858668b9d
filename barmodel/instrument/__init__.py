"""A whole instrument: lengths, every bar's design, rails, planks, order of work, weather."""

from barmodel.instrument.assign import Suits, assign, blanks, suits, why_none
from barmodel.instrument.begun import Begun
from barmodel.instrument.blueprint import Blueprint, draw_blueprint
from barmodel.instrument.crew import Crew, core_count, crew
from barmodel.instrument.curve import Lengths
from barmodel.instrument.cutting import Piece, Sawn, lay_out
from barmodel.instrument.holding import held_back
from barmodel.instrument.one import design_bar
from barmodel.instrument.order import order_of_work
from barmodel.instrument.plan import (
    LengthRule,
    RailRule,
    SetPlan,
    is_accidental,
    semitones_of,
)
from barmodel.instrument.planks import Plank
from barmodel.instrument.rails import Hole, Rail, Rails, Standing, fit_rails
from barmodel.instrument.record import Clash, Outcome, Task
from barmodel.instrument.sawing import saw
from barmodel.instrument.season import to_leave

__all__ = [
    "Begun",
    "Blueprint",
    "Clash",
    "Crew",
    "Hole",
    "LengthRule",
    "Lengths",
    "Outcome",
    "Piece",
    "Plank",
    "Rail",
    "RailRule",
    "Rails",
    "Sawn",
    "SetPlan",
    "Standing",
    "Suits",
    "Task",
    "assign",
    "blanks",
    "core_count",
    "crew",
    "design_bar",
    "draw_blueprint",
    "fit_rails",
    "held_back",
    "is_accidental",
    "lay_out",
    "order_of_work",
    "saw",
    "semitones_of",
    "suits",
    "to_leave",
    "why_none",
]
