"""One bar brought home twice: by the advice of the tool, and by the usual rule."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from barmodel.bar import Bar
from barmodel.beam import solve_beam, thickness_sensitivity
from barmodel.bench import CutMade, Goal, History, advise, infer
from barmodel.bench.model import bar_with
from barmodel.design import Request, find
from barmodel.errors import NoSolutionError
from barmodel.undercut import Shape
from barmodel.undercut.cutters import CUTTERS, Cutter
from barmodel.units import CENTS, MM
from validation.simulated_bench.truth import Array
from validation.simulated_bench.workshop import Bench, make_bench

MOST_READINGS = 40
SHARE = 0.75
"""Part of the distance the usual rule cuts."""
DEEPEST = 0.6 * MM
GOAL_LOW, GOAL_HIGH = np.array([-1.0, -3.0, -10.0]), np.array([3.0, 6.0, 15.0])
"""Tolerances. [cent]"""


@dataclass
class Played:
    """How one bar went.

    Attributes
    ----------
    readings : int
        After the rough cut.
    end : str
        "finished", "stuck", "lost", or why it ended.
    cents : ndarray
        True pitches from the target at the end. [cent]
    saved : int
        Times the ends were cut.
    within, asked : int
        Modes that came out within the 90 % bands, and bands given.
    off : list of ndarray
        True outcome minus expected, over the standard error told.
    seconds : list of float
        Processor time of each piece of advice. [s]
    notes : list of str
        What was said, for people.
    note : str
    wrong : int
        Wrong readings met.
    """

    readings: int = 0
    end: str = ""
    cents: Array = field(default_factory=lambda: np.empty(0))
    saved: int = 0
    within: int = 0
    asked: int = 0
    off: list[Array] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    note: str = ""
    wrong: int = 0

    @property
    def good(self) -> bool:
        """Whether it was declared finished and truly is within all tolerances."""
        return self.end == "finished" and bool(
            np.all((self.cents >= GOAL_LOW) & (self.cents <= GOAL_HIGH))
        )

    @property
    def lost(self) -> bool:
        """Whether it was given up, or a true pitch ended flat of its tolerance."""
        return self.end != "finished" or bool(np.any(self.cents < GOAL_LOW))


def goal_of(bench: Bench) -> Goal:
    return Goal(target=bench.target)


def roughed(bench: Bench) -> tuple[History, tuple[Shape, ...], Played]:
    """Tap the blank, design for its wood, cut to the stop line.

    A blank too long for any arch to meet the three ratios is sawn shorter and tapped again.
    """
    played = Played()
    while True:
        history = History(start=bench.written, events=(bench.hear(),))
        wood = infer(history).bar.blank
        try:
            design = find(Request(blank=wood, target=bench.target), advise=False).bar.undercut
            break
        except NoSolutionError:
            bench.saw(0.95)
    while True:
        advice = advise(history, goal_of(bench), design=design)
        if advice.state == "measure":
            history = history.then(bench.hear())
            continue
        history = history.then(_made(bench, advice, played))
        return history, design, played


def _made(bench: Bench, advice, played: Played) -> CutMade:
    """Cut as advised and score the bands against the truth."""
    made = bench.cut(advice.cuts)
    low, high = advice.expected.band()
    hz = bench.true_hz
    played.within += int(np.sum((hz >= low) & (hz <= high)))
    played.asked += hz.size
    played.off.append(CENTS * np.log(hz / advice.expected.hz) / advice.expected.error_cents)
    played.saved += advice.state == "rescue"
    return made


def by_advice(
    bench: Bench,
    history: History,
    design: tuple[Shape, ...],
    played: Played,
    *,
    cutters: Sequence[Cutter] = (),
) -> Played:
    """Follow the tool until it says that the bar is finished or lost."""
    goal = goal_of(bench)
    history = history.then(bench.hear())
    played.readings = 1
    while played.readings < MOST_READINGS:
        began = time.process_time()
        try:
            advice = advise(history, goal, design=design, cutters=cutters)
        except NoSolutionError as error:
            played.end = str(error)
            break
        played.seconds.append(time.process_time() - began)
        cents = goal.cents(np.log(bench.true_hz))
        played.notes.append(
            f"{advice.state:9s} {np.round(goal.cents(advice.present.log_hz), 1)} ± "
            f"{np.round(advice.present.error_cents, 1)} truth {np.round(cents, 1)} {advice.reason}"
        )
        if advice.state in ("finished", "stuck", "lost"):
            played.end = advice.state
            break
        if advice.cuts:
            history = history.then(_made(bench, advice, played))
        history = history.then(bench.hear())
        played.readings += 1
    played.cents = goal.cents(np.log(bench.true_hz))
    played.note, played.wrong = bench.target.note, bench.wrong
    return played


def by_rule(bench: Bench, history: History) -> Played:
    """Cut 75 % of the farthest mode's distance at the single best place, by the plain beam.

    The best place is that after which the beam has the modes nearest home, none below its target
    if there is such a place. The maker knows the wood by his taps, and takes the last reading.
    """
    goal, played = goal_of(bench), Played()
    wood = infer(history).mean[:3]
    bar = history.bar
    while played.readings < MOST_READINGS:
        reading = bench.hear()
        played.readings += 1
        cents = goal.cents(np.log(reading.row(3)))
        if goal.inside(cents):
            played.end = "finished"
            break
        if np.any(cents < goal.low):
            played.end = "lost"
            break
        cut = _usual_cut(bar_with(bar, wood, [0.0] * len(bar.undercut)), cents, goal)
        bench.cut((cut,))
        bar = bar.with_cuts(cut)
    played.cents = goal.cents(np.log(bench.true_hz))
    played.note, played.wrong = bench.target.note, bench.wrong
    return played


def _usual_cut(bar: Bar, cents: Array, goal: Goal) -> Shape:
    modes = solve_beam(bar, section="plain", count=3)
    found = thickness_sensitivity(modes)
    width = goal.high - goal.low
    far = int(np.argmax((cents - goal.high) / width))
    cutter = CUTTERS["scraper20"]
    length = bar.blank.length
    best: tuple[float, Shape] | None = None
    for at in [*np.arange(0.1 * length, length / 2 - 0.01, 3 * MM), length / 2]:
        pair = at < length / 2 - 1e-6
        inside = np.abs(found.x - at) < cutter.width / 2
        dish = np.where(inside, (1 + np.cos(2 * np.pi * (found.x - at) / cutter.width)) / 2, 0.0)
        effect = -CENTS * (1 + pair) * (found.density.T * dish) @ found.weight
        if effect[far] >= -1e3:  # a cent per millimetre: no effect to speak of
            continue
        depth = float(np.clip(SHARE * cents[far] / -effect[far], 0.01 * MM, DEEPEST))
        then = cents + effect * depth
        score = float(np.sum(np.abs(then) / width) + 100.0 * np.sum(np.maximum(-then, 0.0) / width))
        if best is None or score < best[0]:
            best = score, cutter.cut(at=float(at), depth=depth, mirror=bool(pair))
    assert best is not None
    return best[1]


def play(
    number: int, *, shaky: float = 1.0, deaf: bool = False, cutters: Sequence[Cutter] = ()
) -> tuple[Played, Played]:
    """Play one bar both ways.

    Parameters
    ----------
    number : int
    shaky : float
        Errors of the hands, over those the tool reckons with.
    deaf : bool
        Whether the tool hears 0 Hz once the bar is roughed out.
    cutters : sequence of Cutter
        For the tool to choose among; the usual ones if none is named.
    """
    bench = make_bench(number, shaky=shaky)
    history, design, played = roughed(bench)
    other = bench.copy(number)
    bench.deaf = deaf
    try:
        ours = by_advice(bench, history, design, played, cutters=cutters)
    except Exception as error:  # a bug of ours counts as a lost bar, and is told
        ours = played
        ours.end = f"broke down: {error!r}"
        ours.cents = goal_of(bench).cents(np.log(bench.true_hz))
    return ours, by_rule(other, history)
