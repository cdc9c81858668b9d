"""Cords: one straight line at each end of each row, fitted through the nodes of all its bars.

Bass on the left, the player in front. A bar is free to slide along itself, so what must fit is the
distance between its two nodes: half of it, s, should be a straight function S of the bar's place in
the row. What is left over is the misfit, the same at both ends of the bar.

Holes that are drilled stay where they are: they are data beside the nodes, of much more weight, as
far as no bar that is still to be drilled comes to lie too badly for it. Drilled where the cord ran
already they change nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

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
DRILLED = 5.0
"""How much more than a node a drilled hole weighs, before squaring: a node may be missed by a
millimetre, a hole cannot be moved; and two bad ones side by side turn no cord (own choice). [1]"""
ALLOWED = 0.95 * WORST
"""Misfit that a bar may come to for the sake of holes drilled in others. [m]"""
DRILLED_OFF = 0.5 * MM
"""Distance of drilled holes from the cord that is told: no drilling is truer (own choice). [m]"""
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
class Standing:
    """A bar that is there, and not just as the set file would have it.

    Attributes
    ----------
    length : float
        As long as it is now. [m]
    nodes : tuple of float
        Still points of mode 1 of what it is to become, from the player's end; empty where the
        design of the set file tells them. [m]
    node_slope : float
        Steepness of mode 1 at its node, over the motion of the middle. [1/m]
    drilled : tuple of Hole, optional
        Its cord holes once they are drilled, the player's end first; what they say of nodes and
        motion is not looked at.
    """

    length: float
    nodes: tuple[float, ...] = ()
    node_slope: float = 0.0
    drilled: tuple[Hole, Hole] | None = None


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
        Largest misfit; of a bar that is drilled, of its holes. [m]
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
        By semitone, the player's end first, drilled ones where they are; without bars that have
        no design.
    warnings : tuple of str
    """

    rails: tuple[Rail, ...]
    holes: dict[int, tuple[Hole, Hole]]
    warnings: tuple[str, ...]


def fit_rails(
    plan: SetPlan,
    lengths: Array,
    place: Array,
    outcomes: Sequence[Outcome | None],
    standing: Mapping[int, Standing] | None = None,
) -> Rails:
    """Fit the cords and place every hole.

    Parameters
    ----------
    plan : SetPlan
    lengths, place : ndarray, shape (n,)
        Of each bar, and where its middle lies along the row. [m]
    outcomes : sequence of Outcome or None, length n
        Designs; bars without one are left out, if they are not standing.
    standing : mapping of int to Standing, optional
        By semitone, bars that are otherwise than the set file has them; they count as they are.
    """
    rails: list[Rail] = []
    holes: dict[int, tuple[Hole, Hole]] = {}
    found = [
        _lying(outcome, float(length), (standing or {}).get(note))
        for note, outcome, length in zip(plan.semitones, outcomes, lengths, strict=True)
    ]
    off: list[str] = []
    for number, row in enumerate(rows(plan)):
        known = [(int(i), bar) for i in row if (bar := found[i]) is not None]
        if not known:
            continue
        slope, at_bass = _line([(float(place[i]), bar) for i, bar in known])
        lean = plan.rails.lean[number]
        away = {plan.semitones[i]: bar.half - at_bass - slope * place[i] for i, bar in known}
        rail = Rail(
            row=ROWS[number],
            at_bass=at_bass,
            slope=slope,
            player_slope=-2.0 * slope * lean,
            far_slope=2.0 * slope * (1.0 - lean),
            semitones=tuple(away),
            worst=max(map(abs, map(float, away.values()))),
        )
        rails.append(rail)
        for i, bar in known:
            semitone = plan.semitones[i]
            holes[semitone] = _holes(plan.width(semitone) / 2, rail, bar, float(place[i]))
        drilled = {plan.semitones[i] for i, bar in known if bar.drilled is not None}
        off += _off_the_cord(rail.row, {n: d for n, d in away.items() if n not in drilled})
        off += _drilled_off(rail.row, {n: d for n, d in away.items() if n in drilled})
    if plan.rails.hole_diameter > 0.0:
        off += _turned(rails)
    return Rails(rails=tuple(rails), holes=holes, warnings=tuple(off))


