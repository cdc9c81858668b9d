"""Which plank for which bar: what a note keeps in the middle in each wood, and how it would ring.

A stiff, light plank (large √(E/ρ)) asks for a thinner middle at the same length and note, so it
serves where the middle is thick; a heavy one serves where the middle gets thin. A plank of low loss
serves high notes best, which die away first: decay time is Q/(π f). What is left open is chosen by
a linear assignment of bars to places in planks.

References
----------
The assignment is solved by scipy.optimize.linear_sum_assignment (D. F. Crouse, IEEE Trans. Aerosp.
Electron. Syst. 52 (2016) 1679, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.optimize import linear_sum_assignment

from barmodel.instrument.begun import Begun, taken
from barmodel.instrument.cutting import Piece, fits
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.planks import Plank
from barmodel.instrument.survey import check_notes, registers
from barmodel.instrument.trial import Trial, try_length
from barmodel.instrument.window import room_left
from barmodel.undercut.piece import Array
from barmodel.units import MM

NEVER = 1e6
"""Cost of a plank that does not do at all."""
CENTRE_COST = 40.0
"""Cost of a middle off the set's own by a factor e: 4 for a tenth (own choice)."""
EDGE_COST = 20.0
"""Cost of standing at the edge of what is sensible (own choice)."""
RING_COST = 3.0
"""Cost of half the quality factor at the highest note; nothing at the lowest (own choice)."""
LIKE_STOCK = 0.06
"""Wood whose speed of sound differs by no more is like the stock's (own choice). [1]"""
WASTE_COST = 0.2
"""Cost of each millimetre that must be planed off a plank (own choice)."""


@dataclass(frozen=True, slots=True, eq=False)
class Suits:
    """What each plank would make of each bar.

    Attributes
    ----------
    planks : tuple of Plank
    centre : ndarray, shape (planks, n)
        Thickness in the middle; NaN where nothing sensible is found. [m]
    cost : ndarray, shape (planks, n)
        Lower suits better; `NEVER` where it does not do. [1]
    """

    planks: tuple[Plank, ...]
    centre: Array
    cost: Array

    def notes(self, plank: int) -> np.ndarray:
        """Positions of the bars this plank does for."""
        return np.flatnonzero(self.cost[plank] < NEVER)

    def best(self, plank: int) -> np.ndarray:
        """Positions of the bars for which no plank is better than this one."""
        least = self.cost.min(axis=0)
        return np.flatnonzero((self.cost[plank] <= least + 1e-9) & (least < NEVER))


def suits(
    plan: SetPlan,
    lengths: Array,
    held: Sequence[Mapping[str, float]],
    centre: Array,
    mapped: Callable[..., Iterable[list[Trial | None]]] = map,
) -> Suits:
    """Judge every plank for every bar.

    Parameters
    ----------
    plan : SetPlan
    lengths : ndarray, shape (n,)
        [m]
    held : sequence of mapping, length n
        Measures held for each bar.
    centre : ndarray, shape (n,)
        Thickness in the middle that the set is drawn with. [m]
    mapped : callable
        As `map`; another one spreads the planks over several cores.
    """
    notes = sorted(check_notes(plan))
    work = partial(_tried, plan, notes, lengths, held)
    found = np.full((len(plan.planks), lengths.size), np.nan)
    cost = np.full(found.shape, NEVER)
    for k, (plank, trials) in enumerate(zip(plan.planks, mapped(work, plan.planks), strict=True)):
        found[k], room = _between(plan, notes, trials)
        for i, semitone in enumerate(plan.semitones):
            if not _fits(plan, plank, float(lengths[i]), plan.width(semitone)):
                continue
            if room[i] >= 0.0:
                cost[k, i] = _cost(plan, plank, i, float(found[k, i] / centre[i]), float(room[i]))
    return Suits(plan.planks, found, cost)


def _tried(
    plan: SetPlan,
    notes: Sequence[int],
    lengths: Array,
    held: Sequence[Mapping[str, float]],
    plank: Plank,
) -> list[Trial | None]:
    """Search for the notes surveyed in the wood of a plank, at the set's lengths."""
    tried: list[Trial | None] = []
    for note in notes:
        i = note - plan.lowest
        got = try_length(plan, note, float(lengths[i]), wood=plank.wood, fixed=held[i])
        tried.append(None if got is None else got[0])
    return tried


def _between(
    plan: SetPlan, notes: Sequence[int], trials: Sequence[Trial | None]
) -> tuple[Array, Array]:
    """Read thickness in the middle and room between the notes surveyed of a register."""
    n = len(plan.semitones)
    centre, room = np.full(n, np.nan), np.full(n, -1.0)
    for run in registers(plan):
        known = [
            (note, trial)
            for note, trial in zip(notes, trials, strict=True)
            if trial is not None and run[0] <= note <= run[-1]
        ]
        if not known:
            continue
        at = np.array([note for note, _ in known], dtype=float)
        inside = np.array([note - plan.lowest for note in run if at[0] <= note <= at[-1]])
        centre[inside] = np.interp(inside + plan.lowest, at, [trial.centre for _, trial in known])
        left = [min(room_left(plan, trial)) for _, trial in known]
        room[inside] = np.interp(inside + plan.lowest, at, left)
    return centre, room


def _fits(plan: SetPlan, plank: Plank, length: float, width: float) -> bool:
    """Whether a plank is large enough for one bar."""
    enough = plank.length >= length + plan.spare and plank.width >= width
    return enough and plank.thickness >= plan.thickness


