"""Where each bar lies: naturals side by side with gaps, accidentals over the gaps between them."""

from __future__ import annotations

import itertools

import numpy as np

from barmodel.instrument.plan import SetPlan, is_accidental
from barmodel.undercut.piece import Array


def places(plan: SetPlan) -> Array:
    """Distance of each bar's middle from the left edge of the row of naturals. [m]

    Parameters
    ----------
    plan : SetPlan

    Returns
    -------
    ndarray, shape (n,)
        In the order of the notes, the bass on the left. [m]
    """
    at = np.full(len(plan.semitones), np.nan)
    edge = 0.0
    for index, semitone in enumerate(plan.semitones):
        if not is_accidental(semitone):
            width = plan.width(semitone)
            at[index] = edge + width / 2
            edge += width + plan.rails.gap
        else:  # over the gap after the natural below it
            at[index] = edge - plan.rails.gap / 2
    return at


def crowded(plan: SetPlan) -> tuple[tuple[int, int], ...]:
    """Pairs of neighbours in a row that would touch, by semitone.

    Only accidentals can: they keep the pitch of the naturals below them, whatever their width.
    """
    at, found = places(plan), []
    accidentals = [i for i, note in enumerate(plan.semitones) if is_accidental(note)]
    for left, right in itertools.pairwise(accidentals):
        low, high = plan.semitones[left], plan.semitones[right]
        if at[right] - at[left] < (plan.width(low) + plan.width(high)) / 2:
            found.append((low, high))
    return tuple(found)


def rows(plan: SetPlan) -> tuple[np.ndarray, np.ndarray]:
    """Positions, in the list of notes, of the naturals and of the accidentals."""
    rear = np.array([is_accidental(semitone) for semitone in plan.semitones], dtype=bool)
    return np.flatnonzero(~rear), np.flatnonzero(rear)
