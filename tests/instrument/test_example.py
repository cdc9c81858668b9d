"""The made-up school marimba of the examples: even lengths, straight cords, all in the window."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from barmodel.files.set_file import read_set_file
from barmodel.instrument import draw_blueprint
from barmodel.instrument.layout import crowded, rows

EXAMPLE = Path(__file__).parents[2] / "examples" / "school_marimba" / "school.set.toml"


def test_the_school_marimba_can_be_drawn() -> None:
    plan = read_set_file(EXAMPLE)
    blueprint = draw_blueprint(plan)
    lengths = blueprint.lengths
    assert len(plan.semitones) == 37
    assert blueprint.doubtful == ()
    assert crowded(plan) == ()
    assert lengths.length[0] == 0.372  # as the example bar F3
    assert lengths.centre.min() > plan.limits.keep
    assert np.abs(np.diff(lengths.length, 2)).max() < 2e-3
    for row in rows(plan):
        half = (lengths.length * (0.5 - lengths.node))[row]
        x = blueprint.place[row]
        assert np.abs(half - np.polyval(np.polyfit(x, half, 1), x)).max() < 2e-3