def why_none(plan: SetPlan, plank: Plank, lengths: Array) -> str:
    """Say why a plank does for no bar of a set.

    Parameters
    ----------
    plan : SetPlan
    plank : Plank
        One of those that `suits` found nothing for.
    lengths : ndarray, shape (n,)
        Of the bars. [m]
    """
    wanted = [
        (float(length) + plan.spare, plan.width(semitone))
        for length, semitone in zip(lengths, plan.semitones, strict=True)
    ]
    if plank.thickness < plan.thickness:
        return f"it is {plank.thickness / MM:g} mm thick, under the {plan.thickness / MM:g} wanted"
    if not any(plank.length >= length and plank.width >= width for length, width in wanted):
        length, width = min(wanted)
        return f"it is too small: the shortest blank takes {length / MM:.0f} × {width / MM:g} mm"
    speed = math.sqrt(plan.wood.e_long / plan.wood.density)
    if abs(plank.speed / speed - 1.0) < LIKE_STOCK:
        return (
            f"its wood (√(E/ρ) {plank.speed:.0f} m/s) is near the stock's ({speed:.0f}), but at "
            "the set's lengths no bar has a sound middle in it: see what holds the lengths back, "
            "and give the stock the constants of your planks"
        )
    return (
        f"in its wood (√(E/ρ) {plank.speed:.0f} m/s, the stock {speed:.0f}) no bar has a sound "
        "middle at the set's length: check its taps and weight; if they are right, it is for "
        f"{'longer' if plank.speed > speed else 'shorter'} bars"
    )


def _cost(plan: SetPlan, plank: Plank, i: int, ratio: float, room: float) -> float:
    """How badly a plank suits a bar. [1]"""
    cost = CENTRE_COST * abs(math.log(ratio))
    cost += EDGE_COST * math.exp(-room / 0.05)
    cost += WASTE_COST * (plank.thickness - plan.thickness) / MM
    known = [item.quality_factor for item in plan.planks if item.quality_factor]
    if plank.quality_factor and known:
        high = i / max(len(plan.semitones) - 1, 1)
        cost += RING_COST * high * math.log2(max(known) / plank.quality_factor)
    return cost


def assign(
    plan: SetPlan, lengths: Array, judged: Suits, begun: Mapping[int, Begun] | None = None
) -> dict[int, int]:
    """Choose a plank for every bar, as far as there is wood.

    Every plank offers as many places as bars could come out of it at most. Where the bars it was
    given cannot all be sawn out of it, the one that can best go elsewhere is sent away and the
    assignment is solved again; that ends, as no plank gets a bar back that it sent away.

    Parameters
    ----------
    plan : SetPlan
    lengths : ndarray, shape (n,)
        Of the bars. [m]
    judged : Suits
        What every plank would cost every bar.
    begun : mapping of int to Begun, optional
        Bars that are sawn, by semitone: those whose plank is known keep it, be it judged as it
        may, and their blanks take its room; if it is not listed any more they take nobody's.

    Returns
    -------
    dict of int to int
        Position of the plank by position of the bar; bars for which there is none are missing.
    """
    cost, begun = judged.cost.copy(), begun or {}
    names = {plank.name: k for k, plank in enumerate(judged.planks)}
    fixed = {n - plan.lowest: item.plank for n, item in begun.items() if item.plank}
    cost[:, list(fixed)] = NEVER
    gone = [taken(plan, begun, plank.name) for plank in judged.planks]
    while True:
        chosen = _solved(plan, lengths, cost)
        full = [
            (k, bars)
            for k, bars in _by_plank(chosen).items()
            if not _saws(plan, judged.planks[k], [*gone[k], *blanks(plan, lengths, bars)])
        ]
        if not full:
            return chosen | {i: names[name] for i, name in fixed.items() if name in names}
        for k, bars in full:
            elsewhere = np.delete(cost, k, axis=0)[:, bars]
            least = elsewhere.min(axis=0) if elsewhere.size else np.full(len(bars), NEVER)
            leaving = bars[int(np.argmin(least - cost[k, bars]))]
            cost[k, leaving] = NEVER


def _solved(plan: SetPlan, lengths: Array, cost: Array) -> dict[int, int]:
    """Solve one linear assignment of bars to places in planks."""
    places = [k for k, plank in enumerate(plan.planks) for _ in range(_most(plan, plank, lengths))]
    if not places:
        return {}
    bars, at = linear_sum_assignment(cost[places].T)
    return {
        int(bar): places[place]
        for bar, place in zip(bars, at, strict=True)
        if cost[places[place], bar] < NEVER
    }


def _most(plan: SetPlan, plank: Plank, lengths: Array) -> int:
    """Bars that could come out of a plank at most."""
    shortest = float(lengths.min()) + plan.spare
    narrowest = min(plan.width(semitone) for semitone in plan.semitones)
    along = int((plank.length + plan.kerf) / (shortest + plan.kerf))
    across = int((plank.width + plan.kerf) / (narrowest + plan.kerf))
    return min(along * across, lengths.size)


def _by_plank(chosen: Mapping[int, int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for bar, plank in sorted(chosen.items()):
        found.setdefault(plank, []).append(bar)
    return found


def _saws(plan: SetPlan, plank: Plank, pieces: Sequence[Piece]) -> bool:
    """Whether these blanks can be sawn out of a plank."""
    return fits(pieces, length=plank.length, width=plank.width, kerf=plan.kerf)


def blanks(plan: SetPlan, lengths: Array, bars: Iterable[int]) -> list[Piece]:
    """Blanks of `bars` of a plan, by position, their `lengths` [m] with the spare length added."""
    return [
        Piece(
            semitone=plan.semitones[i],
            length=float(lengths[i]) + plan.spare,
            width=plan.width(plan.semitones[i]),
        )
        for i in bars
    ]
