"""Ringing bars: as samples, and as recordings in files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile

from barmodel.strike import Recording

RATE = 48000.0
MARIMBA = ((1.0, 1.0, 0.25), (4.0, 0.4, 0.08), (10.0, 0.25, 0.03))
"""Ratio, amplitude, decay time in seconds of three modes."""
README_BLANK = ((690.0, 1.0, 0.25), (1780.0, 0.4, 0.1), (3180.0, 0.2, 0.05))
"""Hertz, amplitude, decay time in seconds: the blank that the README's walk begins with."""
QUIET = 0.2
"""Before the first blow of a recording. [s]"""


def tones(
    lines: Sequence[tuple[float, float, float]], seconds: float, *, rate: float = RATE
) -> NDArray[np.float64]:
    """Decaying tones from time 0: hertz, amplitude, decay time in seconds of each."""
    t = np.arange(int(seconds * rate)) / rate
    parts = [a * np.exp(-t / tau) * np.sin(2 * np.pi * hz * t) for hz, a, tau in lines]
    return np.asarray(np.sum(parts, axis=0))


def ring(
    seconds: float = 1.0,
    *,
    first_hz: float = 220.0,
    lines: tuple[tuple[float, float, float], ...] = MARIMBA,
    rate: float = RATE,
) -> NDArray[np.float64]:
    """One blow at time 0, largest sample about 0.5."""
    sound = tones([(r * first_hz, a, tau) for r, a, tau in lines], seconds, rate=rate)
    return np.asarray(0.5 * sound / np.abs(sound).max())


def placed(
    *rings: NDArray[np.float64], at: tuple[float, ...], seconds: float
) -> NDArray[np.float64]:
    """Blows at given times, over the faint noise of a room."""
    sound = 2e-4 * np.random.default_rng(5).standard_normal(int(seconds * RATE))
    for wave, start in zip(rings, at, strict=True):
        begin = int(start * RATE)
        live = wave[: sound.size - begin]
        sound[begin : begin + live.size] += live
    return sound


def recorded(sound: NDArray[np.float64], *, rate: float = RATE, name: str = "bar.wav") -> Recording:
    return Recording(sound, rate, name)


def write_strikes(
    path: Path, lines: Sequence[tuple[float, float, float]], *, blows: int = 1, seed: int = 1
) -> str:
    """Write a recording of blows a second apart; return its path.

    Parameters
    ----------
    path : Path
    lines : sequence of (float, float, float)
        Hertz, amplitude, decay time in seconds of each; an amplitude of 5 is full scale.
    blows : int
    seed : int
        Of the noise of the room.
    """
    sound = np.concatenate([np.zeros(int(QUIET * RATE)), *[0.2 * tones(lines, 1.0)] * blows])
    sound += 3e-4 * np.random.default_rng(seed).standard_normal(sound.size)
    wavfile.write(path, int(RATE), (32767 * sound).astype(np.int16))
    return str(path)


def write_even_strike(path: Path, lines: Sequence[tuple[float, float]]) -> str:
    """Write a strike whose lines, hertz and amplitude, all die away alike; return its path."""
    return write_strikes(path, [(hz, level, 0.1) for hz, level in lines], seed=2)
