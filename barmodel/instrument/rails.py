"""Cords: one straight line at each end of each row, fitted through the nodes of all its bars.

Bass on the left, the player in front. A bar is free to slide along itself, so what must fit is the
distance between its two nodes: half of it, s, should be a straight function S of the bar's place in
the row. What is left over is the misfit, the same at both ends of the bar.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.instrument.layout import rows
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.record import Outcome
from barmodel.pitch import note_of
from barmodel.undercut.piece import Array
from barmodel.units import MM

ROWS = ("naturals", "accidentals")
WORST = 2.0 * MM
"""Misfit from which a bar is named; 2 to 4 mm are tolerated in practice (from memory). [m]"""
TURNED = 0.3
"""Angle above which a hole drilled mirrored would be seen. [degree]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One cord hole, all distances from the end of the bar that it is nearer to.

    Attributes
    ----------
    end : {"player", "far"}
    node, middle : float
        Node of mode 1, and the hole on the middle line of the bar. [m]
    bass_edge, treble_edge : float
        The hole where it comes out at the edges. [m]
    angle_degrees : float
        Out of square; positive when it lies nearer the middle of the bar at the treble edge.
    motion : float
        How much the bar moves there in mode 1, over its middle. [1]
    """

    end: str
    node: float
    middle: float
    bass_edge: float
    treble_edge: float
    angle_degrees: float
    motion: float

    @property
    def misfit(self) -> float:
        """How far the hole lies from the node, positive towards the middle of the bar. [m]"""
        return self.middle - self.node


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """Both cords of one row.

    Attributes
    ----------
    row : {"naturals", "accidentals"}
    at_bass : float
        Half the distance between the cords at place 0. [m]
    slope : float
        Its change per distance along the row; negative when the cords run together. [1]
    player_slope, far_slope : float
        Slope of each cord, away from the player positive. [1]
    semitones : tuple of int
        Bars on it.
    worst : float
        Largest misfit. [m]
    """

    row: str
    at_bass: float
    slope: float
    player_slope: float
    far_slope: float
    semitones: tuple[int, ...]
    worst: float

    def half(self, place: float) -> float:
        """Half the distance between the cords at a place. [m]"""
        return self.at_bass + self.slope * place


@dataclass(frozen=True, slots=True, kw_only=True)
class Rails:
    """Cords of a set.

    Attributes
    ----------
    rails : tuple of Rail
    holes : dict of int to tuple of Hole
        By semitone, the player's end first; without bars that have no design.
    warnings : tuple of str
    """

    rails: tuple[Rail, ...]
    holes: dict[int, tuple[Hole, Hole]]
    warnings: tuple[str, ...]


def fit_rails(
    plan: SetPlan, lengths: Array, place: Array, outcomes: Sequence[Outcome | None]
) -> Rails:
    """Fit the cords and place every hole.

    Parameters
    ----------
    plan : SetPlan
    lengths, place : ndarray, shape (n,)
        Of each bar, and where its middle lies along the row. [m]
    outcomes : sequence of Outcome or None, length n
        Designs; bars without one are left out.
    """
    rails: list[Rail] = []
    holes: dict[int, tuple[Hole, Hole]] = {}
    for number, row in enumerate(rows(plan)):
        known = [i for i in row if _nodes(outcomes[i]) is not None]
        if not known:
            continue
        x = place[known]
        half = np.array([_half(outcomes[i]) for i in known])
        slope, at_bass = _line(x, half)
        lean = plan.rails.lean[number]
        rail = Rail(
            row=ROWS[number],
            at_bass=at_bass,
            slope=slope,
            player_slope=-2.0 * slope * lean,
            far_slope=2.0 * slope * (1.0 - lean),
            semitones=tuple(plan.semitones[i] for i in known),
            worst=float(np.abs(half - at_bass - slope * x).max()),
        )
        rails.append(rail)
        for i in known:
            semitone = plan.semitones[i]
            holes[semitone] = _holes(plan, rail, outcomes[i], float(lengths[i]), float(place[i]))
    warnings = [*_off_the_cord(rails, holes)]
    if plan.rails.hole_diameter > 0.0:
        warnings += _turned(rails)
    return Rails(rails=tuple(rails), holes=holes, warnings=tuple(warnings))


def _nodes(outcome: Outcome | None) -> tuple[float, ...] | None:
    return outcome.nodes if outcome is not None and len(outcome.nodes) > 1 else None


def _half(outcome: Outcome | None) -> float:
    nodes = _nodes(outcome) or (math.nan, math.nan)
    return (nodes[-1] - nodes[0]) / 2


def _line(x: Array, half: Array) -> tuple[float, float]:
    """Least squares line; level through a single bar."""
    if x.size < 2:
        return 0.0, float(half[0])
    slope, at_bass = np.polyfit(x, half, 1)
    return float(slope), float(at_bass)


def _holes(
    plan: SetPlan, rail: Rail, outcome: Outcome | None, length: float, place: float
) -> tuple[Hole, Hole]:
    assert outcome is not None
    middle = length / 2 - rail.half(place)
    node = length / 2 - _half(outcome)
    edge = plan.width(outcome.semitone) / 2
    made = []
    for end, slope in (("player", rail.player_slope), ("far", -rail.far_slope)):
        made.append(
            Hole(
                end=end,
                node=node,
                middle=middle,
                bass_edge=middle - slope * edge,
                treble_edge=middle + slope * edge,
                angle_degrees=math.degrees(math.atan(slope)),
                motion=abs(middle - node) * outcome.node_slope,
            )
        )
    return made[0], made[1]


def _off_the_cord(rails: Sequence[Rail], holes: dict[int, tuple[Hole, Hole]]) -> Iterator[str]:
    """Bars whose nodes lie too far off the straight cord."""
    for rail in rails:
        off = [
            f"{note_of(note)} {holes[note][0].misfit / MM:+.1f} mm"
            for note in rail.semitones
            if abs(holes[note][0].misfit) > WORST
        ]
        if off:
            yield (
                f"{rail.row}: nodes off the straight cord by more than {WORST / MM:g} mm: "
                f"{', '.join(off)}; allow lengths to change more, or bend the cord there"
            )


def _turned(rails: Sequence[Rail]) -> list[str]:
    """What to mind where holes are drilled out of square."""
    found = []
    turned = [
        rail
        for rail in rails
        if max(abs(rail.player_slope), abs(rail.far_slope)) > math.tan(math.radians(TURNED))
    ]
    if turned:
        found.append(
            "the two ends of a bar are drilled with opposite hands, and a bar marked with its "
            "underside up shows bass and treble exchanged: mark top, player's end and bass edge "
            "on every bar before drilling, or it comes out mirrored"
        )
    if len(turned) == 2 and _differ(turned[0], turned[1]):
        found.append(
            "naturals and accidentals are drilled at different angles: keep the rows apart at "
            "the drill and set the wedge anew between them"
        )
    return found


def _differ(one: Rail, other: Rail) -> bool:
    pairs = ((one.player_slope, other.player_slope), (one.far_slope, other.far_slope))
    return any(abs(math.degrees(math.atan(a) - math.atan(b))) > TURNED for a, b in pairs)
