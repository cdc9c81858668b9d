"""What else a bar can become that cannot become its note: a lower one, or with fewer modes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.plan import Place, make_plan
from barmodel.bench.pool import Pool
from barmodel.bench.posterior import Posterior
from barmodel.pitch import Target, note_of, note_semitone

LOWEST = 12
"""Semitones down that are tried."""


@dataclass(frozen=True, slots=True)
class Rename:
    """Another bar this one can still become.

    Attributes
    ----------
    target : Target
    semitones : int
        Below the present note; 0 for other ratios of the same note.
    """

    target: Target
    semitones: int


def find_renames(posterior: Posterior, goal: Goal, pool: Pool) -> tuple[Rename, ...]:
    """Look for the nearest lower note with these ratios, and fewer tuned modes for this note."""
    found: list[Rename] = []
    target, k = goal.target, goal.count
    for fewer in range(k - 1, 0, -1):
        shorter = replace(target, ratios=target.ratios[:fewer])
        if _reaches(posterior, replace(goal, target=shorter), pool):
            found.append(Rename(shorter, 0))
            break
    semitone = note_semitone(target.note)
    for down in range(1, LOWEST + 1):
        lower = replace(target, note=note_of(semitone - down))
        if _reaches(posterior, replace(goal, target=lower), pool):
            found.append(Rename(lower, down))
            break
    return tuple(found)


def _reaches(posterior: Posterior, goal: Goal, pool: Pool) -> bool:
    """Whether cuts alone lead there, as the advice for that goal will judge it.

    It cuts no bar with a flat mode, though linear theory would raise one by cuts near its ends.
    """
    place = Place.of(posterior, goal)
    if bool(np.any(place.cents < goal.low)):
        return False
    pool = replace(pool, effects=pool.effects[: goal.count])
    return make_plan(place, goal, posterior, pool).reaches


def rename_words(renames: Sequence[Rename]) -> str:
    """Say what the bar could become.

    Ratios are not told: those of a goal may leave for holes that are still to be drilled.
    """
    words = []
    for one in renames:
        count = len(one.target.ratios)
        modes = "mode 1" if count == 1 else f"modes 1 to {count}"
        alone = "" if one.semitones else f" with {modes} tuned alone"
        words.append(f"{one.target.note}{alone}")
    return " or ".join(words) or f"no lower note within {LOWEST} semitones"
