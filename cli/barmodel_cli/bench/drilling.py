"""Cord holes as they are asked for: where they go, and what they do."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.holes import CordHole
    from barmodel.modes import ModeSet

LONG_ENOUGH = 0.2
"""Mode 3 is not told on shorter bars: the estimate does not hold there. [m]"""


class Drilling(NamedTuple):
    """Holes asked for, in millimetres and degrees."""

    at: list[float] | None
    diameter: float
    height: float | None
    angle: float
    wood: float


class Effect(NamedTuple):
    """What the holes do: cents on each mode; distance from the node and motion of each hole."""

    shift_cents: Any
    length: float
    supports: tuple[tuple[float, float], ...]


def holes_asked(aim: Bar, nodes: tuple[float, ...], drilling: Drilling) -> tuple[CordHole, ...]:
    """Holes asked for, or at the nodes as far as there is wood for them."""
    from barmodel.errors import GeometryError
    from barmodel.holes import CordHole, check_hole
    from barmodel.units import MM

    if drilling.diameter <= 0.0:
        return ()
    middle = aim.blank.length / 2
    places = nodes if drilling.at is None else [place * MM for place in drilling.at]
    if drilling.height is None:
        axis = min((half_way(aim, x, drilling) for x in places), default=0.0)
    else:
        axis = drilling.height * MM
    holes = []
    for x in places:
        turn = drilling.angle if x <= middle else -drilling.angle
        hole = CordHole(x, drilling.diameter * MM, axis, turn)
        try:
            check_hole(aim, hole)
        except GeometryError as error:
            if drilling.at is not None:
                raise
            caution(f"not drawn: {error}")
            continue
        holes.append(hole)
    return tuple(holes)


def half_way(aim: Bar, x: float, drilling: Drilling) -> float:
    """Half the least thickness that is left along a hole, to a tenth of a millimetre below. [m]"""
    import numpy as np

    from barmodel.units import MM

    turned = aim.blank.width / 2 * abs(np.tan(np.radians(drilling.angle)))
    reach = drilling.diameter * MM / 2 + turned
    along = np.clip(np.linspace(x - reach, x + reach, 65), 0.0, aim.blank.length)
    left = float(aim.profile.thickness(along).real.min())
    return float(np.floor(left / 2 / MM * 10.0 + 1e-6)) * MM / 10.0


def effect_of_holes(aim: Bar, tuned: ModeSet, holes: tuple[CordHole, ...]) -> Effect:
    """What the holes do to the modes, and how far each moves with the bar."""
    from barmodel.holes import hole_shift, support_motion

    supports = tuple(support_motion(tuned, hole.x) for hole in holes)
    return Effect(hole_shift(aim, tuned, holes), aim.blank.length, supports)


def said_of_holes(
    aim: Bar, holes: tuple[CordHole, ...], effect: Effect, wood: float, *, drilled: bool
) -> tuple[str, ...]:
    """Sentences about the holes, for the screen and for the sheet of cautions."""
    from barmodel.holes import ACCURACY
    from barmodel.sheets.around import all_hole_cautions
    from barmodel.units import MM

    if not holes:
        return ()
    told = effect.shift_cents[: 3 if effect.length > LONG_ENOUGH else 2]
    shifts = ", ".join(f"{cents:+.1f}" for cents in told)
    modes = ", ".join(str(number) for number in range(1, len(told) + 1))
    said = []
    if not drilled:
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
