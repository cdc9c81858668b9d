"""Cord holes that are still to be drilled: what they will do to a bar that is being tuned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from barmodel_cli.asked.options import BadValue
from barmodel_cli.bench.drilling import USUAL_MM
from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.bench import Advice, Alarm, Goal
    from barmodel.files import BarDocument
    from barmodel.undercut.piece import Array

SO = {
    "finished": "it is finished only if its cord holes are drilled",
    "cut": "make this cut only if the cord holes are drilled",
    "rescue": "do this only if the cord holes are drilled",
}
"""What an advice that leaves nothing for holes is good for."""

BADLY_DRILLED = 2.0
"""Errors of the estimate that a fall by drilling may lie off: holes miss their place and size as
well (own judgement). [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Holes:
    """Two cord holes, half way through the wood left at their places.

    Attributes
    ----------
    diameter_mm : float
    cents : ndarray, shape (k,)
        By which drilling them moves the tuned modes; negative when it flattens, 0 where that
        cannot be told. [cent]
    told : int
        How many modes, from the first, it can be told of.
    """

    diameter_mm: float
    cents: Array
    told: int

    def raised(self, goal: Goal) -> Goal:
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
        known = self.cents[: self.told]
        modes = "mode 1" if known.size == 1 else f"modes 1 to {known.size}"
        told = ", ".join(f"{cents:+.1f}" for cents in known)
        text = f"two cord holes of {self.diameter_mm:g} mm will move {modes} by {told} cents"
        if self.told < self.cents.size:
            text += f" (mode {self.told + 1} by what nobody can tell: listen once they are drilled)"
        return text

    def explain(self, alarm: Alarm) -> bool:
        """Whether modes moved about as these holes were foretold to move them."""
        import numpy as np

        from barmodel.drilling import estimate_error

        moved, ear = (np.array(row[: self.told]) for row in (alarm.moved, alarm.errors))
        foretold = self.cents[: moved.size]
        near = BADLY_DRILLED * estimate_error(foretold) + 2.0 * ear
        heard = ~np.isnan(moved)
        return bool(heard.any() and np.all((np.abs(moved - foretold) <= near)[heard]))

    @property
    def left_for(self) -> str:
        """What is left for them, in words."""
        return f"{self.moves}, which is left for them"

    @property
    def content(self) -> dict[str, Any]:
        """For programs."""
        return {"diameter_mm": self.diameter_mm, "shift_cents": self.cents}


def with_holes(
    document: BarDocument, diameter_mm: float, *, option: str = "--holes"
) -> BarDocument:
    """The bar with holes of that size to come, where its file has them or at its nodes.

    Raises
    ------
    BadValue
        If no bar has such holes, or a reading says that they are drilled.
    """
    from barmodel.files import HolesPart
    from barmodel.files.document import noted_after
    from barmodel.holes import WIDEST
    from barmodel.units import MM
    from barmodel_cli.asked.options import made

    if document.drilled is not None:
        raise BadValue(
            f"{option}: entry {document.drilled.id} says that they are drilled, and all is in the "
            f"readings since; leave {option} out"
        )
    if diameter_mm > WIDEST / MM:
        raise BadValue(f"{option} {diameter_mm:g}: cord holes are up to {WIDEST / MM:g} mm across")
    fields = {} if document.holes is None else document.holes.model_dump()
    fields |= {"diameter_mm": diameter_mm, "noted_after": noted_after(document, diameter_mm)}
    return document.changed(holes=made(option, HolesPart, **fields))


def holes_in(document: BarDocument, bar: Bar, count: int) -> Holes | None:
    """Estimate what the holes of a bar file do to the first `count` modes of a bar.

    Returns
    -------
    Holes or None
        None where the file tells of none, or where there is no wood for them. Modes for which
        the estimate does not hold count as not moved.
    """
    from barmodel.drilling import hole_shift, modes_told
    from barmodel.errors import GeometryError
    from barmodel.files import cord_holes
    from barmodel.modes import solve

    if document.holes is None or document.holes.diameter_mm == 0.0:
        return None
    modes = solve(bar, model="beam", count=max(count, 3), families=("bending",))
    try:
        holes = cord_holes(document, bar, modes.nodes[0].tolist())
        cents = hole_shift(bar, modes, holes)[:count].copy()
    except GeometryError:
        return None
    told = min(modes_told(bar.blank.length), count)
    cents[told:] = 0.0
    return Holes(document.holes.diameter_mm, cents, told)


def holes_to_come(document: BarDocument, asked_mm: float | None = None) -> Holes | None:
    """Holes that are still to be drilled; None if there are none, by all that is told.

    Parameters
    ----------
    document : BarDocument
    asked_mm : float, optional
        Diameter as given on the command line, before what the file says; 0 for no holes. [mm]

    Raises
    ------
    BadValue
        If there is no wood for holes that were asked for.
    """
    if asked_mm is not None:
        document = with_holes(document, asked_mm)
    part = document.to_drill
    if part is None or not document.shaped:
        return None
    found = holes_when_done(document)
    if found is None and asked_mm is not None:
        raise BadValue(f"--holes {asked_mm:g}: too little wood is left at the nodes for that")
    if found is None:
        caution(
            f"no wood is left for the cord holes of {part.diameter_mm:g} mm that the bar "
            "file tells of, so nothing is left for them; note thinner ones, or none: barmodel log "
            f"{document.name}.bar.json --holes 0"
        )
    return found


def holes_when_done(document: BarDocument, count: int | None = None) -> Holes | None:
    """What the holes of a bar file do to the bar as it shall be, drilled already or not.

    None as well for a blank without a design: what they do to it says nothing of the bar. Of
    `count` modes, where that is not as many as it is tuned to now.
    """
    from barmodel.files import bar_as_designed, bar_as_is

    if not document.shaped:
        return None
    bar = bar_as_is(document) if document.design is None else bar_as_designed(document)
    return holes_in(document, bar, count or len(document.target.ratios))


def drill_when(state: str, *, asked: bool) -> str:
    """How good the estimate is, and when to drill. `asked` for with --holes, for this once."""
    from barmodel.drilling import ACCURACY

    text = f"what holes do is an estimate: {ACCURACY}"
    if state == "finished":
        without = " without --holes" if asked else ""
        text += (
            "\nthen: drill them, strike it again, record it with `hear --drilled`, and ask "
            f"`next`{without}"
        )
    return text


def reminder(document: BarDocument, found: Advice, bar_file: object) -> str | None:
    """What to know of holes before a cut, and of a bar that is finished; None if it matters not.

    It matters as long as nothing is known of them, where the usual holes would take a mode out of
    its tolerance from its middle.
    """
    if found.state not in SO or document.drilled is not None or document.holes is not None:
        return None
    goal = found.goal
    holes = holes_in(with_holes(document, USUAL_MM), found.bar_then, goal.count)
    if holes is None or bool((abs(holes.cents) <= (goal.high - goal.low) / 2).all()):
        return None
    note = f"barmodel log {bar_file} --holes {USUAL_MM:g}"
    rough = not any(found.tools)
    if found.state == "cut" and rough:
        return (
            f"holes: {holes.moves} (estimate). Drill them before the last cuts, and all is in the "
            "readings (record the first with `hear --drilled`); or note that they are to come, "
            f"and that much is left for them from now on: {note}"
        )
    return (
        f"holes: {SO[found.state]}; if they are still to come, note them first, {note}, and ask "
        f"again ({holes.moves}, by estimate)"
    )
