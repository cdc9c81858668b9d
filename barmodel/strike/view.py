"""The spectrum of a recording, for the eye; numbers come from the fits in `ring` alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from barmodel.strike.prepare import prepare
from barmodel.strike.records import Recording, Strike

Real = NDArray[np.float64]
LONGEST_S = 2.0
"""More of a ring than this says nothing new to the eye. [s]"""
_PADDING = 4


def spectrum(recording: Recording, strike: Strike) -> tuple[Real, Real]:
    """Level over frequency of one strike, its loudest line at 0 dB.

    Parameters
    ----------
    recording : Recording
        The recording that holds the strike.
    strike : Strike

    Returns
    -------
    hz, level_db : ndarray, shape (n,)
        [Hz], [dB]

    Notes
    -----
    The right half of a Hann window over the ring: it fades the end and keeps the blow.
    """
    signal = prepare(recording)
    start = int(strike.start_s * signal.rate)
    stop = min(int(strike.end_s * signal.rate), start + int(LONGEST_S * signal.rate))
    ring = signal.samples[start:stop]
    faded = ring * np.hanning(2 * ring.size)[ring.size :]
    size = _PADDING * 2 ** int(np.ceil(np.log2(max(ring.size, 2))))
    level = np.abs(np.fft.rfft(faded, size))
    level_db = 20 * np.log10(np.maximum(level, 1e-12 * level.max()) / level.max())
    hz = np.fft.rfftfreq(size, 1.0 / signal.rate)
    return np.asarray(hz, dtype=float), np.asarray(level_db, dtype=float)
