"""Strike: from a recording of a struck bar to its partials and named modes."""

from barmodel.strike.decode import read_recording
from barmodel.strike.hear import hear
from barmodel.strike.naming import name_by_prediction
from barmodel.strike.patterns import name_by_pattern
from barmodel.strike.records import (
    Alternative,
    Caution,
    Expected,
    Hearing,
    Mode,
    Partial,
    Recording,
    Strike,
    as_json,
)

__all__ = [
    "Alternative",
    "Caution",
    "Expected",
    "Hearing",
    "Mode",
    "Partial",
    "Recording",
    "Strike",
    "as_json",
    "hear",
    "name_by_pattern",
    "name_by_prediction",
    "read_recording",
]
