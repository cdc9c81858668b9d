"""Cord holes as they are asked for: where they go, and what they do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from pathlib import Path

    from barmodel.bar import Bar
    from barmodel.files import BarDocument
    from barmodel.holes import CordHole
    from barmodel.modes import ModeSet

USUAL_MM = 6.4
"""Diameter of holes that are asked for without one. [mm]"""


class Drilling(NamedTuple):
    """Holes asked for, in millimetres and degrees; None where it is as the bar file tells."""

    at: list[float] | None
    diameter: float | None
    height: float | None
    angle: float | None
    wood: float

    @property
    def as_told(self) -> bool:
        """Whether the bar file alone says of holes."""
        return (self.at, self.diameter, self.height, self.angle) == (None,) * 4


class Effect(NamedTuple):
    """What the holes do: cents on each mode; distance from the node and motion of each hole."""

    shift_cents: Any
    length: float
    supports: tuple[tuple[float, float], ...]


def holes_asked(
    document: BarDocument, aim: Bar, nodes: tuple[float, ...], drilling: Drilling
) -> tuple[CordHole, ...]:
    """Holes asked for or told of by the bar file: as far as there is wood for them.

    None where nobody spoke of any: the tuning leaves nothing for them, and a circle on paper
    would be drilled.
    """
    from dataclasses import replace

    from barmodel.errors import GeometryError
    from barmodel.files import HolesPart, cord_holes
    from barmodel.holes import bored, check_hole
    from barmodel.units import MM

    if document.holes is None and drilling.as_told:
        return ()
    part = document.holes or HolesPart(diameter_mm=USUAL_MM)
    bore = part.diameter_mm if drilling.diameter is None else drilling.diameter
    if bore <= 0.0:
        return ()
    part = part.model_copy(update={"diameter_mm": bore})
    told = cord_holes(document.changed(holes=part), aim, nodes)
    places, turns = [hole.x for hole in told], [hole.angle_degrees for hole in told]
    if drilling.at is not None:
        places = [place * MM for place in drilling.at]
        turns = [0.0] * len(places)
    if drilling.angle is not None:
        middle = aim.blank.length / 2
        turns = [drilling.angle if x <= middle else -drilling.angle for x in places]
    holes = []
    for hole in bored(aim, places, bore * MM, turns):
        if drilling.height is not None:
            hole = replace(hole, height=drilling.height * MM)
        try:
            check_hole(aim, hole)
        except GeometryError as error:
            if drilling.at is not None:
                raise
            caution(f"not drawn: {error}")
            continue
        holes.append(hole)
    return tuple(holes)


def doubts_of_holes(
    document: BarDocument, path: Path, aim: Bar, nodes: tuple[float, ...]
) -> list[str]:
    """Why cord holes that are to be drilled do not go well with what the bar is to become.

    Parameters
    ----------
    document : BarDocument
    path : Path
        Of its file.
    aim : Bar
    nodes : tuple of float
        Still points of its mode 1, where holes go that the file does not place. [m]
    """
    from barmodel.errors import GeometryError
    from barmodel.files import cord_holes
    from barmodel.holes import check_hole
    from barmodel.sheets.around import LEAST_AROUND, all_hole_cautions
    from barmodel_cli.bench.step_aside import step_aside

    if document.to_drill is None:
        return []
    holes = cord_holes(document, aim, nodes)
    try:
        for hole in holes:
            check_hole(aim, hole)
    except GeometryError as error:
        return [str(error)]
    said = [f"{text[0].lower()}{text[1:]}" for text in all_hole_cautions(aim, holes)]
    aside = step_aside(aim, holes, LEAST_AROUND, path)
    return said if aside is None else [*said, f"{aside[0].lower()}{aside[1:]}"]


def effect_of_holes(aim: Bar, tuned: ModeSet, holes: tuple[CordHole, ...]) -> Effect:
    """What the holes do to the modes, and how far each moves with the bar."""
    from barmodel.drilling import hole_shift, support_motion

    supports = tuple(support_motion(tuned, hole.x) for hole in holes)
    return Effect(hole_shift(aim, tuned, holes), aim.blank.length, supports)


def said_of_none(aim: Bar, tuned: ModeSet) -> str:
    """Say that no holes are noted, and what the usual ones would do at the nodes of a bar."""
    from barmodel.drilling import ACCURACY, hole_shift, modes_told
    from barmodel.errors import GeometryError
    from barmodel.holes import bored, check_hole
    from barmodel.units import MM

    text = "No cord holes are noted: none are drawn, and the tuning leaves nothing for them."
    note = f"If they are to come: barmodel log BAR --holes {USUAL_MM:g}, and print anew."
    holes = bored(aim, tuned.nodes[0].tolist(), USUAL_MM * MM, [0.0] * len(tuned.nodes[0]))
    try:
        for hole in holes:
            check_hole(aim, hole)
    except GeometryError:
        return f"{text} {note}"
    told = hole_shift(aim, tuned, holes)[: modes_told(aim.blank.length)]
    shifts = ", ".join(f"{cents:+.1f}" for cents in told)
    modes = ", ".join(str(number) for number in range(1, len(told) + 1))
    return (
        f"{text} {USUAL_MM:g} mm wide at the nodes, they would move modes {modes} by about "
        f"{shifts} cents (estimate: {ACCURACY}). {note}"
    )


def said_of_holes(
    aim: Bar, holes: tuple[CordHole, ...], effect: Effect, wood: float, *, left: bool, tell: bool
) -> tuple[str, ...]:
    """Sentences about the holes, for the screen and for the sheet of cautions.

    `left` where the tuning leaves for them already, which is told elsewhere; `tell` where what
    they will do is to be told here.
    """
    from barmodel.drilling import ACCURACY, modes_told
    from barmodel.sheets.around import all_hole_cautions
    from barmodel.units import MM

    if not holes:
        return ()
    told = effect.shift_cents[: modes_told(effect.length)]
    shifts = ", ".join(f"{cents:+.1f}" for cents in told)
    modes = ", ".join(str(number) for number in range(1, len(told) + 1))
    said = []
    if left:
        said.append(f"What the holes do is an estimate: {ACCURACY}.")
    elif tell:
        said.append(
            f"The holes will move modes {modes} by about {shifts} cents (estimate: {ACCURACY}): "
            "what will fall must be that much sharper before drilling."
        )
    for number, (distance, motion) in enumerate(effect.supports, start=1):
        if abs(distance) >= 0.5e-3:
            side = "inside" if distance > 0 else "outside"
            said.append(
                f"Hole {number} lies {abs(distance) * 1e3:.1f} mm {side} its node and moves with "
                f"{100 * motion:.1f} % of the middle of the bar; over 2 to 4 mm costs ring."
            )
    return (*said, *all_hole_cautions(aim, holes, keep=wood * MM))
