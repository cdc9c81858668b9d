"""Ringing bars for the tests of this room."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barmodel.strike import Recording

RATE = 48000.0
MARIMBA = ((1.0, 1.0, 0.25), (4.0, 0.4, 0.08), (10.0, 0.25, 0.03))
"""Ratio, amplitude, decay time in seconds of three modes."""


def ring(
    seconds: float = 1.0,
    *,
    first_hz: float = 220.0,
    lines: tuple[tuple[float, float, float], ...] = MARIMBA,
    rate: float = RATE,
) -> NDArray[np.float64]:
    """One blow at time 0, largest sample about 0.5."""
    t = np.arange(int(seconds * rate)) / rate
    parts = [a * np.exp(-t / tau) * np.sin(2 * np.pi * r * first_hz * t) for r, a, tau in lines]
    sound = np.sum(parts, axis=0)
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
