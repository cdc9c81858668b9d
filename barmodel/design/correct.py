"""The last word: the solid corrects the beam until its own error is small.

Output space mapping: the beam, which is fast, keeps doing the searching; it is aimed off by what
it is wrong about at the present shape, and that is asked again where it lands. How the offset
changes with the shape, as two answers show it, is used from the second round on.

References
----------
J. W. Bandler et al., "Space mapping: the state of the art", IEEE Trans. Microw. Theory Tech. 52
(2004) 337–361 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import Bar
from barmodel.design.aim import TOLERANCE, Aim, Hit, Offset, shoot
from barmodel.design.choose import depth_sensitivity
from barmodel.design.record import Design
from barmodel.design.request import Request
from barmodel.modes import ModeSet, solve
from barmodel.undercut.piece import Array
from barmodel.units import CENTS, MM

ACCEPT = 0.5
"""Error of the last model at which a design is good, per tuned mode. [cent]"""
MET_ON_BEAM = 3 * TOLERANCE
"""The same where the beam has the last word. [cent]"""
MOST_ROUNDS = 5


def finish(request: Request, aim: Aim, hit: Hit) -> Design:
    """Let the last model speak, and aim the beam off by what it says until it agrees."""
    best = _ask(request, aim, hit)
    steps, rounds, now, offset = hit.steps, 1, best, _offset(best)
    while now.worst > _goal(request) and rounds < MOST_ROUNDS:
        hit = shoot(replace(aim, offset=offset), now.hit.unknowns)
        if not hit.met:
            break
        steps, rounds = steps + hit.steps, rounds + 1
        now = _ask(request, aim, hit)
        offset = offset.moved(hit.unknowns, now.cents)
        if now.worst < best.worst:
            best = now
    return _record(request, aim, replace(best, steps=steps, rounds=rounds))


@dataclass(frozen=True, slots=True, eq=False)
class _Answer:
    """What the last model says of one shape."""

    hit: Hit
    modes: ModeSet
    error: Array
    cents: Array
    steps: int = 0
    rounds: int = 0

    @property
    def worst(self) -> float:
        return float(np.abs(self.error).max())


def _ask(request: Request, aim: Aim, hit: Hit) -> _Answer:
    count = len(request.target.ratios)
    modes = solve(hit.modes.bar, model=request.model, count=count, families=["bending"])
    hz = modes.bending_hz[:count]
    return _Answer(hit, modes, aim.error(hz), CENTS * np.log(hz / hit.modes.hz))


def _offset(answer: _Answer) -> Offset:
    slope = np.zeros((answer.cents.size, answer.hit.unknowns.size))
    return Offset(answer.hit.unknowns, answer.cents, slope)


def _goal(request: Request) -> float:
    """Stop correcting below this; a little under what is accepted. [cent]"""
    return MET_ON_BEAM if request.model == "beam" else 0.8 * ACCEPT


def _record(request: Request, aim: Aim, answer: _Answer) -> Design:
    hit, modes = answer.hit, answer.modes
    bar = hit.modes.bar
    least, at = bar.profile.least_thickness()
    return Design(
        bar=bar,
        family=request.family,
        target=request.target,
        ratios_only=request.ratios_only,
        measures={n: float(v) for n, v in aim.family.measures(hit.unknowns).items()},
        modes=modes,
        cents=np.append(0.0, answer.error) if request.ratios_only else answer.error,
        sensitivity_cents=depth_sensitivity(hit.modes),
        least_thickness=least,
        least_at=at,
        correction_cents=answer.cents,
        rounds=answer.rounds,
        steps=answer.steps,
        solves=aim.count.solves,
        pressed=hit.pressed,
        reason=f"met in {answer.steps} steps of the search; {modes.model} asked "
        f"{answer.rounds} times",
        warnings=_warnings(request, bar, least, at),
    )


def _warnings(request: Request, bar: Bar, least: float, at: float) -> tuple[str, ...]:
    if least >= request.caution:
        return ()
    kind = "metal" if bar.blank.wood.isotropic else "wood"
    return (
        f"{least / MM:.2f} mm remain at x = {at / MM:.0f} mm, below {request.caution / MM:g} mm of "
        f"{kind}: hard blows may break the bar (limit from memory); a longer or thicker blank "
        "keeps more",
    )
