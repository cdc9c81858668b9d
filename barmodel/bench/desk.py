"""What is said of a bar, and the desk at which it is thought out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

from barmodel.bar import Bar
from barmodel.bench.aim import Goal
from barmodel.bench.alarms import Alarm
from barmodel.bench.outcome import Outcome, now
from barmodel.bench.plan import Place
from barmodel.bench.posterior import Posterior
from barmodel.bench.rename import Rename
from barmodel.bench.rescue import Rescue
from barmodel.bench.stuck import other_cutters, saving_cutters
from barmodel.cutmap import LightEffect
from barmodel.cuts import Cut, apply_cuts
from barmodel.undercut.cutters import Cutter

State: TypeAlias = Literal["finished", "cut", "measure", "rescue", "stuck", "lost"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Advice:
    """What to do next, and why.

    Attributes
    ----------
    state : {"finished", "cut", "measure", "rescue", "stuck", "lost"}
        stuck: the cutters at hand have no sure way home, though there may be one; lost: nothing
        has.
    reason : str
        In one line.
    goal : Goal
    posterior : Posterior
    present : Outcome
        The bar as it is.
    cuts : tuple of Shape or EndTrim
        To be made now; empty unless the state is "cut" or "rescue".
    tools : tuple of str
        What each is made with; "" where it is the maker's choice.
    expected : Outcome or None
        The bar after them.
    chance : float
        Of all tuned modes being within their tolerances, after the cuts if there are any. [1]
    rounds : int
        Rounds of cutting and listening likely left, this one included.
    least_thickness : float
        After the cuts. [m]
    rescues, renames : tuple
        Ways to save the bar; what else it could become.
    others : tuple of str
        Cutters, not at hand, with which cuts alone lead home; looked for only when "stuck".
    alarms, warnings : tuple
        Pitches that moved without a cut; in words, those that are not the reason. What was set
        aside stands in `posterior.doubts`.
    """

    state: State
    reason: str
    goal: Goal
    posterior: Posterior
    present: Outcome
    cuts: tuple[Cut, ...] = ()
    tools: tuple[str, ...] = ()
    expected: Outcome | None = None
    chance: float = 0.0
    rounds: int = 0
    least_thickness: float = 0.0
    rescues: tuple[Rescue, ...] = ()
    renames: tuple[Rename, ...] = ()
    others: tuple[str, ...] = ()
    alarms: tuple[Alarm, ...] = ()
    warnings: tuple[str, ...] = field(default=())

    @property
    def bar_then(self) -> Bar:
        """The bar after the cuts, by the depths told: what callipers and paper go by."""
        return apply_cuts(self.posterior.history.bar, self.cuts, check=False)


@dataclass(frozen=True, slots=True, eq=False)
class Desk:
    """All that the steps of the advice need.

    Attributes
    ----------
    posterior : Posterior
    goal : Goal
    cutters : tuple of Cutter
    keep : float
        Thickness that must remain. [m]
    alarms : tuple of Alarm
    """

    posterior: Posterior
    goal: Goal
    cutters: tuple[Cutter, ...]
    keep: float
    alarms: tuple[Alarm, ...]

    @property
    def place(self) -> Place:
        """Where the bar stands."""
        return Place.of(self.posterior, self.goal)

    @property
    def readings(self) -> int:
        """Readings since the last cut."""
        return len(self.posterior.history.stages[-1].readings)

    @property
    def chance(self) -> float:
        """Of being within all tolerances as it is."""
        return self.goal.chance(self.place.cents, self.place.covariance)

    def others(
        self, effect: LightEffect, groups: Sequence[Sequence[Cutter]] = ()
    ) -> tuple[str, ...]:
        """Cutters, not at hand, with which cuts alone lead home; empty if none is known to."""
        return other_cutters(
            self.posterior, self.goal, effect, self.cutters, groups=groups, keep=self.keep
        )

    def saving(self, effect: LightEffect, chance: float) -> tuple[str, ...]:
        """The usual cutters, not at hand, if with them the ends likelier save the bar."""
        return saving_cutters(
            self.posterior,
            self.goal,
            self.place,
            effect,
            self.cutters,
            keep=self.keep,
            chance=chance,
        )

    def say(self, state: State, reason: str, *, cuts: Sequence[Cut] = (), **more: Any) -> Advice:
        """Make the advice, with what is always in it."""
        posterior = self.posterior
        bar = apply_cuts(posterior.history.bar, cuts, check=False)
        filled: dict[str, Any] = {"chance": self.chance} | more
        warnings = tuple(alarm.text for alarm in self.alarms if alarm.text != reason)
        return Advice(
            state=state,
            reason=reason,
            goal=self.goal,
            cuts=tuple(cuts),
            posterior=posterior,
            present=now(posterior),
            least_thickness=bar.profile.least_thickness()[0],
            alarms=self.alarms,
            warnings=warnings,
            **filled,
        )