@dataclass(frozen=True, slots=True)
class _Lying:
    """A bar as it lies on the cords: nodes from the player's end [m]."""

    length: float
    nodes: tuple[float, float]
    node_slope: float
    drilled: tuple[Hole, Hole] | None

    @property
    def node_half(self) -> float:
        """Half the distance between its nodes. [m]"""
        return (self.nodes[1] - self.nodes[0]) / 2

    @property
    def half(self) -> float:
        """Half the distance between its holes where they are drilled, else its nodes. [m]"""
        if self.drilled is None:
            return self.node_half
        player, far = self.drilled
        return (self.length - player.middle - far.middle) / 2


def _lying(outcome: Outcome | None, length: float, there: Standing | None) -> _Lying | None:
    """What is known of a bar, of that on the bench before its design; None if nothing is."""
    nodes, slope = (outcome.nodes, outcome.node_slope) if outcome is not None else ((), 0.0)
    drilled = None
    if there is not None:
        nodes = tuple(x * there.length / length for x in nodes)  # as if its design were drawn out
        length, drilled = there.length, there.drilled
        if there.nodes:
            nodes, slope = there.nodes, there.node_slope
    if len(nodes) < 2:
        return None
    return _Lying(length, (nodes[0], nodes[-1]), slope, drilled)


def _line(bars: Sequence[tuple[float, _Lying]]) -> tuple[float, float]:
    """Straight line for the bars at their places; level through a single one."""
    if len(bars) < 2:
        return 0.0, bars[0][1].half
    x, half = np.array([(place, bar.node_half) for place, bar in bars]).T
    plain = np.polyfit(x, half, 1)
    there = [i for i, (_, bar) in enumerate(bars) if bar.drilled is not None]
    if there:
        weight = np.concatenate([np.ones(x.size), np.full(len(there), DRILLED)])
        holes = [bars[i][1].half for i in there]
        through = np.polyfit(
            np.concatenate([x, x[there]]), np.concatenate([half, holes]), 1, w=weight
        )
        left = np.delete(half - np.polyval(plain, x), there)
        pull = np.delete(np.polyval(through - plain, x), there)
        plain = plain + _share(left, pull) * (through - plain)
    slope, at_bass = plain
    return float(slope), float(at_bass)


def _share(left: Array, pull: Array) -> float:
    """How much of a pull on the cord leaves no node worse than `ALLOWED`, or than it was. [1]

    Parameters
    ----------
    left, pull : ndarray, shape (n,)
        Misfit of each node without it; what it takes off the misfit. [m]
    """
    room = np.maximum(np.abs(left), ALLOWED) + np.sign(pull) * left
    moved = np.abs(pull) > 0.0
    return float(min(1.0, np.min(room[moved] / np.abs(pull[moved]), initial=1.0)))


def _holes(edge: float, rail: Rail, bar: _Lying, place: float) -> tuple[Hole, Hole]:
    """Where the cords go through a bar, or where its holes are; `edge` is half its width [m]."""
    inward = bar.node_half - rail.half(place)
    made = []
    for number, (end, slope, node) in enumerate(
        (
            ("player", rail.player_slope, bar.nodes[0]),
            ("far", -rail.far_slope, bar.length - bar.nodes[1]),
        )
    ):
        middle = node + inward
        hole = Hole(
            end=end,
            node=node,
            middle=middle,
            bass_edge=middle - slope * edge,
            treble_edge=middle + slope * edge,
            angle_degrees=math.degrees(math.atan(slope)),
            motion=math.nan,
        )
        if bar.drilled is not None:
            hole = replace(bar.drilled[number], node=node)
        made.append(replace(hole, motion=abs(hole.misfit) * bar.node_slope))
    return made[0], made[1]


def _off_the_cord(row: str, away: Mapping[int, float]) -> Iterator[str]:
    """Bars whose nodes lie too far off the straight cord; positive is further out than it."""
    off = [f"{note_of(n)} {by / MM:+.1f} mm" for n, by in away.items() if abs(by) > WORST]
    if off:
        yield (
            f"{row}: nodes off the straight cord by more than {WORST / MM:g} mm: "
            f"{', '.join(off)}; allow lengths to change more, or bend the cord there"
        )


def _drilled_off(row: str, away: Mapping[int, float]) -> Iterator[str]:
    """Bars whose drilled holes are not on the straight cord."""
    off = [
        f"{note_of(note)} {abs(by) / MM:.1f} mm too near its {'ends' if by > 0.0 else 'middle'}"
        for note, by in away.items()
        if abs(by) > DRILLED_OFF
    ]
    if off:
        yield (
            f"{row}: holes that are drilled lie off the straight cord: {', '.join(off)}; let the "
            "cord bend there"
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
