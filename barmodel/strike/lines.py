"""Find lines in the spectrum of a ringing stretch, short-lived ones too.

Spectra over several lengths are searched, because a line that lives 30 ms is buried in a
spectrum over one second and two lines 5 Hz apart are one in a spectrum over 50 ms.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import fft

Real = NDArray[np.float64]

LENGTHS_S = (1.6, 0.5, 0.15, 0.045, 0.014)
_LOWEST_HZ = 25.0  # nothing below is looked for
_ABOVE_NOISE = 20.0  # power over the local median: 13 dB; one false line in some 100 spectra
_RANGE = 1e-7  # 70 dB below the strongest line of the same spectrum
_LOBE = 4.0  # half width of the window's main lobe, in bins of the unpadded spectrum
_MOST = 24
_FLOOR_BINS = 64


def find_lines(stretch: Real, rate: float) -> list[tuple[float, float]]:
    """Find candidate lines.

    Parameters
    ----------
    stretch : ndarray, shape (n,)
        The ring after a blow.
    rate : float
        Sample rate. [Hz]

    Returns
    -------
    list of (hz, seconds)
        Frequency, and the length of the spectrum in which the line stood out most.
    """
    found: list[tuple[float, float, float, float]] = []
    lengths = [int(s * rate) for s in LENGTHS_S if s * rate < stretch.size]
    if stretch.size <= LENGTHS_S[0] * rate:
        lengths.insert(0, stretch.size)
    for length in lengths:
        width = _LOBE * rate / length
        for hz, excess, energy in _peaks(stretch[:length], rate):
            near = [i for i, f in enumerate(found) if abs(f[0] - hz) < width]
            if not near:
                found.append((hz, length / rate, excess, energy))
                continue
            if len(near) == 1 and excess > 2.0 * found[near[0]][2]:
                old = found[near[0]]
                found[near[0]] = (old[0], length / rate, excess, energy)
    found.sort(key=lambda f: -f[3])
    return [(hz, seconds) for hz, seconds, _, _ in found[:_MOST]]


def _peaks(stretch: Real, rate: float) -> list[tuple[float, float, float]]:
    """Peaks of one spectrum: frequency, power over the local floor, and power times length."""
    length = stretch.size
    padded = fft.next_fast_len(2 * length, real=True)
    window = _smooth_window(length)
    spectrum = fft.rfft(stretch * window, padded)
    power = spectrum.real**2 + spectrum.imag**2
    low = max(int(np.ceil(_LOWEST_HZ * padded / rate)), int(2 * _LOBE), 1)
    high = power.size - 2
    if high <= low + 2:
        return []
    middle = power[low:high]
    peak = (middle > power[low - 1 : high - 1]) & (middle >= power[low + 1 : high + 1])
    peak &= middle > _RANGE * power[low:].max()
    at = np.flatnonzero(peak) + low
    floor = _floor(power, at)
    clear = power[at] > _ABOVE_NOISE * floor
    at, floor = at[clear], floor[clear]
    strongest = np.argsort(-power[at])[: 2 * _MOST]
    gain = 0.258 * length  # mean square of the window, for comparing spectra of several lengths
    result = []
    for k, below in zip(at[strongest].tolist(), floor[strongest].tolist(), strict=True):
        a, b, c = np.log(power[k - 1 : k + 2] + 1e-300).tolist()
        curve = a - 2 * b + c
        shift = 0.5 * (a - c) / curve if curve < 0 else 0.0
        result.append(((k + shift) * rate / padded, float(power[k]) / below, power[k] / gain))
    return result


@lru_cache(maxsize=16)
def _smooth_window(length: int) -> Real:
    """Blackman–Harris window, side lobes 92 dB down (Harris 1978, Proc. IEEE 66, 51)."""
    t = 2 * np.pi * np.arange(length) / max(length - 1, 1)
    window = 0.35875 - 0.48829 * np.cos(t) + 0.14128 * np.cos(2 * t) - 0.01168 * np.cos(3 * t)
    window.setflags(write=False)
    return np.asarray(window)


def _floor(power: Real, at: NDArray[np.intp]) -> Real:
    """Local median of the spectrum, in blocks, joined by straight lines in the logarithm."""
    bins = min(_FLOOR_BINS, power.size)
    count = max(power.size // bins, 1)
    blocks = power[: count * bins].reshape(count, bins)
    level = np.log(np.median(blocks, axis=1) + 1e-300)
    centres = (np.arange(count) + 0.5) * bins
    return np.asarray(np.exp(np.interp(at, centres, level)))
