"""What a bar is to show today: its target, and what is left for the air and for cord holes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barmodel_cli.bench.cords import Holes, holes_to_come, holes_when_done
from barmodel_cli.bench.season import Leave, Rooms, leave_in, rooms_of, rooms_today
from barmodel_cli.bench.water import drift_since

if TYPE_CHECKING:
    from barmodel.bench import Belief, Goal
    from barmodel.files import BarDocument, Reading
    from barmodel.pitch import Target
    from barmodel.undercut.piece import Array


def cents_from(hz: Sequence[float | None], target: Target) -> Array:
    """Cents of each tuned mode from its target, NaN for one not heard."""
    import numpy as np

    count = len(target.ratios)
    values = [np.nan if value is None else value for value in hz[:count]]
    values += [np.nan] * (count - len(values))
    return target.cents(values)


@dataclass(frozen=True, slots=True, eq=False)
class Today:
    """What is to be left above the target of a bar.

    Attributes
    ----------
    leave : Leave or None
        For the air of the room it will be played in; None where that is not known.
    holes : Holes or None
        For cord holes that are still to be drilled.
    water_percent : float or None
        Water in the wood, where that is known. [%]
    """

    leave: Leave | None
    holes: Holes | None
    water_percent: float | None = None

    def __bool__(self) -> bool:
        return self.leave is not None or self.holes is not None

    def show(self, target: Target) -> None:
        """Print what a tuner must show today, and why; nothing where that is the target."""
        print_why(*self.words(target))

    def above(self, count: int) -> Array:
        """How far above its target each of the tuned modes is to stand today. [cent]"""
        import numpy as np

        cents = np.zeros(count)
        if self.leave is not None:
            cents += self.leave.shift.cents
        if self.holes is not None:
            known = self.holes.cents[:count]
            cents[: known.size] -= known
        return cents

    def hz(self, target: Target) -> Array:
        """What each tuned mode is to be today. [Hz]"""
        return target.hz * 2.0 ** (self.above(target.hz.size) / 1200)

    def away(self, hz: Sequence[float | None], target: Target) -> Array:
        """How far each tuned mode is from what it is to be; NaN for one not heard. [cent]"""
        return cents_from(hz, target) - self.above(len(target.ratios))

    def away_by(self, reading: Reading, document: BarDocument, target: Target) -> Array:
        """The same by the last reading, brought to the water that is in the wood today. [cent]"""
        drift = drift_since(document, reading, self.water_percent)
        return self.away(reading.hz, target) + drift.cents

    def aimed(self, goal: Goal, belief: Belief) -> tuple[Goal, Belief]:
        """Aim there; readings are brought to the heat of the room."""
        if self.leave is not None:
            goal, belief = self.leave.aimed(goal, belief)
        if self.holes is not None:
            goal = self.holes.raised(goal)
        return goal, belief

    @property
    def why(self) -> tuple[str, ...]:
        """What is left, and for what; nothing where the target is what the bar is to show."""
        season = () if self.leave is None else (self.leave.text,)
        return season if self.holes is None else (*season, self.holes.left_for)

    def words(self, target: Target) -> tuple[str, ...]:
        """What a tuner must show today, and why; nothing where that is the target."""
        if not self:
            return ()
        shown = ", ".join(f"{hz:.1f}" for hz in self.hz(target))
        return (f"a tuner must show {shown} Hz today", *self.why)

    @property
    def content(self) -> dict[str, Any]:
        """The same for programs."""
        found: dict[str, Any] = {}
        if self.leave is not None:
            found["leave"] = self.leave.content
        if self.holes is not None:
            found["holes"] = self.holes.content
        return found


def print_why(head: str = "", *reasons: str) -> None:
    """Print a line and its reasons below it; nothing where there are none."""
    if reasons:
        print("\n  ".join((f"{head}:", *reasons)))


AS_TARGETED = Today(None, None)
"""Where nothing is known of holes to come, nor of the room."""


def today_of(
    document: BarDocument,
    bar_file: Path,
    *,
    room: str | None = None,
    bench: str | None = None,
    holes_mm: float | None = None,
    rooms: Rooms | None = None,
    told: bool = False,
) -> Today:
    """Work out what a bar is to show today.

    Parameters
    ----------
    document : BarDocument
    bar_file : Path
        In the folder of a set, which knows its rooms.
    room, bench : str, optional
        Air as given on the command line, before what the set says.
    holes_mm : float, optional
        Holes as given on the command line, before what the file says. [mm]
    rooms : Rooms, optional
        Of its set, where they are known already.
    told : bool
        Whether a word is said where the air is not known.
    """
    here = rooms_today(document, rooms or rooms_of(bar_file), room, bench, told=told)
    leave = leave_in(document, here, told=told)
    water = here.water(document) if here.today is None else here.today.moisture_percent
    return Today(leave, holes_to_come(document, holes_mm), water)


def todays_of(document: BarDocument, rooms: Rooms) -> dict[int, Today]:
    """What was to be left at each reading above its target then, by number of the entry."""
    most = max(len(target.ratios) for target in (document.target, *document.targets.values()))
    holes = holes_when_done(document, most)
    noted = 0 if document.holes is None else document.holes.noted_after
    counts = {reading.id for reading in document.readings}
    found: dict[int, Today] = {}
    for entry in document.log:
        if entry.kind != "reading":
            continue
        if entry.drilled and entry.id in counts:
            holes = None
        leave = leave_in(document, rooms.at(entry), told=False)
        found[entry.id] = Today(leave, holes if entry.id > noted else None)
    return found
