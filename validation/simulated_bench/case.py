"""Virtual bars brought home by the advice of `next`, and by the usual rule."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache, partial
from typing import TypeAlias

import numpy as np

from barmodel.undercut.cutters import Cutter
from barmodel.units import MM
from validation.check import Check, Controls
from validation.kit.compare import compared
from validation.simulated_bench.play import Played, play

TITLE = "Simulated bench"
SLOW = True
ABOUT = """\
Virtual bars between C2 and C5, 1:4:10, of three woods, are tapped, designed, roughed out to the
stop line and brought home by the advice of `next`; tolerances +3/−1, +6/−3, +15/−10 cents, risk
5 %. The truth is not ours: plane stress elasticity by scikit-fem, quadratic quadrilaterals,
orthotropic, 5 to 7 cents from the solid for want of a width. The plank differs from the species'
constants (E 12 %, G 25 %, density 5 %) and varies along the bar (2 % stiffness, 0.7 % density).
Hands err by 0.1 mm in rough cuts and by 8 % + 0.02 mm in fine ones, one error for each cut; a
strike errs by 1 cent and three make a reading; one reading in fifty has a wrong mode, 12 to 80
cents off.

The usual rule starts from the same roughed bars: each time 75 % of the distance of the farthest
mode, at the best single place by the plain beam. A bar counts as finished when it is declared so
and its *true* pitches are within all tolerances; as lost when it is given up, or ends with a true
pitch flat of its tolerance. Trimming the ends is allowed to the tool and counted; the rule has no
remedy.
300 bars at full size (`--full`), six otherwise: then shares are counted in few and have wide
tolerances."""

Games: TypeAlias = Sequence[tuple[Played, Played]]
"""Each bar by the advice, and by the rule."""
FEW, MANY, FEWER_THAN = 6, 300, 100
SHAKY = 4.0
MANY_SCRAPERS = tuple(
    Cutter(name=f"scraper {half / 2:g}", kind="scraper", width=half / 2 * MM)
    for half in range(20, 81)
)
WORKERS = 2
_check = partial(
    compared, source="asked of this room (issue: simulated bench)", tag="recomputed independently"
)


@lru_cache(maxsize=2)
def played(count: int) -> tuple[tuple[Played, Played], ...]:
    with ProcessPoolExecutor(WORKERS) as pool:
        return tuple(pool.map(play, range(count)))


def checks(*, full: bool = False) -> list[Check]:
    count = MANY if full else FEW
    return _checks(played(count))


def remarks(*, full: bool = False) -> list[str]:
    games = played(MANY if full else FEW)
    return [
        _told("The tool", [game[0] for game in games]),
        _told("The usual rule", [game[1] for game in games]),
    ]


def negative_controls() -> Controls:
    """Small: three bars at most, but for the rule, whose games are there already."""
    with ProcessPoolExecutor(WORKERS) as pool:
        shaky = list(pool.map(partial(play, shaky=SHAKY), range(3)))
        choosing = pool.submit(play, 0, cutters=MANY_SCRAPERS)
        nothing = pool.submit(play, 0, deaf=True)
        rule = [(game[1], game[1]) for game in played(FEW)]
        return {
            "hands four times as shaky as the tool is told": [*_home(shaky), *_told_before(shaky)],
            "the usual rule in the tool's place": [*_home(rule), *_against_rule(rule)],
            "readings of 0 Hz handed to the advice": _sound([nothing.result()]),
            f"{len(MANY_SCRAPERS)} scrapers to choose among": _sound([choosing.result()]),
        }


def undisturbed() -> list[Check]:
    """As many bars as the shaky hands have, and one as the others."""
    few = played(FEW)[:3]
    return [*_home(few), *_told_before(few), *_sound(few[:1])]


def _checks(games: Games) -> list[Check]:
    return [*_home(games), *_told_before(games), *_against_rule(games), *_sound(games)]


def _home(games: Games) -> list[Check]:
    """How many bars come home by the advice, and how soon."""
    n, done = len(games), [ours for ours, _ in games if ours.good]
    few = n < FEWER_THAN
    chance = f"; counted in {n} bars, so two bars more may go wrong by chance" if few else ""
    return [
        _check(
            "median readings after the rough cut until finished",
            0.0,
            float(np.median([one.readings for one in done])) if done else math.nan,
            4.0,
            "",
            "asked: at most 4",
        ),
        _check(
            "share of bars finished, by their true pitches",
            1.0,
            len(done) / n,
            0.34 if few else 0.02,
            "",
            f"asked: at least 98 %{chance}",
        ),
    ]


def _told_before(games: Games) -> list[Check]:
    """Whether the bands that are told before a cut hold what comes of it."""
    few = len(games) < FEWER_THAN
    within, asked = sum(ours.within for ours, _ in games), sum(ours.asked for ours, _ in games)
    return [
        _check(
            "share of outcomes within the 90 % bands",
            0.905,
            within / asked,
            0.12 if few else 0.055,
            "",
            f"asked: 85 to 96 %{'; counted in few cuts' if few else ''}",
        )
    ]


def _against_rule(games: Games) -> list[Check]:
    ours, rule = [game[0] for game in games], [game[1] for game in games]
    return [
        _check(
            "bars lost, over those lost by the usual rule",
            0.0,
            _ratio(sum(one.lost for one in ours), sum(one.lost for one in rule)),
            0.999,
            "",
            "asked: fewer",
        ),
        _check(
            "readings spent for each finished bar, over those by the usual rule",
            0.0,
            _ratio(_spent(ours), _spent(rule)),
            0.999,
            "",
            "asked: fewer",
        ),
    ]


def _sound(games: Games) -> list[Check]:
    """Whether the advice comes at all, and in time."""
    seconds = [s for ours, _ in games for s in ours.seconds]
    return [
        _check(
            "bars at which the advice broke down",
            0.0,
            sum(ours.end.startswith("broke") for ours, _ in games),
            0.0,
            "",
            "none may",
        ),
        _check(
            "processor seconds of the slowest advice but one in fifty",
            0.0,
            float(np.percentile(seconds, 98)) if seconds else math.nan,
            1.5,
            "s",
            "asked: at most 1.5 s; on the machine that ran the report",
        ),
    ]


def _told(who: str, games: Sequence[Played]) -> str:
    """Numbers told of both, which nothing is asked of."""
    done = [one.readings for one in games if one.good] or [0]
    shares = [
        100 * sum(kind) / len(games)
        for kind in (
            [one.good for one in games],
            [one.lost for one in games],
            [one.saved > 0 for one in games],
        )
    ]
    return (
        f"{who}, {len(games)} bars: finished {shares[0]:.1f} %, lost {shares[1]:.1f} %, with "
        f"trimmed ends {shares[2]:.1f} %; readings of the finished: median {np.median(done):g}, "
        f"mean {np.mean(done):.2f}; most readings of any: {max(one.readings for one in games)}"
    )


def _spent(games: Sequence[Played]) -> float:
    return _ratio(sum(one.readings for one in games), sum(one.good for one in games))


def _ratio(one: float, other: float) -> float:
    """Quotient; infinite over nothing, and no better than even where both are nothing."""
    if other == 0.0:
        return 1.0 if one == 0.0 else float("inf")
    return one / other
