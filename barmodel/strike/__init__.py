"""Strike: from a recording of a struck bar to its partials and named modes."""

from barmodel.strike.advice import (
    Advice,
    ModeShape,
    bring_out,
    expected_amplitudes,
    torsion_test,
)
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
    "Advice",
    "Alternative",
    "Caution",
    "Expected",
    "Hearing",
    "Mode",
    "ModeShape",
    "Partial",
    "Recording",
    "Strike",
    "as_json",
    "bring_out",
    "expected_amplitudes",
    "hear",
    "name_by_pattern",
    "name_by_prediction",
    "read_recording",
    "torsion_test",
]
