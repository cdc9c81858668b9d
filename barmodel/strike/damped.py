"""Fit decaying sinusoids to a band of the spectrum, with standard errors.

The discrete Fourier transform over N samples of a·exp(s n), s = (−1/τ + 2πi f)/rate, is a
geometric sum, a·(1 − e^{sN})/(1 − e^{s − iω_k}): no window and no peak shape need be assumed.
Each line is fitted in a narrow band around it, where the noise is nearly white; lines elsewhere
enter by their own transform, and whatever is left of them and of the mallet's click is smooth
over the band and taken up by a straight line in frequency.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

_BACKGROUND_TERMS = 2
_STEPS = 10


@dataclass(slots=True)
class Line:
    """A decaying sinusoid under estimation: 2·Re(amplitude·exp((−decay + 2πi hz) t)).

    `decay` is 1/τ; `errors` are the standard errors of (hz, decay) and `amplitude_error` that of
    the amplitude's modulus. `noise` is the standard deviation of the residual per bin. `seed` is
    where the line was first seen and how far from there it may be found.
    """

    hz: float
    decay: float
    amplitude: complex = 0.0
    errors: tuple[float, float] = (np.inf, np.inf)
    amplitude_error: float = np.inf
    noise: float = np.inf
    freedom: int = 1
    length: int = 0
    seed: tuple[float, float] = (0.0, np.inf)

    def energy(self, seconds: float) -> float:
        """∫ (2|a| e^{−t/τ})²/2 dt over the stretch."""
        rate = 2.0 * self.decay * seconds
        span = seconds if abs(rate) < 1e-9 else seconds * -np.expm1(-rate) / rate
        return float(2.0 * abs(self.amplitude) ** 2 * span)


def _geometric(s: Complex, bins: Complex, length: int) -> tuple[Complex, Complex]:
    """Sum of e^{s n}·bins^n for n < length, and its derivative with respect to s.

    `bins` are e^{−iω} on the transform's own grid, so that bins^length = 1.
    """
    turn = np.exp(s)[:, None] * bins
    end = np.exp(s * length)[:, None]
    below = 1.0 - turn
    below[below == 0] = 1e-15
    total = (1.0 - end) / below
    return total, (total * turn - length * end) / below


def transform(lines: list[Line], bins: Complex, length: int, rate: float) -> Complex:
    """Discrete Fourier transform of the lines.

    Parameters
    ----------
    lines : list of Line
        What sounds.
    bins : ndarray, shape (bins,)
        e^{−iω} of the bins wanted, ω a multiple of 2π/length. [-]
    length : int
        Number of samples of the transform.
    rate : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray, shape (bins,)
        The transform, negative frequencies included.
    """
    if not lines:
        return np.zeros(bins.size, dtype=complex)
    s = _poles(lines, rate)
    amplitude = np.array([line.amplitude for line in lines])
    s, amplitude = np.concatenate([s, s.conj()]), np.concatenate([amplitude, amplitude.conj()])
    turn, end = np.exp(s)[:, None] * bins, np.exp(s * length)
    below = 1.0 - turn
    below[below == 0] = 1e-15
    return np.asarray((amplitude * (1.0 - end)) @ (1.0 / below))


def _poles(lines: list[Line], rate: float) -> Complex:
    # a decay of exactly zero would put the pole on a bin; a millionth per second is no decay
    return np.array([complex(-(line.decay or 1e-6), 2 * np.pi * line.hz) / rate for line in lines])


class _Problem:
    """One band: its spectrum without the distant lines, and the frame it is fitted in."""

    def __init__(self, data: Complex, bins: Complex, length: int, rate: float) -> None:
        self.bins, self.length, self.rate = bins, length, rate
        self.target = _stack(data)
        centre = np.linspace(-1.0, 1.0, bins.size)
        smooth = np.array([centre**k for k in range(_BACKGROUND_TERMS)]) * np.sqrt(length)
        self.smooth = _stack(np.concatenate([smooth, 1j * smooth]))

    def solve(self, poles: Complex) -> _Solution:
        """Best amplitudes and background for given poles."""
        count = poles.size
        both, slopes = _geometric(np.concatenate([poles, poles.conj()]), self.bins, self.length)
        plus, minus = both[:count], both[count:]
        design = np.concatenate(
            [_stack(np.concatenate([plus + minus, 1j * (plus - minus)])), self.smooth]
        )
        size = np.sqrt(np.einsum("ij,ij->i", design, design))
        scaled = design / size[:, None]
        normal = scaled @ scaled.T
        normal.flat[:: normal.shape[0] + 1] += 1e-13
        weights = np.linalg.solve(normal, scaled @ self.target) / size
        residual = self.target - weights @ design
        amplitude = weights[:count] + 1j * weights[count : 2 * count]
        up, down = amplitude[:, None] * slopes[:count], amplitude.conj()[:, None] * slopes[count:]
        scale = 1.0 / self.length
        by_pole = np.concatenate([1j * scale * (up - down), -scale * (up + down)])
        jacobian = np.concatenate([design, _stack(by_pole)])
        return _Solution(poles, amplitude, jacobian, residual, float(residual @ residual))


@dataclass(slots=True)
class _Solution:
    """State of one step: rows of `jacobian` are amplitudes, background, frequencies, decays."""

    poles: Complex
    amplitude: Complex
    jacobian: Real
    residual: Real
    cost: float


def _stack(rows: Complex) -> Real:
    return np.concatenate([rows.real, rows.imag], axis=-1)


def fit_band(
    spectrum: Complex,
    bins: Complex,
    length: int,
    rate: float,
    lines: list[Line],
    frozen: list[bool],
) -> list[Line]:
    """Improve the lines of one band together by least squares (variable projection).

    Parameters
    ----------
    spectrum : ndarray, shape (bins,)
        Transform of the signal in the band, lines outside the band already taken away.
    bins : ndarray, shape (bins,)
        e^{−iω} of the bins, as for `transform`. [-]
    length, rate : int, float
        Samples of the transform; sample rate. [Hz]
    lines : list of Line
        Starting values; not changed.
    frozen : list of bool
        True where only the amplitude is to be found.

    Returns
    -------
    list of Line
        The lines with amplitudes and standard errors. The errors are those of the linearised
        least-squares problem with the residual of this band as its noise.

    References
    ----------
    Golub & Pereyra 1973, SIAM J. Numer. Anal. 10, 413 (variable projection; from memory).
    """
    problem = _Problem(spectrum, bins, length, rate)
    count = len(lines)
    free = np.flatnonzero(~np.array(frozen))
    half_band = np.pi * (bins.size - 1) / length
    state = problem.solve(_poles(lines, rate))
    linear = state.jacobian.shape[0] - 2 * count
    keep = np.concatenate([np.arange(linear), linear + free, linear + count + free])
    damping = 1e-6
    for _ in range(_STEPS):
        step = _step(state.jacobian[keep], state.residual, damping)[linear:] / length
        change = np.zeros(count, dtype=complex)
        change[free] = 1j * step[: free.size] - step[free.size :]
        change = _limited(change, state.poles, half_band, length)
        trial = problem.solve(state.poles + change)
        if trial.cost <= state.cost:
            gain = state.cost - trial.cost
            state, damping = trial, max(damping * 0.1, 1e-12)
            if gain < 1e-4 * state.cost:
                break
        else:
            damping = max(damping * 30.0, 1e-3)
            if damping > 1e4:
                break
    return _with_errors(problem, state, keep, free)


def _step(jacobian: Real, residual: Real, damping: float) -> Real:
    """Levenberg–Marquardt step in rows scaled to unit length."""
    scale = np.sqrt(np.einsum("ij,ij->i", jacobian, jacobian)) + 1e-300
    scaled = jacobian / scale[:, None]
    normal = scaled @ scaled.T
    normal.flat[:: normal.shape[0] + 1] += damping + 1e-13
    return np.asarray(np.linalg.solve(normal, scaled @ residual) / scale)


def _limited(change: Complex, poles: Complex, half_band: float, length: int) -> Complex:
    """Keep a step inside half the band, and the decay positive or nearly so."""
    frequency = np.clip(change.imag, -0.25 * half_band, 0.25 * half_band)
    decay = poles.real + change.real
    decay = np.clip(decay, np.minimum(4 * poles.real, 0.0) - half_band, 1.0 / length)
    return np.asarray(decay - poles.real + 1j * frequency)


def _with_errors(
    problem: _Problem, state: _Solution, keep: NDArray[np.intp], free: NDArray[np.intp]
) -> list[Line]:
    count = state.poles.size
    jacobian = state.jacobian[keep]
    linear = keep.size - 2 * free.size
    freedom = max(jacobian.shape[1] - jacobian.shape[0], 1)
    variance = state.cost / freedom
    scale = np.sqrt(np.einsum("ij,ij->i", jacobian, jacobian)) + 1e-300
    scaled = jacobian / scale[:, None]
    normal = scaled @ scaled.T
    normal.flat[:: normal.shape[0] + 1] += 1e-13
    inverse = np.diag(np.linalg.inv(normal))
    spread = np.sqrt(np.maximum(inverse, 0.0) * variance) / scale
    error_hz, error_decay = np.full(count, np.inf), np.full(count, np.inf)
    to_rate = problem.rate / problem.length
    error_hz[free] = spread[linear : linear + free.size] * to_rate / (2 * np.pi)
    error_decay[free] = spread[linear + free.size :] * to_rate
    error_amplitude = np.hypot(spread[:count], spread[count : 2 * count]) / np.sqrt(2)
    return [
        Line(
            hz=float(state.poles[i].imag * problem.rate / (2 * np.pi)),
            decay=float(-state.poles[i].real * problem.rate),
            amplitude=complex(state.amplitude[i]),
            errors=(float(error_hz[i]), float(error_decay[i])),
            amplitude_error=float(error_amplitude[i]),
            noise=float(np.sqrt(variance)),
            freedom=freedom,
            length=problem.length,
        )
        for i in range(count)
    ]
