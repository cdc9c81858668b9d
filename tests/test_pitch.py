"""Notes, cents and targets."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import InputError
from barmodel.pitch import (
    Target,
    cents,
    nearest_note,
    note_hz,
    note_semitone,
    parse_ratios,
    shift_hz,
)


@pytest.mark.parametrize(
    ("name", "hz"),
    # equal temperament on A4 = 440 Hz (ISO 16:1975); recomputed to the digits shown
    [("C3", 130.81278), ("F3", 174.61412), ("A2", 110.0), ("C7", 2093.00452), ("C-1", 8.17580)],
)
def test_notes_at_440(name: str, hz: float) -> None:
    assert note_hz(name) == pytest.approx(hz, abs=6e-6)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("D#3", "Eb3"),
        ("F♯4", "G♭4"),
        ("Cb4", "B3"),
        ("B#3", "C4"),
        ("Fx4", "G4"),
        ("Bbb3", "A3"),
        ("d3", "D3"),
        ("bb3", "A#3"),
        ("C−1", "C-1"),
    ],
)
def test_spellings_of_one_pitch(one: str, other: str) -> None:
    assert note_hz(one, a4_hz=443.0) == note_hz(other, a4_hz=443.0)


@pytest.mark.parametrize(
    ("name", "offer"),
    [
        ("H3", "B3"),
        ("Eb", "Eb3"),
        ("D3#", "D3"),
        ("E flat 3", "D#3"),
        ("", "C3"),
        ("C99", "-2 to 10"),
    ],
)
def test_unknown_note_offers_what_may_be_meant(name: str, offer: str) -> None:
    with pytest.raises(InputError, match=offer):
        note_hz(name)


@given(st.integers(-24, 131), st.floats(-49.9, 49.9), st.floats(380, 500))
def test_nearest_note_finds_back_note_and_offset(semitone: int, away: float, a4_hz: float) -> None:
    hz = a4_hz * 2 ** ((semitone - 57 + away / 100) / 12)
    name, found = nearest_note(hz, a4_hz=a4_hz)
    assert note_semitone(name) == semitone
    assert found == pytest.approx(away, abs=1e-8)


@pytest.mark.parametrize("hz", [0.0, -1.0, float("nan"), float("inf"), 1e-3, 1e6])
def test_frequency_without_a_note_is_refused(hz: float) -> None:
    with pytest.raises(InputError):
        nearest_note(hz)


@pytest.mark.parametrize("a4_hz", [379.9, 500.1, 44.0, float("nan")])
def test_tuning_frequency_out_of_use_is_refused(a4_hz: float) -> None:
    with pytest.raises(InputError, match="380 to 500"):
        note_hz("A4", a4_hz=a4_hz)


def test_ratios_in_cents() -> None:
    # 1:4:10 and 1:3:6; recomputed
    np.testing.assert_allclose(cents([1.0, 4.0, 10.0], 1.0), [0, 2400, 3986.314], atol=5e-4)
    np.testing.assert_allclose(cents([1.0, 3.0, 6.0], 1.0), [0, 1901.955, 3101.955], atol=5e-4)


@given(st.floats(20, 20000), st.floats(-3000, 3000))
def test_shift_and_cents_are_inverse(hz: float, up: float) -> None:
    assert cents(shift_hz(hz, up), hz) == pytest.approx(up, abs=1e-8)


def test_cents_pass_nan_on_and_refuse_zero() -> None:
    assert np.isnan(cents([440.0, np.nan], 440.0)).tolist() == [False, True]
    with pytest.raises(InputError, match="above 0 Hz"):
        cents([440.0, 0.0], 440.0)


def test_target_of_the_trade() -> None:
    # common practice, no source: A4 = 443 and 1:4:9.8 give D#3 as 156 or 157, 626, 1534 or 1535 Hz,
    # and mode 3 of F#3 as 1825 Hz, all rounded
    d_sharp = Target("D♯3", a4_hz=443.0, ratios=(1.0, 4.0, 9.8)).hz
    np.testing.assert_allclose(d_sharp, [156.62, 626.5, 1534.9], atol=0.05)
    assert round(d_sharp[1]) == 626
    assert round(Target("F#3", a4_hz=443.0, ratios=(1.0, 4.0, 9.8)).hz[2]) == 1825


def test_target_measures_bars_and_moves_as_a_whole() -> None:
    target = Target("F3", ratios=(1.0, 4.0, 10.0))
    sharp = Target("F3", ratios=(1.0, 4.0, 10.0), offset_cents=12.0)
    assert not target.hz.flags.writeable
    np.testing.assert_allclose(target.cents([*sharp.hz, 5000.0]), [12.0, 12.0, 12.0])
    assert np.isnan(target.cents([174.0, np.nan, 1746.0])[1])
    with pytest.raises(InputError, match="3 ratios"):
        target.cents(sharp.hz[:2])


@pytest.mark.parametrize(
    ("ratios", "rule"),
    [
        ((), "1 to 4"),
        ((1.0, 2.0, 3.0, 4.0, 5.0), "1 to 4"),
        ((4.0, 10.0), "start at 1"),
        ((1.0, 10.0, 4.0), "ascend"),
        ((1.0, 4.0, 4.0), "ascend"),
        ((1.0, float("nan")), "ascend"),
        ((1.0, float("inf")), "ascend"),
        ((1.0, 4.0, 1e308), "no mode"),
    ],
)
def test_impossible_ratios_are_refused(ratios: tuple[float, ...], rule: str) -> None:
    with pytest.raises(InputError, match=rule):
        Target("C3", ratios=ratios)


def test_ratio_lists_as_written() -> None:
    for text in ("1:4:9.8", "1, 4, 9.8", "1 4 9.8", " 1 : 4 : 9.8 "):
        assert parse_ratios(text) == (1.0, 4.0, 9.8)
    with pytest.raises(InputError, match="not numbers"):
        parse_ratios("1:four")


@pytest.mark.parametrize("offset", [1200.5, -2000.0, float("nan")])
def test_offset_beyond_an_octave_is_refused(offset: float) -> None:
    with pytest.raises(InputError, match="octave"):
        Target("C3", offset_cents=offset)
