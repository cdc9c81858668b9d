"""The last word: the solid corrects the beam until its own error is small.

Output space mapping: the beam, which is fast, keeps doing the searching; it is aimed off by what
it is wrong about at the present shape, and that is asked again where it lands.

References
----------
J. W. Bandler et al., "Space mapping: the state of the art", IEEE Trans. Microw. Theory Tech. 52
(2004) 337–361 (from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmodel.bar import Bar
from barmodel.design.aim import CENTS, TOLERANCE, Aim, Hit, shoot
from barmodel.design.choose import depth_sensitivity
from barmodel.design.record import Design
from barmodel.design.request import Request
from barmodel.modes import ModeSet, solve
from barmodel.undercut.piece import Array
from barmodel.units import MM

ACCEPT = 0.5
"""Error of the last model at which a design is good, per tuned mode. [cent]"""
MET_ON_BEAM = 3 * TOLERANCE
"""The same where the beam has the last word. [cent]"""
MOST_ROUNDS = 5


def finish(request: Request, aim: Aim, hit: Hit) -> Design:
    """Let the last model speak, and re-aim the beam by what it says until it agrees.

    Output space mapping: the beam is re-aimed at target − offset, where the offset is the last
    model minus the beam, in cents, at the present shape.
    """
    modes, steps = _ask(request, hit), hit.steps
    error = aim.error(modes.bending_hz[: aim.hz.size])
    rounds, best = 1, (hit, modes, error)
    while np.abs(error).max() > _goal(request) and rounds < MOST_ROUNDS:
        offset = CENTS * np.log(modes.bending_hz[: aim.hz.size] / hit.modes.hz)
        moved = replace(aim, hz=aim.hz * np.exp(-offset / CENTS))
        hit = shoot(moved, hit.unknowns)
        if not hit.met:
            break
        steps, rounds = steps + hit.steps, rounds + 1
        modes = _ask(request, hit)
        error = aim.error(modes.bending_hz[: aim.hz.size])
        if np.abs(error).max() < np.abs(best[2]).max():
            best = (hit, modes, error)
    hit, modes, error = best
    return _record(request, aim, replace(hit, steps=steps), modes, error, rounds)


def _goal(request: Request) -> float:
    """Stop correcting below this; some way under what is accepted. [cent]"""
    return MET_ON_BEAM if request.model == "beam" else 0.6 * ACCEPT


def _ask(request: Request, hit: Hit) -> ModeSet:
    return solve(hit.modes.bar, model=request.model, count=max(3, len(request.target.ratios)))


def _record(
    request: Request, aim: Aim, hit: Hit, modes: ModeSet, error: Array, rounds: int
) -> Design:
    bar = hit.modes.bar
    least, at = bar.profile.least_thickness()
    cents = np.append(0.0, error) if request.ratios_only else error
    offset = CENTS * np.log(modes.bending_hz[: aim.hz.size] / hit.modes.hz)
    return Design(
        bar=bar,
        family=request.family,
        target=request.target,
        ratios_only=request.ratios_only,
        measures={n: float(v) for n, v in aim.family.measures(hit.unknowns).items()},
        modes=modes,
        cents=cents,
        sensitivity_cents=depth_sensitivity(hit.modes),
        least_thickness=least,
        least_at=at,
        correction_cents=offset,
        rounds=rounds,
        steps=hit.steps,
        solves=aim.count.solves,
        pressed=hit.pressed,
        reason=f"met in {hit.steps} steps of the search, {rounds} of the last model",
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
