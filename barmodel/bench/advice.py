"""The next step for a bar: listen again, cut here so deep, save it, or leave it be."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmodel.bar import LEAST_THICKNESS
from barmodel.bench import words
from barmodel.bench.aim import Goal
from barmodel.bench.alarms import find_alarms
from barmodel.bench.belief import Belief
from barmodel.bench.bite import Bite, effect_of, find_bite
from barmodel.bench.desk import Advice, Desk
from barmodel.bench.history import History
from barmodel.bench.outcome import outcome
from barmodel.bench.plan import LAST_CENTS, SURE, Plan
from barmodel.bench.pool import default_cutters, join, pool_of
from barmodel.bench.posterior import infer
from barmodel.bench.rename import find_renames, rename_words
from barmodel.bench.rescue import MET, find_rescues
from barmodel.bench.rough import stop_line, too_thin
from barmodel.bench.stuck import missed_by_any
from barmodel.cutmap import LightEffect
from barmodel.errors import NoSolutionError
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

SURE_AGAIN = 0.88
"""Chance of being home at which a bar is left be that was heard more than once. [1]"""
DOUBTFUL = 0.2
"""Chance of a mode being flat, after all listening, at which the ends are worth it. [1]"""
HOPELESS = 0.3
"""Chance that listening once more settles it, below which it is not worth while. [1]"""
BETTER = 0.10
"""A cut on a bar that is inside must raise the chance by this much, and be so much likelier than
one more reading to settle it. [1]"""
ROUGH_CENTS = 250.0
"""Mode 1 farther from home than this is roughed out by the design, when there is one. [cent]"""
TOO_FAR_CENTS = 700.0
"""Farther than this nothing is advised without a design. [cent]"""
UNHEARD_CENTS = 3.0
"""A tuned mode less sure than this must be heard before the next cut … [cent]"""
ROUGH_UNHEARD_CENTS = 40.0
"""… and before a rough one, whose stop line reckons with what is not known. [cent]"""
LISTEN = "too near the edge of what is allowed for what is known of it; listen once more"
LISTEN_TO_CUT = (
    "no cut with these cutters is safe for what is known of it so far; listen once more, or name "
    "others"
)
SURELY_FLAT = 0.95
MOST_READINGS = 3
"""Readings of a bar that is inside, but not surely, before it is left be."""
MOST_ROUNDS = 9


def advise(
    history: History,
    goal: Goal,
    *,
    cutters: Sequence[Cutter] = (),
    design: Sequence[Shape] | None = None,
    belief: Belief | None = None,
    keep: float = LEAST_THICKNESS,
) -> Advice:
    """Say what to do next with a bar.

    Parameters
    ----------
    history : History
    goal : Goal
    cutters : sequence of Cutter
        What the maker has; `DEFAULT_CUTTERS` if none is named.
    design : sequence of Shape, optional
        The undercut aimed at, into the uncut bar of present length; for the rough cut only.
    belief : Belief, optional
    keep : float
        Thickness that must remain. [m]

    Raises
    ------
    NoSolutionError
        If the bar is far from home and there is no design.
    """
    belief = belief or Belief.about(history.start.blank.wood)
    posterior = infer(history, belief, count=max(goal.count, 3))
    alarms = find_alarms(posterior, count=goal.count)
    desk = Desk(posterior, goal, tuple(cutters) or default_cutters(), keep, alarms)
    if untold := [alarm for alarm in alarms if alarm.kind == "untold"]:
        # what was cut is not known, at whatever stage: nothing that follows can be believed
        return desk.say("measure", untold[-1].text, rounds=1)
    crack = [alarm for alarm in alarms if alarm.kind == "crack"]
    if crack:
        return desk.say("lost", crack[-1].text)
    if reason := _must_listen(desk):
        return desk.say("measure", reason, rounds=1)
    if desk.place.cents[0] > ROUGH_CENTS and design:
        found = _rough(desk, design)
        if found is not None:
            return found
    if desk.place.cents[0] > TOO_FAR_CENTS:
        far = f"mode 1 is {desk.place.cents[0]:.0f} cents above its target"
        thin = design is not None and too_thin(posterior.bar, design, keep)
        if thin:
            far += f", and the design goes below the least thickness of {keep / MM:g} mm"
        raise NoSolutionError(
            f"{far}; find an undercut to rough out by first: barmodel design BARFILE --save"
        ).if_thinner(thin)
    return _near(desk)


def _must_listen(desk: Desk) -> str:
    """Why the bar must be heard before anything else; empty if it need not."""
    posterior, k = desk.posterior, desk.goal.count
    stages = posterior.history.stages
    last = stages[-1]
    for alarm in desk.alarms:
        if alarm.stage == last.number:
            return alarm.text
    if not last.readings:
        if not posterior.history.readings:
            return "this bar was never heard; strike it and record the reading"
        return "the bar was not heard since it was last cut; strike it and record the reading"
    doubts = [d for d in posterior.doubts if d.stage == last.number and d.mode < k]
    if torn := [d for d in doubts if d.torn]:
        doubt = torn[0]
        return (
            f"two readings of mode {doubt.mode + 1} differ by {abs(doubt.off_cents):.0f} cents and "
            "either may be right; listen again, or cancel the one that was a slip"
        )
    if lone := [d for d in doubts if d.alone]:
        which, off = words.mode_list([d.mode for d in lone]), [f"{d.off_cents:+.0f}" for d in lone]
        verb, what = ("reads", "it") if len(lone) == 1 else ("read", "they")
        return (
            f"{which} {verb} {', '.join(off)} cents from where {what} should be; listen again "
            "before you believe it"
        )
    far = desk.place.cents[0] > ROUGH_CENTS
    unsure = posterior.error_cents[:k] > (ROUGH_UNHEARD_CENTS if far else UNHEARD_CENTS)
    if unsure.any():
        which = words.mode_list(np.flatnonzero(unsure).tolist())
        since = " since the last cut" if last.number else ""
        known = f"± {posterior.error_cents[:k][unsure].max():.0f} cents"
        return f"{which} not heard surely{since} ({known}); listen again, struck where it sounds"
    return ""


def _rough(desk: Desk, design: Sequence[Shape]) -> Advice | None:
    """Cut the design back to its stop line."""
    line = stop_line(desk.posterior, desk.goal, design, keep=desk.keep)
    if line is None:
        return None
    cents = desk.goal.cents(line.outcome.log_hz)
    left = ", ".join(f"{value:+.0f}" for value in cents)
    reason = (
        f"rough out, {line.left / MM:.2f} mm short of the design where that is deepest "
        f"({100 * line.share:.1f} % of its depth): that leaves the modes about {left} cents "
        "sharp, room for what is not yet known of this wood and of depths"
    )
    return desk.say(
        "cut",
        reason,
        cuts=line.cuts,
        tools=("",) * len(line.cuts),
        expected=line.outcome,
        chance=0.0,
        rounds=4,
    )


def _near(desk: Desk) -> Advice:
    """A bar that is roughed out."""
    goal, place = desk.goal, desk.place
    if goal.inside(place.cents):
        return _inside(desk)
    effect = effect_of(desk.posterior, goal)
    flat = [int(mode) for mode in np.flatnonzero(place.cents < goal.low)]
    if flat:
        flat_chance = goal.flat_chance(place.cents, place.covariance)
        if flat_chance.max() < SURELY_FLAT and desk.readings < 2:
            which = words.mode_list(flat)
            return desk.say("measure", f"{which} may be flat; listen again to be sure", rounds=1)
        return _save(desk, effect, flat, None)
    bite, whole = find_bite(desk.posterior, goal, effect, desk.cutters, keep=desk.keep)
    if bite is not None and whole.reaches:
        return _cut(desk, bite)
    if whole.reaches and desk.readings < 2:
        return desk.say("measure", LISTEN_TO_CUT, rounds=1)
    if whole.reaches:
        bite, whole = find_bite(
            desk.posterior, goal, effect, desk.cutters, keep=desk.keep, thorough=True
        )
        if bite is not None:
            return _cut(desk, bite)
    if others := desk.others(effect, (default_cutters(),)):
        return _stuck(desk, whole.miss, others)
    return _save(desk, effect, [], whole)


def _inside(desk: Desk) -> Advice:
    """A bar that is within all tolerances by what is most likely: is that sure enough?

    To listen costs least, so it comes first; then a cut that makes it surer; then the ends, if
    what is in doubt is whether a mode is flat.
    """
    goal, place = desk.goal, desk.place
    home = f"all modes are home ({100 * desk.chance:.0f} % sure)"
    if desk.chance >= (SURE if desk.readings < 2 else SURE_AGAIN):
        return desk.say("finished", home)
    effect = effect_of(desk.posterior, goal)
    bite, whole = find_bite(desk.posterior, goal, effect, desk.cutters, keep=desk.keep)
    flat_chance = goal.flat_chance(place.cents, place.covariance)
    by_ear = 0.0
    if desk.readings < MOST_READINGS:
        ear = desk.posterior.ear_cents[: goal.count]
        by_ear = goal.settled(place.cents, place.covariance, ear, SURE_AGAIN)
    better = bite is not None and whole.reaches and bite.chance > desk.chance + BETTER
    if bite is not None and better and bite.hope > by_ear + BETTER:
        return _cut(desk, bite)
    if by_ear > HOPELESS or (by_ear > 0.0 and flat_chance.max() <= DOUBTFUL):
        return desk.say("measure", LISTEN, rounds=1)
    if flat_chance.max() > DOUBTFUL:
        saved = _save(desk, effect, [int(flat_chance.argmax())], None)
        if saved.state == "rescue":
            return saved
    return desk.say("finished", home)


def _cut(desk: Desk, bite: Bite) -> Advice:
    used = np.flatnonzero(bite.plan.depths)
    return desk.say(
        "cut",
        words.bite_reason(desk.place, desk.goal, bite.outcome, bite.plan.share),
        cuts=bite.plan.cuts,
        tools=tuple(bite.plan.pool.cutters[int(j)].name for j in used),
        expected=bite.outcome,
        chance=bite.chance,
        rounds=_rounds(desk.goal, bite),
    )


def _rounds(goal: Goal, bite: Bite) -> int:
    """Rounds likely left: each leaves what it could not be sure of, until that is little."""
    if bite.chance > 0.5:
        return 1
    cents = goal.cents(bite.outcome.log_hz)
    left = float(np.max(cents - (goal.low + goal.high) / 2))
    rounds = 1
    while rounds < MOST_ROUNDS:
        rounds += 1
        kept = goal.factor * max(LAST_CENTS, 0.06 * left)
        if kept <= 1.2 * goal.factor * LAST_CENTS:
            break
        left = kept
    return rounds


def _save(desk: Desk, effect: LightEffect, flat: list[int], plan: Plan | None) -> Advice:
    """Flat, or not to be brought home by cuts alone."""
    goal, place = desk.goal, desk.place
    told = desk.posterior.history.bar
    pool = join([pool_of(effect, cutter, keep=desk.keep, told=told) for cutter in desk.cutters])
    rescues = find_rescues(desk.posterior, goal, place, pool, effect)
    renames = find_renames(desk.posterior, goal, pool)
    miss = plan.miss if plan is not None else place.cents - goal.low
    as_it_is = 0.0 if flat else desk.chance
    if rescues and rescues[0].works and rescues[0].chance > as_it_is:
        first = rescues[0]
        return desk.say(
            "rescue",
            words.rescue_reason(first, flat, miss),
            cuts=(first.first,),
            tools=("",),
            expected=outcome(desk.posterior, (first.first,)),
            rescues=rescues,
            renames=renames,
            chance=first.chance,
            rounds=2 + bool(first.then),
        )
    others = (() if flat else desk.others(effect)) or desk.saving(effect, as_it_is)
    missed = rescues[0].miss if rescues else miss
    if others or (plan is not None and plan.reaches):
        return _stuck(desk, missed if flat else miss, others)
    short = missed_by_any(desk.posterior, goal, place, effect, keep=desk.keep)
    whatever = "whatever is cut or trimmed"
    if np.abs(short).max() <= MET:  # by wood taken in one place, of which no forecast is right
        short = missed
        whatever = "with as much off the ends as is safe, and no usual cutter mends that"
    reason = f"{words.missed(short)} {whatever}; the bar could become {rename_words(renames)}"
    return desk.say("lost", reason, rescues=rescues, renames=renames)


def _stuck(desk: Desk, miss: Array, others: tuple[str, ...]) -> Advice:
    """The cutters at hand have no sure way home."""
    names = ", ".join(cutter.name for cutter in desk.cutters)
    if np.abs(miss).max() > MET:
        reason = f"not with these cutters ({names}): {words.missed(miss)}"
    else:
        risk = f"{100 * desk.goal.risk:g} %"
        reason = (
            f"no cut with these cutters ({names}) leaves every mode sharp within a risk of {risk}"
        )
    if others:
        reason += f"; with {words.joined(others)} it can be done"
    return desk.say("stuck", reason, others=others)
