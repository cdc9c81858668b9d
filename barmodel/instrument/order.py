"""Order of work: one easy bar to learn the wood and the cutters on, then from the longest down.

A long bar that is spoiled can still be shortened into a higher note, and each finished arch is the
pattern for the next shorter one (common practice, no source); so the bass goes first, except for
the bar on which the least can go wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from barmodel.instrument.record import Outcome


def order_of_work(
    outcomes: Sequence[Outcome], plank: Mapping[int, str] | None = None
) -> tuple[int, ...]:
    """Order in which to make the bars, by semitone; those without a design come last.

    Parameters
    ----------
    outcomes : sequence of Outcome
    plank : mapping of int to str, optional
        Name of each bar's plank: a trial bar then comes first from every plank that gives three
        bars or more.
    """
    designed = [item for item in outcomes if item.designed]
    groups: dict[str, list[Outcome]] = {}
    for item in designed:
        groups.setdefault((plank or {}).get(item.semitone, ""), []).append(item)
    large = [group for group in groups.values() if len(group) > 2]
    trials = [min(group, key=_risk).semitone for group in large]
    rest = sorted(item.semitone for item in designed if item.semitone not in trials)
    without = sorted(item.semitone for item in outcomes if not item.designed)
    return (*sorted(trials), *rest, *without)


def _risk(outcome: Outcome) -> float:
    """How much a careless tenth of a millimetre costs, clashes counted as trouble. [cent]"""
    worst = max((abs(value) for value in outcome.sensitivity_cents), default=0.0)
    return worst + 20.0 * len(outcome.clashes)
