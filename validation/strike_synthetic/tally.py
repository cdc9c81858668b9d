"""Strike made-up bars, hear them, and count what is right."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from barmodel.pitch import cents
from barmodel.strike import Expected, Hearing, Mode, hear, name_by_prediction
from barmodel.strike.strangers import doubted, strangers
from validation.strike_synthetic.strikes import (
    Line,
    Voice,
    best_possible_cents,
    plausible_bar,
    strike,
)

BLOWS = 3
LOW_HZ, HIGH_HZ = 65.406, 2093.005
SURE = 0.9
OTHER_BARS = (2 ** (4 / 12), 1.5, 2.0)
_GRADED_CENTS, _GRADED_DECAY = 0.5, 0.03
_LIKELY_DB = -8.0  # a mode of level 0 dB against the peak of the sum of all modes


@dataclass(frozen=True, slots=True)
class Wrong:
    """What a negative control makes wrong; nothing by itself."""

    struck: Callable[[Voice], Voice] = lambda voice: voice
    """The bar that is struck, for the one whose truth is told."""
    foretold: Callable[[list[Expected]], list[Expected]] = lambda expected: expected
    """The prediction that is used, for the one that was made."""
    others: tuple[float, ...] = OTHER_BARS
    """How much higher the bars are that this one is taken for."""


NOTHING = Wrong()


@dataclass(slots=True)
class Tally:
    """What came out of one set of recordings; modes are bending modes 1 to 3."""

    bars: int
    errors: list[float] = field(default_factory=list)
    covered: list[bool] = field(default_factory=list)
    decay_errors: list[float] = field(default_factory=list)
    all_modes: int = 0
    graded: int = 0
    found: int = 0
    named_with_bar: int = 0
    false_sure: int = 0
    false_sure_with_bar: int = 0
    doubted: int = 0
    sure_as_other: int = 0


def tally(
    seed: int, bars: int, noise_db: float, wrong: Wrong = NOTHING, *, apart_cents: float = 0.0
) -> Tally:
    """Strike and hear a number of bars, with and without a prediction for the bar."""
    rng = np.random.default_rng(seed)
    count = Tally(bars)
    for _ in range(bars):
        voice = plausible_bar(rng, low_hz=LOW_HZ, high_hz=HIGH_HZ)
        recording, noise = strike(
            wrong.struck(voice), rng, blows=BLOWS, noise_db=noise_db, apart_cents=apart_cents
        )
        heard = hear(recording)
        expected = wrong.foretold(_prediction(voice, rng))
        informed = name_by_prediction(list(heard.partials), expected)
        count.false_sure += _false_names(heard.modes, voice)
        count.false_sure_with_bar += _false_names(informed, voice)
        count.doubted += bool(strangers(list(heard.partials), expected, informed))
        count.sure_as_other += sum(_sure_as(expected, heard, factor) for factor in wrong.others)
        for line in voice.lines:
            if line.kind == "bending" and line.number <= 3:
                _grade(line, noise, heard, informed, count)
    return count


def _grade(
    line: Line, noise: float, heard: Hearing, informed: Sequence[Mode], count: Tally
) -> None:
    """Count one true mode, if any method could read it in this noise."""
    count.all_modes += 1
    if best_possible_cents(line, noise, _LIKELY_DB, BLOWS) > _GRADED_CENTS:
        return
    count.graded += 1
    count.named_with_bar += any(
        (m.kind, m.number) == ("bending", line.number) and _same(m.hz, line) for m in informed
    )
    near = [p for p in heard.partials if _same(p.hz, line)]
    if not near:
        return
    count.found += 1
    partial = min(near, key=lambda p: abs(p.hz - line.hz))
    error = abs(cents(partial.hz, line.hz))
    count.errors.append(error)
    count.covered.append(error <= partial.uncertainty_cents)
    if _best_decay(line, noise) < _GRADED_DECAY:
        decay = partial.decay_s if partial.decay_s is not None else 99.0
        count.decay_errors.append(abs(decay / line.decay_s - 1))


def _sure_as(expected: list[Expected], heard: Hearing, factor: float) -> bool:
    """Whether a name is sure when the bar is taken for one that is higher by a factor."""
    moved = [replace(mode, hz=mode.hz * factor) for mode in expected]
    lines = list(heard.partials)
    modes = name_by_prediction(lines, moved)
    return any(mode.confidence >= SURE for mode in doubted(modes, strangers(lines, moved, modes)))


def _best_decay(line: Line, noise: float) -> float:
    """Cramér–Rao bound of the relative error of the decay time: that of ω, times τ."""
    hz_error = best_possible_cents(line, noise, _LIKELY_DB, BLOWS) * np.log(2) / 1200 * line.hz
    return float(2 * np.pi * hz_error * line.decay_s)


def _same(hz: float, line: Line) -> bool:
    return abs(cents(hz, line.hz)) < 12.0


def _prediction(voice: Voice, rng: np.random.Generator) -> list[Expected]:
    """Modes as a model with uncertain wood would predict them."""
    shared = rng.normal(0, 40)
    spread = {"bending": 15.0, "torsional": 40.0, "lateral": 40.0}
    return [
        Expected(
            x.kind,
            x.number,
            x.hz * 2 ** ((shared + rng.normal(0, spread[x.kind])) / 1200),
            spread[x.kind],
        )
        for x in voice.lines
    ]


def _false_names(modes: Sequence[Mode], voice: Voice) -> int:
    """Names given with high confidence to a line that is something else."""
    false = 0
    for mode in modes:
        truth = next(
            (x for x in voice.lines if (x.kind, x.number) == (mode.kind, mode.number)), None
        )
        false += mode.confidence >= SURE and (truth is None or not _same(mode.hz, truth))
    return false
