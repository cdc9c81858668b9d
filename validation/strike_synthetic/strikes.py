"""Made-up strikes with known truth: bars by ratio laws, struck, damped, with noise and neighbours.

`Voice` holds what is true; `plausible_bar` draws one from the laws of `trade.md`-like ratios
(tuned bars, blanks, bars on the way), and may be replaced by frequencies of any solver:
everything after it only needs a `Voice`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barmodel.strike import Recording

RATE = 48000.0
SECONDS_BETWEEN = 0.6


@dataclass(frozen=True, slots=True)
class Line:
    """One true mode: kind and number as in `Expected`, frequency, level at the blow, decay."""

    kind: str
    number: int
    hz: float
    level_db: float
    decay_s: float


@dataclass(frozen=True, slots=True)
class Voice:
    """A bar as it sounds."""

    family: str
    lines: tuple[Line, ...]

    def bending(self, number: int) -> Line:
        return next(x for x in self.lines if x.kind == "bending" and x.number == number)


def plausible_bar(rng: np.random.Generator, *, low_hz: float, high_hz: float) -> Voice:
    """Draw a bar whose mode 1 lies between the limits, evenly in pitch."""
    first = float(np.exp(rng.uniform(np.log(low_hz), np.log(high_hz))))
    family = str(rng.choice(["marimba", "vibraphone", "xylophone", "blank", "cut"]))
    if family in ("marimba", "vibraphone"):
        second = 4.0 * _cents(rng, 25)
        third = float(rng.uniform(9.2, 10.4)) if first < 700 else float(rng.uniform(7.5, 9.7))
    elif family == "xylophone":
        second, third = 3.0 * _cents(rng, 25), float(rng.uniform(5.6, 6.2))
    elif family == "blank":
        # one curve from slender to stout: 2.757, 5.404 ... 2.29, 3.74
        stout = float(rng.uniform(0, 1))
        second = float(np.interp(stout, [0, 0.2, 0.4, 0.7, 1], [2.75, 2.68, 2.60, 2.47, 2.29]))
        third = float(np.interp(stout, [0, 0.2, 0.4, 0.7, 1], [5.38, 5.04, 4.74, 4.26, 3.74]))
        second, third = second * _cents(rng, 8), third * _cents(rng, 12)
    else:
        second = float(rng.uniform(2.9, 4.4))
        third = second**1.55 * float(rng.uniform(1.02, 1.16))
    fourth = third * float(rng.uniform(1.65, 1.9))
    metal = family == "vibraphone"
    quality = float(np.exp(rng.uniform(np.log(400), np.log(2500)))) if metal else _wood(rng)
    ratios = {1: 1.0, 2: second, 3: third, 4: fourth}
    lines = [_bending(rng, n, first * r, quality) for n, r in ratios.items()]
    lines += _neighbours(rng, first, quality, [x.hz for x in lines])
    return Voice(family, tuple(x for x in lines if x.hz < 0.47 * RATE))


def _wood(rng: np.random.Generator) -> float:
    return float(rng.uniform(90, 260))


def _cents(rng: np.random.Generator, spread: float) -> float:
    return float(2 ** (rng.normal(0, spread) / 1200))


def _bending(rng: np.random.Generator, number: int, hz: float, quality: float) -> Line:
    quality *= float(rng.uniform(0.6, 1.0)) if number > 1 else 1.0
    quietest = {1: -15.0, 2: -20.0, 3: -25.0, 4: -30.0}[number]
    return Line("bending", number, hz, float(rng.uniform(quietest, 0)), quality / (np.pi * hz))


def _neighbours(
    rng: np.random.Generator, first: float, quality: float, taken: list[float]
) -> list[Line]:
    """Torsional and lateral lines, never nearer to a bending mode than the makers' usable rule.

    The rule (6 Hz under 1 kHz, 15 Hz under 2 kHz, 30 Hz above) is widened where the lines
    themselves are broader than that.
    """
    wanted = [
        ("torsional", 1, first * float(rng.uniform(1.55, 1.95))),
        ("torsional", 2, first * float(rng.uniform(3.1, 4.9))),
        ("lateral", 1, first * float(rng.uniform(5.0, 11.5))),
    ]
    lines = []
    for kind, number, hz in wanted:
        gap = 6.0 if hz < 1000 else 15.0 if hz < 2000 else 30.0
        gap = max(gap, 2.0 * hz / quality)
        if all(abs(hz - other) > gap for other in taken):
            level, tau = float(rng.uniform(-45, -18)), quality * 0.8 / (np.pi * hz)
            lines.append(Line(kind, number, hz, level, tau))
    return lines


def strike(
    voice: Voice, rng: np.random.Generator, *, blows: int, noise_db: float, apart_cents: float = 0.0
) -> tuple[Recording, float]:
    """Strike a bar several times.

    Parameters
    ----------
    voice : Voice
        The bar.
    rng : numpy Generator
        Levels (±3 dB), phases, contact times, click and noise differ from blow to blow.
    blows : int
        Number of strikes, about 0.6 s apart.
    noise_db : float
        White noise: rms below the largest sample. [dB]
    apart_cents : float
        How much each line differs from blow to blow: standard deviation. [cents]

    Returns
    -------
    recording, noise : Recording, float
        The sound, peak 0.5, and the noise's rms on the same scale.
    """
    total = int((0.15 + blows * SECONDS_BETWEEN) * RATE)
    sound = np.zeros(total)
    for blow in range(blows):
        begin = int((0.12 + blow * SECONDS_BETWEEN + rng.uniform(0, 0.03)) * RATE)
        _add_blow(sound, _moved(voice, rng, apart_cents) if apart_cents else voice, rng, begin)
    noise = 0.5 * 10 ** (noise_db / 20)
    sound *= 0.5 / np.abs(sound).max()
    return Recording(sound + noise * rng.standard_normal(total), RATE), noise


def _moved(voice: Voice, rng: np.random.Generator, spread: float) -> Voice:
    return replace(
        voice, lines=tuple(replace(x, hz=x.hz * _cents(rng, spread)) for x in voice.lines)
    )


def _add_blow(
    sound: NDArray[np.float64], voice: Voice, rng: np.random.Generator, begin: int
) -> None:
    t = np.arange(sound.size - begin) / RATE
    contact = float(rng.uniform(0.0003, 0.0012))
    rise = np.sin(0.5 * np.pi * np.minimum(t / contact, 1.0)) ** 2
    for line in voice.lines:
        live = min(int(14 * line.decay_s * RATE) + 1, t.size)
        s = complex(-1 / line.decay_s, 2 * np.pi * line.hz)
        size = 10 ** ((line.level_db + rng.uniform(-3, 3)) / 20)
        wave = np.exp(s * t[:live] + 1j * rng.uniform(0, 2 * np.pi))
        sound[begin : begin + live] += size * wave.real * rise[:live]
    click = int(0.006 * RATE)
    burst = rng.standard_normal(click) * np.exp(-t[:click] / 0.0006)
    sound[begin : begin + click] += 0.15 * burst


def best_possible_cents(line: Line, noise: float, peak_db: float, blows: int) -> float:
    """Cramér–Rao bound of the frequency of a decaying line in white noise. [cents]

    σ_ω² = 16 σ² / (A² rate τ³), for a ring that dies inside the record (derived; the integral is
    ∫t²e^{−2t/τ} − (∫te^{−2t/τ})²/∫e^{−2t/τ} = τ³/8).
    """
    amplitude = 10 ** ((line.level_db + peak_db) / 20)
    omega = np.sqrt(16 * noise**2 / (amplitude**2 * RATE * line.decay_s**3 * blows))
    return float(1200 / np.log(2) * omega / (2 * np.pi * line.hz))
