"""What a maker meets at the bench: good strikes, and each way in which one can go wrong."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barmodel.errors import RecordingError
from barmodel.pitch import cents
from barmodel.strike import Expected, Recording, as_json, hear
from tests.strike.made_up import MARIMBA, RATE, placed, recorded, ring


def codes(sound: np.ndarray, **options: object) -> set[str]:
    return {w.code for w in hear(recorded(sound), **options).warnings}


GOOD = placed(ring(), at=(0.2,), seconds=1.3)


def test_modes_decays_and_intervals_of_a_clean_strike() -> None:
    heard = hear(recorded(GOOD))
    for (ratio, _, tau), mode in zip(MARIMBA, heard.modes, strict=True):
        off = cents(mode.hz, 220.0 * ratio)
        assert abs(off) < 0.3
        assert abs(off) <= 2 * mode.uncertainty_cents
        assert mode.decay_s == pytest.approx(tau, rel=0.05)
    assert [m.number for m in heard.modes] == [1, 2, 3]
    assert heard.pattern == "tuned 1:4:10"
    assert not heard.warnings


def test_several_strikes_sharpen_the_reading() -> None:
    five = placed(*[ring(0.5)] * 5, at=(0.1, 0.7, 1.3, 1.9, 2.5), seconds=3.0)
    noise = 0.01 * np.random.default_rng(2).standard_normal(five.size)
    one = hear(recorded(GOOD + noise[: GOOD.size]))
    all_five = hear(recorded(five + noise))
    assert len(all_five.strikes) == 5
    assert all_five.modes[1].standard_error_cents < 0.6 * one.modes[1].standard_error_cents


def test_noise_before_the_blow_is_no_strike() -> None:
    for seed in range(4):
        noise = 0.1 * np.random.default_rng(seed).standard_normal(GOOD.size)
        assert len(hear(recorded(GOOD + noise)).strikes) == 1


@settings(max_examples=8, deadline=None)
@given(gain=st.floats(1e-3, 1.0), half=st.sampled_from([8000.0, 11025.0, 22050.0, 96000.0]))
def test_level_and_rate_change_no_frequency(gain: float, half: float) -> None:
    sound = np.append(np.zeros(int(0.1 * half)), gain * ring(rate=half))
    noise = 1e-5 * gain * np.random.default_rng(3).standard_normal(sound.size)
    heard = hear(recorded(sound + noise, rate=half))
    assert abs(cents(heard.modes[0].hz, 220.0)) < 0.3


def test_hum_is_set_aside() -> None:
    t = np.arange(GOOD.size) / RATE
    hum = 0.3 * np.sin(2 * np.pi * 50.05 * t) + 0.1 * np.sin(2 * np.pi * 150.15 * t)
    heard = hear(recorded(GOOD + hum))
    assert "hum" in {w.code for w in heard.warnings}
    assert abs(cents(heard.modes[0].hz, 220.0)) < 0.5


def test_room_tone_is_not_the_bar() -> None:
    t = np.arange(GOOD.size) / RATE
    heard = hear(recorded(GOOD + 0.05 * np.sin(2 * np.pi * 613.0 * t)))
    assert "steady tone" in {w.code for w in heard.warnings}
    assert all(abs(m.hz - 613) > 5 for m in heard.modes)


def test_clipping_is_told_and_left_out() -> None:
    heard = hear(recorded(np.clip(3 * GOOD, -0.9, 0.9)))
    assert "clipping" in {w.code for w in heard.warnings}
    assert abs(cents(heard.modes[0].hz, 220.0)) < 1.0
    assert "clipping" not in codes(GOOD)


def test_double_hit_is_told() -> None:
    twice = placed(ring(), 0.8 * ring(), at=(0.2, 0.26), seconds=1.3)
    heard = hear(recorded(twice))
    assert "double hit" in {w.code for w in heard.warnings}
    assert len(heard.strikes) == 1
    assert abs(cents(heard.modes[0].hz, 220.0)) < 0.5


def test_channels_in_antiphase_do_not_cancel() -> None:
    heard = hear(Recording(np.array([GOOD, -GOOD]), RATE, "stereo.wav"))
    assert "antiphase" in {w.code for w in heard.warnings}
    assert abs(cents(heard.modes[0].hz, 220.0)) < 0.3


def test_offset_is_told() -> None:
    assert "offset" in codes(GOOD + 0.1)


def test_gliding_pitch_is_told() -> None:
    t = np.arange(int(RATE)) / RATE
    phase = 2 * np.pi * (220.0 * t + 1.5 * 0.1 * (1 - np.exp(-t / 0.1)))
    glide = 0.5 * np.exp(-t / 0.25) * np.sin(phase)
    heard = hear(recorded(placed(glide, at=(0.2,), seconds=1.3)))
    assert "glide" in {w.code for w in heard.warnings}
    assert heard.partials[0].uncertainty_cents > 2.0


def test_split_line_is_told() -> None:
    pair = ring(lines=(*MARIMBA, (1.015, 0.5, 0.25)))
    assert "split" in codes(placed(pair, at=(0.2,), seconds=1.3))


def test_two_modes_that_lie_close_are_no_split_line() -> None:
    pair = placed(ring(lines=(*MARIMBA, (1.015, 0.5, 0.25))), at=(0.2,), seconds=1.3)
    first, second = 220.0, 220.0 * 1.015
    expected = [
        Expected("bending", 1, first, 25.0, 1.0),
        Expected("torsional", 1, second, 25.0, 0.5),
    ]
    found = hear(recorded(pair), expected, shared_error_cents=5.0)
    assert {mode.kind for mode in found.modes} >= {"bending", "torsional"}
    assert "split" not in {caution.code for caution in found.warnings}


def test_mode_above_half_the_rate_is_told_not_guessed() -> None:
    rate = 8000.0
    sound = np.append(np.zeros(800), ring(first_hz=660.0, lines=MARIMBA[:2], rate=rate))
    expected = [Expected("bending", n, 660.0 * r) for n, r in ((1, 1), (2, 4), (3, 10))]
    heard = hear(recorded(sound, rate=rate), expected)
    assert "range" in {w.code for w in heard.warnings}
    assert heard.mode(3) is None


def test_short_ring_is_told() -> None:
    slow = tuple((r, a, 4 * tau) for r, a, tau in MARIMBA)
    assert "too short" in codes(placed(ring(0.3, lines=slow), at=(0.1,), seconds=0.35))


@pytest.mark.parametrize(
    ("sound", "word"),
    [
        (np.zeros(48000), "silent"),
        (np.full(48000, 0.4), "silent"),
        (GOOD[:500], "ms long"),
        (0.1 * np.random.default_rng(1).standard_normal(48000), "no ringing line"),
        (0.1 * np.sin(2 * np.pi * 50 * np.arange(48000) / RATE), "steady"),
    ],
)
def test_recordings_without_a_strike_are_refused(sound: np.ndarray, word: str) -> None:
    with pytest.raises(RecordingError, match=word):
        hear(recorded(sound))


def test_quiet_fundamental_is_still_mode_one() -> None:
    quiet = ring(lines=((1.0, 0.03, 0.3), (2.74, 0.3, 0.15), (5.3, 1.0, 0.09)), first_hz=784.0)
    heard = hear(recorded(placed(quiet, at=(0.2,), seconds=1.3)))
    assert [round(m.hz / 784.0, 2) for m in heard.modes] == [1.0, 2.74, 5.3]
    assert heard.pattern == "blank"


def test_json_holds_plain_numbers() -> None:
    data = json.loads(json.dumps(as_json(hear(recorded(GOOD)))))
    assert data["modes"][0]["number"] == 1
    assert data["partials"][0]["decay_s"] > 0
    assert data["warnings"] == []


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    size=st.integers(1, 12000),
    kind=st.sampled_from(["noise", "spikes", "steps", "huge", "flat"]),
)
def test_any_samples_give_a_hearing_or_a_reason(seed: int, size: int, kind: str) -> None:
    rng = np.random.default_rng(seed)
    sound = {
        "noise": rng.standard_normal(size),
        "spikes": (rng.random(size) > 0.999).astype(float),
        "steps": np.repeat(rng.standard_normal(size // 200 + 1), 200)[:size],
        "huge": 1e6 * rng.standard_normal(size),
        "flat": np.where(np.arange(size) > size // 2, 1.0, 0.0),
    }[kind]
    try:
        heard = hear(recorded(sound))
    except RecordingError:
        return
    assert all(np.isfinite(m.hz) for m in heard.modes)
