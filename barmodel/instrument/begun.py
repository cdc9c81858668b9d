"""Bars of a set whose blanks are sawn already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from barmodel.instrument.cutting import Piece
from barmodel.instrument.plan import SetPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A bar whose blank is sawn.

    Attributes
    ----------
    length : float
        As long as it is now. [m]
    blank_length, blank_width : float
        As it was sawn and planed, the spare length not counted. [m]
    plank : str
        Where it was sawn from; empty if that is not known.
    """

    length: float
    blank_length: float
    blank_width: float
    plank: str = ""

    def piece(self, plan: SetPlan, semitone: int) -> Piece:
        """What it took of its plank."""
        return Piece(
            semitone=semitone, length=self.blank_length + plan.spare, width=self.blank_width
        )


def taken(plan: SetPlan, begun: Mapping[int, Begun], plank: str) -> list[Piece]:
    """Blanks that were sawn out of a plank."""
    return [item.piece(plan, note) for note, item in sorted(begun.items()) if item.plank == plank]
