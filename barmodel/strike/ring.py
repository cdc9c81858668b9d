"""Take one ringing stretch apart into decaying lines.

Find lines, fit each in its band with the others taken away, look at what is left for lines that
were hidden, and fit again until nothing moves. Each line is fitted over about five of its own
decay times: longer adds only noise, shorter throws precision away.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from barmodel.strike.damped import Line, fit_band, transform
from barmodel.strike.lines import find_lines

Real = NDArray[np.float64]

_HALF_BAND = 14  # bins on each side of the line
_DECAYS = 5.0  # length of the fit in decay times
_LONGEST_S = 3.0
_SHORTEST_S = 0.008
_LEAST_DECAY_S = 0.001
_LEAST_QUALITY = 12.0  # broader humps are the mallet's click, not a ring
_SIGNIFICANT = 5.0  # amplitude over its standard error
_PASSES = 2
_SWEEPS = 5
_MOST_TOGETHER = 4
_APART = 1.2  # bins of the longer fit
_WANDER = 2.0  # bins of the spectrum it was seen in; further, it has become another line


class _Spectra:
    """Transforms of one stretch over a ladder of lengths, each made once."""

    def __init__(self, stretch: Real, rate: float) -> None:
        self.stretch, self.rate = stretch, rate
        longest = min(stretch.size, int(_LONGEST_S * rate))
        self.lengths = [longest]
        while self.lengths[-1] / 1.5 > _SHORTEST_S * rate:
            self.lengths.append(good_length(int(self.lengths[-1] / 1.5)))
        self._kept: dict[int, NDArray[np.complex128]] = {}

    def length_for(self, decay: float) -> int:
        wanted = _DECAYS / max(decay, 1e-3) * self.rate
        fitting = [n for n in self.lengths if n >= wanted]
        return fitting[-1] if fitting else self.lengths[0]

    def band(
        self, hz: float, length: int
    ) -> tuple[NDArray[np.complex128], NDArray[np.complex128], float]:
        """Spectrum around a line, e^{−iω} of its bins, and its first frequency."""
        if length not in self._kept:
            self._kept[length] = fft.rfft(self.stretch[:length])
        whole = self._kept[length]
        centre = round(hz * length / self.rate)
        low = min(max(centre - _HALF_BAND, 1), max(whole.size - 2 * _HALF_BAND - 2, 1))
        bins = np.arange(low, min(low + 2 * _HALF_BAND + 1, whole.size - 1))
        low_hz = float(low * self.rate / length)
        return whole[bins], np.exp(-2j * np.pi * bins / length), low_hz


def good_length(length: int) -> int:
    """Largest length not above this one whose only factors are 2, 3 and 5."""
    for candidate in range(length, length // 2, -1):
        rest = candidate
        for prime in (2, 3, 5):
            while rest % prime == 0:
                rest //= prime
        if rest == 1:
            return candidate
    return length


def take_apart(stretch: Real, rate: float) -> list[Line]:
    """Find and fit the decaying lines of one ringing stretch.

    Parameters
    ----------
    stretch : ndarray, shape (n,)
        Free ring after a blow.
    rate : float
        Sample rate. [Hz]

    Returns
    -------
    list of Line
        From low to high; amplitudes refer to the beginning of the stretch.
    """
    spectra = _Spectra(stretch, rate)
    lines: list[Line] = []
    for _ in range(_PASSES):
        rest = stretch - _waveform(lines, stretch.size, rate) if lines else stretch
        fresh = [
            Line(hz, 3.0 / seconds, seed=(hz, _WANDER / seconds))
            for hz, seconds in find_lines(rest, rate)
            if not any(_same(hz, line, spectra) for line in lines)
        ]
        if not fresh:
            break
        lines = _fit_all(spectra, lines, fresh)
    return sorted(lines, key=lambda line: line.hz)


def _same(hz: float, line: Line, spectra: _Spectra) -> bool:
    """True when a new line would only mend the shape of a known one.

    Real lines do not decay quite exponentially; what is left beside them is not a second line.
    """
    return abs(hz - line.hz) < 2.5 * spectra.rate / spectra.length_for(line.decay)


def _fit_all(spectra: _Spectra, known: list[Line], fresh: list[Line]) -> list[Line]:
    """Fit in turn until nothing moves; only what moved, or lost a neighbour, is fitted again."""
    lines = known + fresh
    todo = list(range(len(known), len(lines)))
    if known:
        reach = [_HALF_BAND * spectra.rate / spectra.length_for(line.decay) for line in known]
        todo += [
            i for i, line in enumerate(known) if any(abs(f.hz - line.hz) < reach[i] for f in fresh)
        ]
    for sweep in range(_SWEEPS):
        moved: set[int] = set()
        for i in todo:
            before = lines[i]
            _fit_one(spectra, lines, i)
            if abs(lines[i].hz - before.hz) > 0.1 * lines[i].errors[0]:
                moved.add(id(lines[i]))
        kept = _believable(lines, spectra.rate, final=sweep >= 2)
        lost = [line for line in lines if not any(line is k for k in kept)]
        todo = [
            i
            for i, line in enumerate(kept)
            if sweep == 0
            or id(line) in moved
            or any(abs(g.hz - line.hz) < _HALF_BAND * spectra.rate / line.length for g in lost)
        ]
        todo.sort(key=lambda i: -abs(kept[i].amplitude))
        lines = kept
        if not todo:
            break
    return _believable(lines, spectra.rate, final=True, last=True)


def _fit_one(spectra: _Spectra, lines: list[Line], index: int) -> None:
    """Refit one line and its neighbours in the band, in place."""
    rate = spectra.rate
    length = spectra.length_for(lines[index].decay)
    data, bins, low = spectra.band(lines[index].hz, length)
    high = low + (bins.size - 1) * rate / length
    inside = [
        j for j, line in enumerate(lines) if j != index and low <= line.hz <= high and line.length
    ]
    inside.sort(key=lambda j: abs(lines[j].hz - lines[index].hz))
    together = [index, *inside[: _MOST_TOGETHER - 1]]
    others = [line for j, line in enumerate(lines) if j not in together and line.length]
    data = data - transform(others, bins, length, rate)
    # a line with a longer life is known better from its own, longer fit
    frozen = [j != index and lines[j].length > 1.6 * length for j in together]
    fitted = fit_band(data, bins, length, rate, [lines[j] for j in together], frozen)
    for place, (j, line) in enumerate(zip(together, fitted, strict=True)):
        mine = place == 0 or (not frozen[place] and lines[j].length < 1.6 * length)
        if mine and low < line.hz < high:
            line.seed = lines[j].seed
            lines[j] = line


def _believable(lines: list[Line], rate: float, *, final: bool, last: bool = False) -> list[Line]:
    """Drop lines that are noise, clicks, outside the band, or the double of another."""
    limit = _SIGNIFICANT if final else 2.5
    kept: list[Line] = []
    for line in sorted(lines, key=lambda line: -line.energy(3.0)):
        certain = abs(line.amplitude) > limit * line.amplitude_error
        lasting = line.decay < min(1 / _LEAST_DECAY_S, np.pi * line.hz / _LEAST_QUALITY)
        sharp = line.errors[0] < 0.03 * line.hz
        inside = 0 < line.hz < 0.497 * rate and abs(line.hz - line.seed[0]) < line.seed[1]
        double = any(_double(line, other, rate) for other in kept)
        if not certain and not last:
            # two poles fighting over one line both look uncertain: keep the stronger, fit it alone
            rivals = [g for g in lines if g is not line and _close(g, line)]
            certain = bool(rivals) and not any(g is k for g in rivals for k in kept)
            sharp = sharp or certain
        if certain and lasting and sharp and inside and not double:
            kept.append(line)
    return kept


def _close(line: Line, other: Line) -> bool:
    """True when two lines share the width of a few decay rates and hence trade strength."""
    return abs(line.hz - other.hz) < 0.5 * max(abs(line.decay), abs(other.decay), 1.0)


def _double(line: Line, other: Line, rate: float) -> bool:
    """True when two lines are nearer than their widths or than the record can tell apart."""
    width = (abs(line.decay) + abs(other.decay)) / (2 * np.pi)
    resolved = _APART * rate / max(line.length, other.length, 1)
    return abs(line.hz - other.hz) < max(width, resolved)


def _waveform(lines: list[Line], size: int, rate: float) -> Real:
    """Sum of the lines in time."""
    total = np.zeros(size)
    block = 256
    head = np.arange(min(block, size))
    starts = np.arange(0, size, block)
    for line in lines:
        s = complex(-max(line.decay, 0.0), 2 * np.pi * line.hz) / rate
        piece = np.outer(np.exp(s * starts), 2 * line.amplitude * np.exp(s * head))
        total += piece.real.ravel()[:size]
    return total
