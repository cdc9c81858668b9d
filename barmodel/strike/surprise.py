"""Blows that raise no level: found because a ring cannot foretell them.

Any sum of decaying lines, beats included, is predicted by a linear recursion of its own past. A
blow is not, even when it falls into the loud ring of the last one and happens to weaken it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.linalg import LinAlgError, solve_toeplitz

Real = NDArray[np.float64]

_ORDER = 64
_FRAME_S, _LEAST_FRAME = 0.001, 24
_SLOWER, _LEAST_RATE = 8, 2000.0
_ABOVE = 4.0  # energy over its own median; frames of noise reach half of that
_BELOW_LARGEST = 0.02  # 17 dB under the greatest surprise is a knock on the table


def surprises(signal: Real, rate: float) -> list[int]:
    """Samples where the signal departs from what its past foretells.

    Parameters
    ----------
    signal : ndarray, shape (n,)
        One channel.
    rate : float
        Sample rate. [Hz]

    Returns
    -------
    list of int
        Beginnings of short frames, the first of each run: sharp blows found at the full rate, and
        soft ones, hidden there in the noise of the upper octaves, at an eighth of it.
    """
    found = _at_rate(signal, rate)
    if rate / _SLOWER >= _LEAST_RATE and signal.size > 64 * _SLOWER:
        for place in _at_rate(_slowed(signal), rate / _SLOWER):
            if all(abs(place * _SLOWER - other) > 0.02 * rate for other in found):
                found.append(place * _SLOWER)
    return sorted(found)


def _slowed(signal: Real) -> Real:
    """The signal at an eighth of its rate: the lowest eighth of its spectrum."""
    size = _SLOWER * fft.next_fast_len(signal.size // _SLOWER + _ORDER, real=True)
    slow = size // _SLOWER
    low = fft.rfft(signal, size)[: slow // 2 + 1]
    return np.asarray(fft.irfft(low, slow)[: signal.size // _SLOWER] / _SLOWER)


def _at_rate(signal: Real, rate: float) -> list[int]:
    frame = max(int(_FRAME_S * rate), _LEAST_FRAME)
    if signal.size < 20 * frame or signal.size < 4 * _ORDER:
        return []
    size = fft.next_fast_len(signal.size + _ORDER + 1, real=True)
    spectrum = fft.rfft(signal, size)
    echo = fft.irfft(spectrum.real**2 + spectrum.imag**2, size)[: _ORDER + 1]
    echo[0] *= 1 + 1e-7  # as if a little noise were there: keeps silence from being surprising
    try:
        recursion = solve_toeplitz(echo[:-1], echo[1:])
    except (LinAlgError, ValueError):
        return []
    error = np.convolve(signal, np.concatenate([[1.0], -recursion]))[: signal.size]
    count = error.size // frame
    energy = np.sum(error[: count * frame].reshape(count, frame) ** 2, axis=1)
    if not np.all(np.isfinite(energy)) or energy.max() <= 0:
        return []
    largest = float(energy.max())
    # the first frames surprise by beginning; they are left to the search by level
    energy[: _ORDER // frame + 1] = 0.0
    wild = (energy > _ABOVE * np.median(energy)) & (energy > _BELOW_LARGEST * largest)
    begins = np.flatnonzero(wild & ~np.concatenate([[False], wild[:-1]]))
    return [int(b) * frame for b in begins]
