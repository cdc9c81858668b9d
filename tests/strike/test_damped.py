"""The fit itself: exact without noise, as good as can be with it, honest about its error."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.strike.damped import Line, fit_band, transform
from barmodel.strike.ring import take_apart
from barmodel.strike.robust import agreeing, robust_mean

RATE = 48000.0


def test_transform_is_that_of_the_signal() -> None:
    line = Line(500.3, 7.0, 0.3 * np.exp(0.4j))
    t = np.arange(4800) / RATE
    signal = 2 * np.real(line.amplitude * np.exp((-line.decay + 2j * np.pi * line.hz) * t))
    ks = np.arange(40, 60)
    computed = transform([line], np.exp(-2j * np.pi * ks / 4800), 4800, RATE)
    assert np.allclose(computed, np.fft.rfft(signal)[ks], rtol=1e-9, atol=1e-6)


def fitted(seed: int, noise: float) -> Line:
    rng = np.random.default_rng(seed)
    length, hz, tau = 12000, 1308.0, 0.05
    t = np.arange(length) / RATE
    signal = 0.1 * np.exp(-t / tau) * np.cos(2 * np.pi * hz * t + rng.uniform(0, 6))
    spectrum = np.fft.rfft(signal + noise * rng.standard_normal(length))
    ks = np.arange(327 - 14, 327 + 15)
    bins = np.exp(-2j * np.pi * ks / length)
    return fit_band(spectrum[ks], bins, length, RATE, [Line(hz + 1.0, 30.0)], [False])[0]


def test_exact_without_noise() -> None:
    line = fitted(0, 0.0)
    assert line.hz == pytest.approx(1308.0, abs=1e-6)
    assert line.decay == pytest.approx(20.0, abs=1e-4)


def test_scatter_is_the_stated_error_and_near_the_bound() -> None:
    found = [fitted(seed, 0.03) for seed in range(120)]
    scatter = float(np.std([f.hz for f in found]))
    stated = float(np.median([f.errors[0] for f in found]))
    bound = np.sqrt(16 * 0.03**2 / (0.1**2 * RATE * 0.05**3)) / (2 * np.pi)
    assert stated == pytest.approx(scatter, rel=0.2)
    assert scatter < 1.25 * bound


def test_line_of_thirty_milliseconds_beside_a_loud_one() -> None:
    t = np.arange(48000) / RATE
    signal = np.exp(-t / 0.5) * np.sin(2 * np.pi * 220 * t)
    signal += 0.01 * np.exp(-t / 0.03) * np.sin(2 * np.pi * 2200 * t)
    signal += 1e-4 * np.random.default_rng(0).standard_normal(t.size)
    hz = [line.hz for line in take_apart(signal, RATE)]
    assert min(abs(h - 2200) for h in hz) < 0.5


def test_line_of_four_milliseconds() -> None:
    t = np.arange(48000) / RATE
    signal = 0.3 * np.exp(-t / 0.004) * np.sin(2 * np.pi * 7000 * t)
    signal += 0.01 * np.random.default_rng(0).standard_normal(t.size)
    (line,) = take_apart(signal, RATE)
    assert abs(line.hz - 7000) < 5.0
    assert abs(1 / line.decay - 0.004) < 0.0004


def test_two_lines_six_hertz_apart_are_two() -> None:
    t = np.arange(36000) / RATE
    signal = np.exp(-t / 0.3) * (np.sin(2 * np.pi * 440 * t) + 0.3 * np.sin(2 * np.pi * 446 * t))
    signal += 1e-3 * np.random.default_rng(0).standard_normal(t.size)
    hz = [line.hz for line in take_apart(signal, RATE)]
    assert min(abs(h - 440) for h in hz) < 0.05
    assert min(abs(h - 446) for h in hz) < 0.1


def test_one_stranger_among_strikes_is_left_out() -> None:
    values = np.array([440.0, 440.01, 439.99, 440.0, 451.0])
    assert agreeing(values, np.full(5, 0.01)).tolist() == [0, 1, 2, 3]
    mean, error = robust_mean(values, np.full(5, 0.01))
    assert abs(mean - 440.0) < 0.01
    assert error < 0.02


def test_scatter_beyond_the_stated_errors_is_believed() -> None:
    values = np.array([440.0, 441.0, 439.0, 440.5])
    _, error = robust_mean(values, np.full(4, 0.01))
    assert error == pytest.approx(float(np.std(values, ddof=1)) / 2, rel=0.1)
