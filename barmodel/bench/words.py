"""The advice in words."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.outcome import Outcome
from barmodel.bench.plan import Place
from barmodel.bench.rescue import Rescue
from barmodel.cuts import Cut, EndTrim
from barmodel.undercut import Arch, Table
from barmodel.undercut.piece import Array
from barmodel.units import MM


def mode_list(modes: Sequence[int]) -> str:
    """Name modes counted from 0.

    Examples
    --------
    >>> mode_list([0, 2])
    'modes 1 and 3'
    """
    numbers = [str(mode + 1) for mode in modes]
    return f"mode{'s' * (len(numbers) > 1)} {joined(numbers)}"


def joined(names: Sequence[str]) -> str:
    """Names as one says them.

    Examples
    --------
    >>> joined(["file10", "scraper40", "drum40"])
    'file10, scraper40 and drum40'
    """
    return " and ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def missed(miss: Array) -> str:
    """Which mode misses its tolerance most, and by how much. `miss` is negative if flat. [cent]

    Examples
    --------
    >>> missed(np.array([0.0, 47.2]))
    'mode 2 would stay 47 cents sharp of its tolerance'
    """
    worst = int(np.argmax(np.abs(miss)))
    side = "flat" if miss[worst] < 0.0 else "sharp"
    return f"mode {worst + 1} would stay {abs(miss[worst]):.0f} cents {side} of its tolerance"


def cut_words(cut: Cut, length: float, cutter: str | None = None) -> str:
    """Say where, how long, how deep, and whether on both halves.

    Parameters
    ----------
    cut : Shape or EndTrim
    length : float
        Of the bar. [m]
    cutter : str, optional
    """
    if isinstance(cut, EndTrim):
        if cut.left == cut.right:
            return f"{cut.left / MM:.1f} mm off each end"
        return f"{cut.left / MM:.1f} mm off the left end, {cut.right / MM:.1f} mm off the right"
    start, end = (edge / MM for edge in cut.extent)
    tool = f"{cutter}: " if cutter else ""
    if isinstance(cut, Table):
        return f"{tool}from {start:.0f} to {end:.0f} mm, to the depths of the table"
    deep = f"{cut.deepest / MM:.2f} mm deep"
    if isinstance(cut, Arch):
        return f"{tool}arch from {start:.0f} to {end:.0f} mm, {deep} in the middle"
    middle = (start + end) / 2
    if cut.mirror:
        other = length / MM - middle
        places = f"at {_place(middle)} and {_place(other)} mm from the left end (both halves)"
    else:
        places = f"at {_place(middle)} mm from the left end"
        if abs(2 * middle - length / MM) < 1.0:
            places = f"in the middle, {places}"
    return f"{tool}{places}, {end - start:.0f} mm long, {deep}"


def _place(at_mm: float) -> str:
    """To half a millimetre, as a bar of odd length has them."""
    return f"{round(2.0 * at_mm) / 2.0:g}"


def bite_reason(place: Place, goal: Goal, found: Outcome, share: float) -> str:
    """Why here and no further, in one line."""
    shift = found.shift_cents[: goal.count]
    over = (place.cents - goal.high) / (goal.high - goal.low)
    far = int(np.argmax(over)) if over.max() > 0.0 else int(np.argmax(-shift))
    text = f"mode {far + 1} is farthest from home ({place.cents[far]:+.0f} cents)"
    if over.max() <= 0.0:
        text = "all modes are near; this makes it surer"
    rest = [mode for mode in np.argsort(shift) if shift[mode] < -0.5 and mode != far]
    falls = ", ".join(f"mode {mode + 1} by {-shift[mode]:.1f}" for mode in (far, *rest))
    text += f"; the cut lowers {falls} cents"
    if share < 0.99:
        tight = tightest(goal, found)
        k = goal.count
        flat = goal.flat_chance(goal.cents(found.log_hz), found.covariance[:k, :k])[tight]
        text += (
            f"; {100 * share:.0f} % of the whole way, so that mode {tight + 1} ends no flatter "
            f"than allowed, with {100 * (1 - flat):.0f} % certainty"
        )
    else:
        text += "; that should be the last"
    return text


def tightest(goal: Goal, found: Outcome) -> int:
    """Mode that comes closest to its flat end in standard errors."""
    cents = goal.cents(found.log_hz)
    return int(np.argmin((cents - goal.low) / found.error_cents[: goal.count]))


def rescue_reason(rescue: Rescue, flat: Sequence[int], miss: Array) -> str:
    """Why the ends, what it costs, and what comes after."""
    lifts = ", ".join(f"{cents:+.0f}" for cents in rescue.shift_cents)
    how = "off each end" if isinstance(rescue.first, EndTrim) else "thinner under both ends"
    if flat:
        why = f"{mode_list(flat)} {'is' if len(flat) == 1 else 'are'} flat"
    else:
        why = f"{mode_list([int(np.argmax(np.abs(miss)))])} cannot come home by cuts alone"
    text = f"{why}; {rescue.end_mm:.1f} mm {how} lifts the modes by {lifts} cents"
    if rescue.much:
        text += ", more than is usual: it is then short beside its neighbours, its nodes shift"
    if rescue.then:
        many = "a cut" if len(rescue.then) == 1 else f"{len(rescue.then)} cuts"
        text += f"; then {many}, once it was heard again"
    return text
