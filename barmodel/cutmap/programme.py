"""The programme behind a recipe: which cuts, how deep, for least wood removed.

Every cut that might be made is a column: a place, a length along the bar, and how deep it may go.
Shifts add up, nearly, which makes it a linear programme. Cuts must not overlap, so that each is
what it says: of all cuts that hold one point of the bar only one is made. Where a solution breaks
that, the cuts about the point are parted in two halves and each half is tried without the other
(special ordered sets; Beale and Tomlin 1970, from memory).
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap.effect import LightEffect
from barmodel.cutmap.spots import SHALLOWEST, TRIAL, Spot, overlaps
from barmodel.cuts import side_area
from barmodel.linear import Cheapest, cheapest
from barmodel.undercut import Shape
from barmodel.undercut.piece import Array
from barmodel.units import MM

MARGIN = 0.8
"""Part of the tolerance the programme may use; the rest is for its linearity. [1]"""
MOST_TRIALS = 300
"""Programmes solved in search of the best cuts that do not overlap; then any such will do."""
GAP = 0.01
"""Relative wood that a better choice of cuts would have to save to be looked for. [1]"""
NEAR = 0.5
"""Gap between two cuts, over the shorter of them, below which one longer cut is tried. [1]"""
JOINED_COST = 1.15
"""Wood a longer cut in place of two may cost, over theirs (own judgement). [1]"""
USED = 1e-9
"""Amounts below this are none. [mm]"""


@dataclass(frozen=True, slots=True, eq=False)
class Programme:
    """What is asked of a recipe; amounts in mm.

    Attributes
    ----------
    spots : tuple of Spot
    effects : ndarray, shape (modes, spots)
        Shift per amount. [cent/mm]
    area : ndarray, shape (spots,)
        Side view that each removes per amount, over their mean. [1]
    chosen : int
        Row of the mode to be lowered.
    cents : float
        By how much. [cent]
    tolerance : float
        Most that the others may move. [cent]
    mode : str
    """

    spots: tuple[Spot, ...]
    effects: Array
    area: Array
    chosen: int
    cents: float
    tolerance: float
    mode: str

    def least_removal(self, bias: Array, kept: np.ndarray) -> Array | None:
        """Amounts of least removal, given what linear theory is found to miss. [mm]

        Parameters
        ----------
        bias : ndarray, shape (modes,)
            Shift by the solid minus linear shift, at the last recipe. [cent]
        kept : ndarray of int
            The cuts of that recipe, to be kept where they can meet the aim.

        Returns
        -------
        ndarray, shape (spots,), or None
            None if the others cannot be spared so well.
        """
        if kept.size:
            among = np.isin(np.arange(self.area.size), kept)
            found = self._parted(self._least(bias), among)
            if found is not None:
                return self._deep_enough(bias, among, found)
        every = np.ones(self.area.size, dtype=bool)
        found = self._parted(self._least(bias), every)
        return None if found is None else self._joined(bias, self._deep_enough(bias, every, found))

    def cuts(self, amounts: Array) -> tuple[Shape, ...]:
        """Cuts of these amounts [mm], from the left end on."""
        made = [
            spot.cut(spot.depth(float(amount) * MM))
            for spot, amount in zip(self.spots, amounts, strict=True)
            if amount > USED
        ]
        return tuple(sorted(made, key=lambda cut: cut.extent))

    def nearest(self, bias: Array) -> Array | None:
        """Amounts that lower the mode as asked and move the others as little as can be. [mm]"""
        found = self._parted(self._widest(bias), np.ones(self.area.size, dtype=bool))
        return None if found is None else found[:-1]

    def offers(self, bias: Array) -> tuple[float | None, float | None]:
        """Tolerance that would do, and shift that could be had with this one. [cent], [cent]"""
        every = np.ones(self.area.size, dtype=bool)
        wider, less = (self._parted(ask, every) for ask in (self._widest(bias), self._most(bias)))
        return (
            None if wider is None else float(wider[-1]) / MARGIN,
            None if less is None else float(less[-1]),
        )

    def _deep_enough(self, bias: Array, may: np.ndarray, found: Array) -> Array:
        """Do without cuts too shallow to make, where the others can make up for them."""
        depths = [s.depth(float(a) * MM) for s, a in zip(self.spots, found, strict=True)]
        shallow = (found > USED) & (np.array(depths) < SHALLOWEST)
        if not shallow.any():
            return found
        better = self._parted(self._least(bias), may & ~shallow)
        return found if better is None else better

    def _joined(self, bias: Array, found: Array) -> Array:
        """Make one longer cut of two neighbours where that costs little more wood."""
        made = sorted(np.flatnonzero(found > USED), key=lambda k: self.spots[k].extent)
        starts, ends = np.array([spot.extent for spot in self.spots]).T
        for one, next_ in itertools.pairwise(made):
            gap = starts[next_] - ends[one]
            if gap > NEAR * min(ends[one] - starts[one], ends[next_] - starts[next_]):
                continue
            may = (starts < ends[one]) & (ends > starts[next_])  # only one of them can be made
            may[[k for k in made if k not in (one, next_)]] = True
            better = self._parted(self._least(bias), may)
            if better is None or (better > USED).sum() >= len(made):
                continue
            if self.area @ better <= JOINED_COST * (self.area @ found):
                return self._joined(bias, better)
        return found

    @property
    def _others(self) -> Array:
        return np.delete(self.effects, self.chosen, axis=0)

    def _least(self, bias: Array) -> _Linear:
        """Least removal that lowers the mode as asked and moves the others within tolerance."""
        room, rest = MARGIN * self.tolerance, np.delete(bias, self.chosen)
        return _Linear(
            price=self.area,
            most=np.vstack([self._others, -self._others]),
            at_most=np.concatenate([room - rest, room + rest]),
            equal=self.effects[self.chosen],
            to=-self.cents - float(bias[self.chosen]),
        )

    def _widest(self, bias: Array) -> _Linear:
        """The tolerance that would do: one more unknown, not an amount."""
        rest, one = np.delete(bias, self.chosen), np.ones((self._others.shape[0], 1))
        return _Linear(
            price=np.append(np.zeros(self.area.size), 1.0),
            most=np.vstack([np.hstack([self._others, -one]), np.hstack([-self._others, -one])]),
            at_most=np.concatenate([-rest, rest]),
            equal=np.append(self.effects[self.chosen], 0.0),
            to=-self.cents - float(bias[self.chosen]),
        )

    def _most(self, bias: Array) -> _Linear:
        """The shift that could be had at this tolerance: one more unknown, not an amount."""
        room, rest = MARGIN * self.tolerance, np.delete(bias, self.chosen)
        none = np.zeros((self._others.shape[0], 1))
        return _Linear(
            price=np.append(np.zeros(self.area.size), -1.0),
            most=np.vstack([np.hstack([self._others, none]), np.hstack([-self._others, none])]),
            at_most=np.concatenate([room - rest, room + rest]),
            equal=np.append(self.effects[self.chosen], 1.0),
            to=-float(bias[self.chosen]),
        )

    def _parted(self, asked: _Linear, may: np.ndarray) -> Array | None:
        """Solve with cuts that do not overlap; None if there is no way.

        Parameters
        ----------
        asked : _Linear
        may : ndarray of bool, shape (spots,)
            Cuts that may be made.
        """
        groups = overlaps(self.spots)
        number, trials = itertools.count(), 0
        first = self._solve(asked, groups, may)
        waiting = [] if first is None else [(first.cost, next(number), may, first.amounts)]
        while waiting:
            cost, _, may, amounts = heapq.heappop(waiting)
            split = self._halves(groups, amounts)
            if split is None:
                return amounts
            if trials >= MOST_TRIALS:
                waiting.clear()  # on from here, straight down
            for half in split:
                fewer = may & ~half
                found = self._solve(asked, groups, fewer)
                trials += 1
                if found is not None:
                    # a hundredth of the wood is not worth searching on for
                    worth = max(found.cost - GAP * abs(found.cost), cost)
                    heapq.heappush(waiting, (worth, next(number), fewer, found.amounts))
        return None

    def _halves(self, groups: np.ndarray, amounts: Array) -> tuple[np.ndarray, np.ndarray] | None:
        """Part the cuts about a point where two are made; None if there is no such point."""
        made = amounts[: self.area.size] > USED
        counts = (groups & made).sum(axis=1)
        if counts.max(initial=0) < 2:
            return None
        group = groups[int(counts.argmax())]
        order = [k for k in np.argsort([spot.at for spot in self.spots]) if group[k]]
        inside = [place for place, k in enumerate(order) if made[k]]
        middle = (inside[0] + inside[-1] + 1) // 2
        left, right = np.zeros_like(group), np.zeros_like(group)
        left[order[:middle]], right[order[middle:]] = True, True
        return left, right

    def _solve(self, asked: _Linear, groups: np.ndarray, may: np.ndarray) -> Cheapest | None:
        """Solve the linear programme; overlapping cuts share the depth there is."""
        limit = np.array([spot.amount(spot.deepest) for spot in self.spots]) / MM
        extra = asked.price.size - limit.size
        shares = np.hstack([groups / limit, np.zeros((len(groups), extra))])
        return cheapest(
            asked.price,
            rows=np.vstack([asked.most, shares]),
            at_most=np.concatenate([asked.at_most, np.ones(len(groups))]),
            upper=np.append(np.where(may, limit, 0.0), np.full(extra, np.inf)),
            equal=asked.equal[None],
            to=np.array([asked.to]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Linear:
    """Minimise price·x subject to most·x ≤ at_most and equal·x = to."""

    price: Array
    most: Array
    at_most: Array
    equal: Array
    to: float


def programme(
    bar: Bar,
    effect: LightEffect,
    found: Sequence[Spot],
    *,
    mode: str,
    cents: float,
    tolerance: float,
) -> Programme:
    """Set up the programme for one mode of `effect`."""
    trials = [spot.cut(TRIAL) for spot in found]
    areas = np.array([side_area(bar, cut) for cut in trials])
    return Programme(
        spots=tuple(found),
        effects=np.stack([effect.shift(cut) for cut in trials], axis=1) * (MM / TRIAL),
        area=areas / areas.mean(),
        chosen=list(effect.labels).index(mode),
        cents=cents,
        tolerance=tolerance,
        mode=mode,
    )
