"""Cord holes that are still to be drilled: what they will do to a bar that is being tuned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from barmodel_cli.asked.options import BadValue

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.bench import Advice, Goal
    from barmodel.files import BarDocument
    from barmodel.holes import CordHole
    from barmodel.undercut.piece import Array

USUAL_MM = 6.4
"""Diameter of the holes that `sheet` draws unless told otherwise. [mm]"""
WIDEST_MM = 20.0
SO = {
    "finished": "it is not finished",
    "cut": "this cut is too much",
    "rescue": "this is too little",
}
"""What holes that are still to come make of an advice that leaves nothing for them."""


@dataclass(frozen=True, slots=True, eq=False)
class Holes:
    """Two cord holes at the nodes of mode 1, half way through the wood left there.

    Attributes
    ----------
    diameter_mm : float
    cents : ndarray, shape (k,)
        By which drilling them moves the tuned modes; negative when it flattens. [cent]
    """

    diameter_mm: float
    cents: Array

    def aimed(self, goal: Goal) -> Goal:
        """Raise the aim by what the holes will take."""
        target = goal.target
        steps = self.cents - self.cents[0]
        ratios = tuple(
            float(ratio * 2.0 ** (-step / 1200))
            for ratio, step in zip(target.ratios, steps, strict=True)
        )
        offset = target.offset_cents - float(self.cents[0])
        return replace(goal, target=replace(target, ratios=ratios, offset_cents=offset))

    @property
    def moves(self) -> str:
        """What they do, in words."""
        modes = "mode 1" if self.cents.size == 1 else f"modes 1 to {self.cents.size}"
        told = ", ".join(f"{cents:+.1f}" for cents in self.cents)
        return f"two cord holes of {self.diameter_mm:g} mm will move {modes} by {told} cents"

    def said(self, state: str) -> str:
        """What the aim leaves for them, and what to do with a bar that is there."""
        from barmodel.holes import ACCURACY

        text = f"cents count from what is left for the holes: {self.moves} (estimate: {ACCURACY})"
        if state == "finished":
            text += (
                "\nthen: drill them, strike it again, record it with `hear --drilled`, and ask "
                "`next` without --holes"
            )
        return text

    @property
    def content(self) -> dict[str, Any]:
        """For programs."""
        return {"diameter_mm": self.diameter_mm, "shift_cents": self.cents}


def holes_of(bar: Bar, count: int, diameter_mm: float) -> Holes | None:
    """Estimate what holes do to the first `count` modes; None where there is no wood for them.

    Modes beyond the second of bars under 200 mm count as not moved: the estimate does not hold
    there.
    """
    from barmodel.errors import GeometryError
    from barmodel.holes import CordHole, hole_shift
    from barmodel.modes import solve
    from barmodel.units import MM
    from barmodel_cli.bench.drilling import LONG_ENOUGH, Drilling, half_way

    modes = solve(bar, model="beam", count=max(count, 3), families=("bending",))
    places = [float(x) for x in modes.nodes[0]]
    drilling = Drilling(None, diameter_mm, None, 0.0, 0.0)
    axis = min(half_way(bar, x, drilling) for x in places)
    holes: list[CordHole] = [CordHole(x, diameter_mm * MM, axis) for x in places]
    try:
        cents = hole_shift(bar, modes, holes)[:count].copy()
    except GeometryError:
        return None
    if bar.blank.length <= LONG_ENOUGH:
        cents[2:] = 0.0
    return Holes(diameter_mm, cents)


def holes_to_come(document: BarDocument, diameter_mm: float | None, count: int) -> Holes | None:
    """Holes that the maker says are still to be drilled; None if he says nothing of them.

    They are taken through the bar as it shall be, or as it is where there is no design.

    Raises
    ------
    BadValue
        If there is no wood for them.
    """
    from barmodel.files import bar_as_designed, bar_as_is

    if diameter_mm is None:
        return None
    if drilled := [reading.id for reading in document.readings if reading.drilled]:
        raise BadValue(
            f"--holes: entry {drilled[0]} says that they are drilled, and all is in the readings "
            "since; leave --holes out"
        )
    if diameter_mm > WIDEST_MM:
        raise BadValue(f"--holes {diameter_mm:g}: cord holes are up to {WIDEST_MM:g} mm across")
    bar = bar_as_is(document) if document.design is None else bar_as_designed(document)
    found = holes_of(bar, count, diameter_mm)
    if found is None:
        raise BadValue(f"--holes {diameter_mm:g}: too little wood is left at the nodes for that")
    return found


def reminder(document: BarDocument, found: Advice, bar_file: object) -> str | None:
    """What to know of holes before a cut, and of a bar that is finished; None if it matters not.

    It matters until a reading says that they are drilled, where the usual holes would take a mode
    out of its tolerance from its middle.
    """
    if found.state not in SO or any(r.drilled for r in document.readings):
        return None
    goal = found.goal
    holes = holes_of(found.bar_then, goal.count, USUAL_MM)
    if holes is None or bool((abs(holes.cents) <= (goal.high - goal.low) / 2).all()):
        return None
    rough = not any(found.tools)
    if found.state == "cut" and rough:
        return (
            f"holes: {holes.moves} (estimate). Drill them before the last cuts, and all is in the "
            "readings (record the first with `hear --drilled`); or ask with "
            f"--holes {USUAL_MM:g} from now on, which leaves that much"
        )
    return (
        f"holes: if they are drilled, all is well; if not, {holes.moves} (estimate), and "
        f"{SO[found.state]}: barmodel next {bar_file} --holes {USUAL_MM:g}"
    )
