"""From a recording to one clean channel: offset, clipping, stereo in antiphase, silence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import RecordingError
from barmodel.strike.records import Caution, Recording

LOWEST_RATE, HIGHEST_RATE = 2000.0, 1_000_000.0
"""Sample rates believed; below, no bar's modes fit; above, the header lies. [Hz]"""
_SILENCE = 1e-6
_SHORTEST_S = 0.02


@dataclass(frozen=True, slots=True)
class Signal:
    """One channel ready for analysis.

    Parameters
    ----------
    samples : ndarray, shape (frames,)
        The signal without its mean. [full scale]
    rate : float
        Sample rate. [Hz]
    name : str
        The recording's name.
    clipped : ndarray of int
        Places of clipped samples, rising.
    cautions : tuple of Caution
        What was found on the way.
    """

    samples: NDArray[np.float64]
    rate: float
    name: str
    clipped: NDArray[np.intp]
    cautions: tuple[Caution, ...]


def prepare(recording: Recording) -> Signal:
    """Choose or mix the channels and note what is wrong with them.

    Parameters
    ----------
    recording : Recording
        As decoded.

    Returns
    -------
    Signal
        One channel, with cautions for an offset, clipping and channels in antiphase.

    Raises
    ------
    RecordingError
        If the rate cannot be true, or the recording is silent or shorter than 20 ms.
    """
    name, rate = recording.name, recording.rate
    if not LOWEST_RATE <= rate <= HIGHEST_RATE:
        raise RecordingError(
            f"{name}: the sample rate is {rate:g} Hz; bars are heard between {LOWEST_RATE:g} and "
            f"{HIGHEST_RATE:g} Hz; record at 48 kHz"
        )
    if recording.seconds < _SHORTEST_S:
        raise RecordingError(
            f"{name}: is {1000 * recording.seconds:.1f} ms long; at least "
            f"{1000 * _SHORTEST_S:.0f} ms are needed, better a second; record again"
        )
    cautions = list(recording.cautions)
    offset = recording.samples.mean(axis=1, keepdims=True)
    channels = recording.samples - offset
    peak = float(np.abs(channels).max())
    if peak < _SILENCE:
        raise RecordingError(
            f"{name}: is silent (largest sample {peak:.1e} of full scale); check the microphone, "
            "its input level and that the right input was recorded"
        )
    if float(np.abs(offset).max()) > 0.02 * peak:
        cautions.append(
            Caution(
                "offset",
                f"{name} has a constant offset of {float(np.abs(offset).max()):.3g} of full "
                "scale; it was taken away; the sound card or an adapter is at fault",
            )
        )
    clipped = np.unique(np.concatenate([_clipped(channel) for channel in recording.samples]))
    mixed, antiphase = _mix(channels)
    if antiphase:
        cautions.append(
            Caution(
                "antiphase",
                f"the two channels of {name} are in antiphase and would cancel in a mono mix; "
                "one was turned over; check the cable or the stereo microphone's setting",
            )
        )
    return Signal(mixed, rate, name, clipped, tuple(cautions))


def _mix(channels: NDArray[np.float64]) -> tuple[NDArray[np.float64], bool]:
    """Project the channels on their strongest common direction; tell if two were opposed."""
    live = channels[np.abs(channels).max(axis=1) > 1e-3 * np.abs(channels).max()]
    if live.shape[0] == 1:
        return live[0], False
    energy = live @ live.T
    direction = np.linalg.eigh(energy)[1][:, -1]
    if direction.sum() < 0:
        direction = -direction
    correlation = energy[0, 1] / np.sqrt(energy[0, 0] * energy[1, 1])
    return np.asarray(direction @ live), bool(live.shape[0] == 2 and correlation < -0.5)


def _clipped(channel: NDArray[np.float64]) -> NDArray[np.intp]:
    """Places where the signal sits flat at its own extreme.

    A smooth top can repeat its largest value too, in low notes or at 8 bits; it then comes once
    and falls away gently. Clipping comes in several flats, or falls off an edge.
    """
    steps = np.abs(np.diff(channel))
    steps = steps[steps > 0]
    if steps.size == 0:
        return np.zeros(0, dtype=np.intp)
    finest = float(steps.min())
    found = [_flats(sign * channel, finest) for sign in (1.0, -1.0)]
    return np.concatenate(found)


def _flats(channel: NDArray[np.float64], finest: float) -> NDArray[np.intp]:
    top = float(channel.max())
    if top <= 0:
        return np.zeros(0, dtype=np.intp)
    at_top = np.concatenate([[False], channel >= top * (1 - 1e-6), [False]])
    begins = np.flatnonzero(at_top[1:] & ~at_top[:-1])
    ends = np.flatnonzero(~at_top[1:] & at_top[:-1])
    flats = [(b, e) for b, e in zip(begins, ends, strict=True) if e - b >= 3]
    if not flats:
        return np.zeros(0, dtype=np.intp)
    if len(flats) == 1:
        b, e = flats[0]
        before = top - channel[b - 1] if b > 0 else 0.0
        after = top - channel[e] if e < channel.size else 0.0
        if min(before, after) < max(2e-3 * top, 1.5 * finest):
            return np.zeros(0, dtype=np.intp)
    return np.concatenate([np.arange(b, e) for b, e in flats])
