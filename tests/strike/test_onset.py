"""Blows are found whether they raise the level or not, and beats are not blows."""

from __future__ import annotations

import numpy as np

from barmodel.strike.onset import find_stretches
from tests.strike.made_up import MARIMBA, RATE, placed, ring


def soft(wave: np.ndarray) -> np.ndarray:
    """The same blow with a contact of 2 ms: no click."""
    t = np.arange(wave.size) / RATE
    return wave * np.sin(0.5 * np.pi * np.minimum(t / 0.002, 1.0)) ** 2


def test_second_touch_without_a_click() -> None:
    twice = placed(ring(), 0.8 * soft(ring()), at=(0.2, 0.26), seconds=1.3)
    (found,) = find_stretches(twice, RATE)
    assert found.double
    assert found.start > 0.26 * RATE


def test_blow_into_a_loud_ring_that_weakens_it() -> None:
    slow = tuple((r, a, 20 * tau) for r, a, tau in MARIMBA[:2])
    first, second = ring(2.0, lines=slow, first_hz=70), soft(ring(1.4, lines=slow, first_hz=70))
    sound = placed(first, -0.6 * second, at=(0.1, 0.7), seconds=2.0)
    sound += 0.004 * np.random.default_rng(4).standard_normal(sound.size)
    found = find_stretches(sound, RATE)
    assert len(found) == 2
    assert abs(found[1].blow / RATE - 0.7) < 0.01


def test_beats_are_not_blows() -> None:
    for apart in (3.0, 12.0, 30.0, 60.0):
        pair = ring(1.5, lines=((1.0, 1.0, 0.5), (1.0 + apart / 220.0, 1.0, 0.5)))
        found = find_stretches(placed(pair, at=(0.1,), seconds=1.6), RATE)
        assert len(found) == 1
        assert not found[0].double


def test_file_may_begin_with_the_blow() -> None:
    found = find_stretches(ring(0.5), RATE)
    assert len(found) == 1
    assert found[0].start < 0.01 * RATE


def test_noise_before_the_blow_is_no_blow() -> None:
    sound = placed(ring(), at=(0.3,), seconds=1.3)
    sound += 0.01 * np.random.default_rng(4).standard_normal(sound.size)
    assert [round(s.blow / RATE, 2) for s in find_stretches(sound, RATE)] == [0.3]
