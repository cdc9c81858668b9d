"""Design one bar of a set; whatever goes wrong becomes a reason, not an end of the others."""

from __future__ import annotations

import time
import traceback
from dataclasses import replace
from pathlib import Path

import numpy as np

from barmodel.bar import Bar
from barmodel.design import Design, Neighbour, Request, clearest, find, neighbours
from barmodel.drilling import hole_shift
from barmodel.errors import BarModelError, GeometryError, InputError, NoSolutionError
from barmodel.holes import bored
from barmodel.instrument.record import Clash, Outcome, State, Task
from barmodel.modes import ModeSet

ADVISE = True
"""Whether a refusal tries what would work; that takes seconds for each refused bar."""


def design_bar(task: Task) -> Outcome:
    """Design one bar, corrected by the solid.

    Parameters
    ----------
    task : Task

    Returns
    -------
    Outcome
        Never raises for a bar that cannot be: the outcome says why.
    """
    began = time.perf_counter()
    try:
        outcome = _designed(task)
    except BarModelError as error:
        impossible = isinstance(error, NoSolutionError | ValueError)
        outcome = _without(task, "refused" if impossible else "failed", str(error))
    except Exception as error:  # a bug in one bar must not cost the maker the other sixty
        where = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(where.filename).name}, line {where.lineno}"
        outcome = _without(task, "failed", f"{type(error).__name__}: {error} ({place})")
    return replace(outcome, seconds=time.perf_counter() - began)


def _without(task: Task, state: State, reason: str) -> Outcome:
    return Outcome(semitone=task.semitone, digest=task.digest, state=state, reason=reason)


def _designed(task: Task) -> Outcome:
    request, design = _found(task)
    even = request.fixed == task.request.fixed
    reason = "" if even else "nothing with the measures that keep the set even; they were let go"
    if task.clear:
        design, pairs = clearest(request, design)
    else:
        pairs = neighbours(design.bar, design.hz)
    return _outcome(task, design, pairs, even=even, reason=reason)


def _found(task: Task) -> tuple[Request, Design]:
    """Find a design: from the guess, from anywhere, and at last without the measures held."""
    request = task.request
    expected = np.array(task.expected_cents) if task.expected_cents else None
    attempts = [request, replace(request, begin={}), replace(request, begin={}, fixed={})]
    if not request.begin:
        del attempts[0]
    if not request.fixed:
        del attempts[-1]
    for attempt in attempts[:-1]:
        try:
            return attempt, find(attempt, advise=False, expected_cents=expected)
        except (NoSolutionError, InputError):
            continue
    return attempts[-1], find(attempts[-1], advise=ADVISE)


def _outcome(
    task: Task, design: Design, pairs: tuple[Neighbour, ...], *, even: bool, reason: str
) -> Outcome:
    length = design.bar.blank.length
    middle = float(design.bar.profile.thickness(np.array([length / 2])).real[0])
    holes, trouble = _hole_cents(design.bar, design.modes, task.hole_diameter)
    count = len(design.target.ratios)
    return Outcome(
        semitone=task.semitone,
        digest=task.digest,
        state="designed",
        reason=reason,
        undercut=design.bar.undercut,
        measures=design.measures,
        bending_hz=tuple(map(float, design.hz)),
        target_hz=tuple(map(float, design.target.hz)),
        cents=tuple(map(float, design.cents)),
        correction_cents=tuple(map(float, design.correction_cents)),
        sensitivity_cents=tuple(map(float, design.sensitivity_cents)),
        nodes=tuple(map(float, design.modes.nodes[0])),
        node_slope=node_slope(design.modes, length),
        centre=middle,
        least=design.least_thickness,
        least_at=design.least_at,
        mass=design.bar.mass,
        clashes=tuple(
            Clash(
                kind=pair.kind,
                number=pair.number,
                mode=pair.mode,
                hz=pair.hz,
                distance_hz=pair.distance,
            )
            for pair in pairs
            if pair.clashes
        ),
        hole_cents=holes[:count],
        even=even,
        model=design.model,
        warnings=(*design.warnings, *design.modes.warnings, *trouble),
    )


def node_slope(modes: ModeSet, length: float) -> float:
    """Steepness of mode 1 at its first node, over the motion of the middle. [1/m]"""
    shape, x = modes.deflection[0], modes.x
    steep = np.interp(modes.nodes[0][0], x, np.gradient(shape, x))
    return float(abs(steep / np.interp(length / 2, x, shape)))


def _hole_cents(
    bar: Bar, modes: ModeSet, diameter: float
) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """Shift by both cord holes at the nodes of mode 1, square, half way through what is left."""
    if diameter <= 0.0 or modes.nodes[0].size < 2:
        return (), ()
    ends = (float(modes.nodes[0][0]), float(modes.nodes[0][-1]))
    holes = bored(bar, ends, diameter, (0.0, 0.0))
    try:
        return tuple(map(float, hole_shift(bar, modes, holes))), ()
    except GeometryError as error:
        return (), (f"cord hole: {error}",)
