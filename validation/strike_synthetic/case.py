"""Made-up strikes with known truth: frequencies, their errors, decays and names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from barmodel.strike import Expected
from barmodel.strike.spread import USUAL_CENTS
from validation.check import Check, Controls
from validation.kit.compare import compared
from validation.strike_synthetic.strikes import Voice
from validation.strike_synthetic.tally import NOTHING, OTHER_BARS, Tally, Wrong, tally

TITLE = "Strikes made up with known truth"
ABOUT = """\
Bars from C2 to C7 by ratio laws (tuned 1:4:10 and 1:3:6, blanks, bars half cut; wood and metal),
with torsional and lateral neighbours, random levels, decays, phases, contact times and clicks,
three blows to a recording, with the noise of a 16-bit recorder (rms −90 dB under the largest
sample: clean) and with white noise at −30 dB. At
full size 510 strikes; 90 unless `--full` is given. Modes whose frequency no method could read to
half a cent in that noise (Cramér–Rao bound) are not graded, and how many is stated. Real
strikes differ by how the bar is held and struck: as many bars again, clean, have lines that differ
from blow to blow by half and by twice of what is taken for usual."""

FULL, SMALL, FEW = 85, 15, 3
CLEAN_DB = -90.0
NOISES = (("clean", 11, CLEAN_DB), ("noise −30 dB", 12, -30.0))
"""Name, seed, rms below the largest sample. [dB]"""
APART = ((13, 0.5 * USUAL_CENTS), (14, 2.0 * USUAL_CENTS))
"""Seed, and how much blows differ: half and twice the usual. [cent]"""
ERROR_CENTS = {
    "clean": (0.001, "three times what is found; asked of this room: 0.3 cent"),
    "noise −30 dB": (0.8, "three times what is found; asked of this room: 1.5 cent"),
}
DECAY_ERROR = {
    "clean": (0.0003, "three times what is found; asked of this room: 8 %"),
    "noise −30 dB": (0.08, "asked of this room: 8 %"),
}
_check = partial(
    compared,
    source="the made-up strikes themselves: their truth is known",
    tag="recomputed independently",
)


def checks(*, full: bool = False) -> list[Check]:
    return _checks(FULL if full else SMALL, NOTHING)


def negative_controls() -> Controls:
    made_wrong = {
        "the bars struck are two cents sharp of what is told": Wrong(
            struck=partial(_other, hz=2 ** (2 / 1200))
        ),
        "they ring a fifth longer than is told": Wrong(struck=partial(_other, decay=1.2)),
        "other bars are struck, a third higher": Wrong(struck=partial(_other, hz=2 ** (4 / 12))),
        "modes 2 and 3 take each other's place in the prediction": Wrong(foretold=_exchanged),
        "the bar is taken for itself and not for another": Wrong(others=(1.0, 1.0, 1.0)),
    }
    return {what: _checks(FEW, wrong) for what, wrong in made_wrong.items()}


def undisturbed() -> list[Check]:
    return _checks(FEW, NOTHING)


def _other(voice: Voice, *, hz: float = 1.0, decay: float = 1.0) -> Voice:
    lines = (replace(x, hz=hz * x.hz, decay_s=decay * x.decay_s) for x in voice.lines)
    return replace(voice, lines=tuple(lines))


def _exchanged(expected: list[Expected]) -> list[Expected]:
    number = {2: 3, 3: 2}
    return [
        replace(x, number=number.get(x.number, x.number)) if x.kind == "bending" else x
        for x in expected
    ]


def _checks(bars: int, wrong: Wrong) -> list[Check]:
    found = []
    for label, seed, noise_db in NOISES:
        count = tally(seed, bars, noise_db, wrong)
        found += [*_heard(label, count), *_found(label, count), *_never(label, count)]
    for seed, apart_cents in APART:
        count = tally(seed, bars, CLEAN_DB, wrong, apart_cents=apart_cents)
        found.append(_held(f"strikes {apart_cents:.1f} cent apart", count))
    return found


def _held(label: str, count: Tally) -> Check:
    """How many intervals hold the truth."""
    return _check(
        f"{label}: share of 95 % intervals that hold the truth",
        0.945,
        _mean(count.covered),
        0.045 + _sampling(len(count.covered)),
        "",
        "asked of this room: 90 to 99 %; and twice the chance error of a share counted in "
        "this many intervals",
    )


def _heard(label: str, count: Tally) -> list[Check]:
    """Frequencies and decays of the lines that were found."""
    most_hz, why_hz = ERROR_CENTS[label]
    most_decay, why_decay = DECAY_ERROR[label]
    left_out = f"{count.all_modes - count.graded} of {count.all_modes} modes below the noise bound"
    decays = f"{len(count.decay_errors)} of {count.all_modes} above the bound"
    return [
        _check(
            f"{label}: error of frequency, 95 % of modes",
            0.0,
            _p95(count.errors),
            most_hz,
            "cent",
            f"{why_hz}; {left_out}",
        ),
        _held(label, count),
        _check(
            f"{label}: relative error of decay time, 95 % of modes",
            0.0,
            _p95(count.decay_errors),
            most_decay,
            "",
            f"{why_decay}; {decays}",
        ),
    ]


def _found(label: str, count: Tally) -> list[Check]:
    """Lines found, and named by a prediction."""
    return [
        _check(
            f"{label}: graded modes found",
            1.0,
            count.found / count.graded,
            0.05,
            "",
            "as many as real recordings must give: 95 %",
        ),
        _check(
            f"{label}: graded modes rightly named with a prediction",
            1.0,
            count.named_with_bar / count.graded,
            0.05,
            "",
            "as for real recordings: 95 %",
        ),
    ]


def _never(label: str, count: Tally) -> list[Check]:
    """What would mislead a maker."""
    rows = (
        ("wrong names at confidence ≥ 0.9, by ratios", count.false_sure, "never"),
        ("wrong names at confidence ≥ 0.9, by prediction", count.false_sure_with_bar, "never"),
        (
            "strikes of the right bar taken for another's",
            count.doubted,
            "never: a doubt costs the maker a reading",
        ),
    )
    return [
        *(_check(f"{label}: {what}", 0.0, number, 0.0, "", why) for what, number, why in rows),
        _check(
            f"{label}: share with a sure name when taken for a bar a third, fifth, octave up",
            0.0,
            count.sure_as_other / (len(OTHER_BARS) * count.bars),
            0.02,
            "",
            "asked of this room: another bar is not taken for this one; now and then two bars "
            "have their modes at the same places",
        ),
    ]


def _sampling(count: int) -> float:
    """Twice the standard error of a share of 95 % counted in so many cases."""
    return 2.0 * math.sqrt(0.95 * 0.05 / max(count, 1))


def _p95(values: Sequence[float]) -> float:
    return float(np.percentile(values, 95)) if values else math.nan


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else math.nan
