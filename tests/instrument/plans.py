"""Small made-up sets."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from barmodel.design import Limits
from barmodel.instrument import Outcome, SetPlan
from barmodel.pitch import note_semitone
from barmodel.wood import species


def plan(lowest: str = "C3", highest: str = "C5", **changes: Any) -> SetPlan:
    """Rosewood, three modes, two from C#4, one from C#5; widths in steps."""
    small = SetPlan(
        name="small",
        lowest=note_semitone(lowest),
        highest=note_semitone(highest),
        a4_hz=442.0,
        ratios={24: (1.0, 4.0, 10.0), note_semitone("C#4"): (1.0, 4.0), 61: (1.0,)},
        widths={24: 0.062, note_semitone("G3"): 0.056, note_semitone("D4"): 0.050},
        thickness=0.022,
        wood=species("Honduran rosewood").wood(),
        limits=Limits(keep=0.005),
    )
    return replace(small, **changes)


def straight_outcomes(set_plan: SetPlan, lengths: np.ndarray, half: np.ndarray) -> list[Outcome]:
    """Bars whose nodes lie `half` from their middle."""
    return [
        Outcome(
            semitone=note,
            digest="",
            state="designed",
            nodes=(length / 2 - apart, length / 2 + apart),
            node_slope=9.5,
        )
        for note, length, apart in zip(set_plan.semitones, lengths, half, strict=True)
    ]
