"""Find the blows in a recording and the stretch in which each rings.

A blow is a sudden rise in several frequency bands against the 50 ms before it. The long look
back keeps beats between neighbouring lines from passing as blows: a beat climbs out of its dip
as slowly as it fell into it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmodel.strike.surprise import surprises

Real = NDArray[np.float64]

_HOP_S, _FRAME_S, _LOOK_BACK_S = 0.002, 0.006, 0.05
_EDGES_HZ = (0.0, 400.0, 900.0, 2000.0, 4500.0, 10000.0, np.inf)
_RISE_DB = 6.0
_BOUNCE_BACK_S, _BOUNCE_DB, _BOUNCE_BANDS = 0.014, 3.5, 3
_BOUNCE_SUM_DB = 16.0
_OVER_DB, _OUT_DB = 4.0, 9.0
_SETTLE_S = 0.002
_FAINT_START_DB = 15.0
_SOFT_S = 0.003  # a blow without a click has a long contact
_DOUBLE_S = 0.15
"""A second blow sooner than this is a double hit, not a new strike."""
_SHORTEST_S = 0.03
_BLOCK = 2000


@dataclass(frozen=True, slots=True)
class Stretch:
    """One blow and the ring after it, in samples: the free ring is start ≤ n < end."""

    blow: int
    start: int
    end: int
    double: bool


def find_stretches(signal: Real, rate: float) -> list[Stretch]:
    """Find the strikes of a recording.

    Parameters
    ----------
    signal : ndarray, shape (frames,)
        One channel without offset.
    rate : float
        Sample rate. [Hz]

    Returns
    -------
    list of Stretch
        In order of time. A double hit is one stretch that starts after its second blow. A
        recording without any sudden rise is one stretch from its loudest place on.
    """
    unforetold = surprises(signal, rate)
    blows = _blows(signal, rate, unforetold)
    for place in unforetold:
        # blows that raise the level were found already, and their ring may surprise for a while
        if all(abs(place - blow) > _DOUBLE_S * rate for blow in blows):
            blows.append(place + int(_SOFT_S * rate))
    blows.sort()
    if not blows:
        blows = [int(np.argmax(np.abs(signal)))]
    groups: list[list[int]] = []
    for blow in blows:
        if groups and blow - groups[-1][-1] < _DOUBLE_S * rate:
            groups[-1].append(blow)
        else:
            groups.append([blow])
    stretches = []
    guard, settle = int(0.004 * rate), int(_SETTLE_S * rate)
    for index, group in enumerate(groups):
        end = groups[index + 1][0] - guard if index + 1 < len(groups) else signal.size
        start = group[-1] + settle
        if end - start >= _SHORTEST_S * rate:
            stretches.append(Stretch(group[0], start, end, len(group) > 1))
    return stretches


def _band_levels(signal: Real, rate: float) -> Real:
    """Level of each band in frames of 6 ms, shape (bands, frames). [dB]"""
    frame, hop = max(int(_FRAME_S * rate), 16), max(int(_HOP_S * rate), 4)
    # silence before the file lets a blow at its very beginning count as a rise
    lead = int(_LOOK_BACK_S * rate) + frame
    padded = np.concatenate([np.zeros(lead), signal])
    windows = np.lib.stride_tricks.sliding_window_view(padded, frame)[::hop]
    frequency = np.fft.rfftfreq(frame, 1 / rate)
    inside = [
        (frequency >= low) & (frequency < high) for low, high in itertools.pairwise(_EDGES_HZ)
    ]
    sums = np.array([band for band in inside if band.any()], dtype=float)
    taper = np.hanning(frame)
    # in blocks: all windows of a recording of minutes at once would fill the memory
    rows = [
        sums @ (np.abs(np.fft.rfft(windows[k : k + _BLOCK] * taper, axis=1)) ** 2).T
        for k in range(0, len(windows), _BLOCK)
    ]
    bands = np.concatenate(rows, axis=1)
    lead_frames = int(np.ceil(lead / hop))
    body = bands[:, lead_frames:]
    floor = np.percentile(body, 10, axis=1) if body.shape[1] else np.zeros(len(bands))
    # a sustained recording never falls to its noise: its floor must still lie under the ring
    floor = np.clip(floor, bands.max() * 1e-6, bands.max(axis=1) * 1e-3 + bands.max() * 1e-6)
    return np.asarray(10 * np.log10(bands + floor[:, None]))


def _blows(signal: Real, rate: float, unforetold: list[int]) -> list[int]:
    """Samples at which a blow falls: rises against 50 ms, and second touches soon after them."""
    frame, hop = max(int(_FRAME_S * rate), 16), max(int(_HOP_S * rate), 4)
    lead = int(_LOOK_BACK_S * rate) + frame
    levels = _band_levels(signal, rate)
    places = []
    heard = _rise(levels, _LOOK_BACK_S)
    enough = (heard > _RISE_DB).sum(axis=0) >= min(2, len(levels))
    enough |= heard.max(axis=0) > 2 * _RISE_DB
    for best in _peaks(heard, enough, _LOOK_BACK_S):
        place = best * hop - lead
        if place < 3 * frame and levels[:, best].max() < levels.max() - _FAINT_START_DB:
            continue  # background noise begins with the file; that is no blow
        places.append(place)
    blows = [_edge(signal, place, frame) for place in places]
    # a bounce hides in the long look back; it shows in a short one, and unlike a beat in all bands
    heard = _rise(levels, _BOUNCE_BACK_S)
    enough = (heard > _BOUNCE_DB).sum(axis=0) >= _BOUNCE_BANDS
    enough &= heard.sum(axis=0) > _BOUNCE_SUM_DB
    for best in _peaks(heard, enough, _BOUNCE_BACK_S):
        place = best * hop - lead
        soon = any(0.02 * rate < place - first < _DOUBLE_S * rate for first in places)
        if soon and any(abs(place - other) < 0.012 * rate for other in unforetold):
            blows.append(_edge(signal, place, frame))
    return sorted(set(blows))


def _rise(levels: Real, look_back_s: float) -> Real:
    """Rise of each loud band against the loudest of the frames before, shape (bands, frames)."""
    back, skip = round(look_back_s / _HOP_S), int(_FRAME_S / _HOP_S) - 1
    count = levels.shape[1]
    if count <= back:
        return np.zeros((len(levels), 1))
    past = np.lib.stride_tricks.sliding_window_view(levels, back - skip, axis=1).max(axis=2)
    rise = levels[:, back:] - past[:, : count - back]
    # out of its own background, and loud or plainly so: a blow on a bass bar clicks high and faint
    background = np.percentile(levels, 30, axis=1, keepdims=True)
    over = levels - background
    top = levels.max()
    loud = ((levels > top - 40.0) & (over > _OVER_DB)) | ((levels > top - 60.0) & (over > _OUT_DB))
    loud = loud[:, back:]
    return np.where(loud, np.clip(rise, 0.0, 30.0), 0.0)


def _peaks(heard: Real, enough: NDArray[np.bool_], look_back_s: float) -> list[int]:
    """Frame of the steepest rise in every run of frames that rise enough."""
    back = round(look_back_s / _HOP_S)
    strength = np.where(enough, heard.sum(axis=0), 0.0)
    return [
        begin + int(np.argmax(strength[begin:end])) + back for begin, end in _runs(strength > 0)
    ]


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    padded = np.concatenate([[False], flags, [False]])
    begins = np.flatnonzero(padded[1:] & ~padded[:-1])
    ends = np.flatnonzero(~padded[1:] & padded[:-1])
    runs = list(zip(begins.tolist(), ends.tolist(), strict=True))
    merged: list[tuple[int, int]] = []
    for begin, end in runs:
        if merged and begin - merged[-1][1] <= 3:
            merged[-1] = (merged[-1][0], end)
        else:
            merged.append((begin, end))
    return merged


def _edge(signal: Real, place: int, frame: int) -> int:
    """First sample near the frame that climbs a third of the way out of what rang before."""
    begin, end = max(place - frame, 0), min(place + 2 * frame, signal.size)
    if end <= begin:
        return min(max(place, 0), signal.size - 1)
    size = np.abs(signal[begin:end])
    before = float(np.abs(signal[max(begin - 2 * frame, 0) : begin]).max(initial=0.0))
    top = float(size.max())
    if top < 1.2 * before:
        return min(place + frame, signal.size - 1)  # no climb to see: the far end of the frame
    return begin + int(np.argmax(size >= before + (top - before) / 3))
