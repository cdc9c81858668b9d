"""What can be wrong with a strike or its lines, and how to say it."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from barmodel.strike.damped import Line, fit_band, transform
from barmodel.strike.records import Caution, Expected, Mode, Partial
from barmodel.strike.ring import good_length
from barmodel.units import CENTS

Real = NDArray[np.float64]

_MAINS_HZ = (50.0, 60.0)
_MAINS_MULTIPLES = 12
_SPLITCENTS, _SPLIT_DB = 45.0, 18.0
_GLIDECENTS = 3.0
_STEADY_SHARE = 0.35


def sounded_before(line: Line, before: Real, rate: float) -> bool:
    """True when the line is there before the blow at a third of its strength or more.

    Parameters
    ----------
    line : Line
        Fitted after the blow.
    before : ndarray, shape (n,)
        The stretch before the blow.
    rate : float
        Sample rate. [Hz]
    """
    window = np.hanning(before.size)
    turn = np.exp(-2j * np.pi * line.hz / rate * np.arange(before.size))
    level = abs(complex((before * window) @ turn)) / float(window.sum())
    return bool(level > _STEADY_SHARE * abs(line.amplitude))


def is_mains(line: Line, seconds: float) -> bool:
    """True for an undying line on a multiple of the mains frequency (which wanders by 0.2 %)."""
    if line.decay * seconds > 0.3 or line.decay > 3 * line.errors[1] + 0.3:
        return False
    return near_mains(line.hz) is not None


def near_mains(hz: float) -> float | None:
    """Return the mains frequency of which `hz` is a low multiple, or None."""
    for mains in _MAINS_HZ:
        multiple = round(hz / mains)
        if 1 <= multiple <= _MAINS_MULTIPLES and abs(hz - multiple * mains) < 0.002 * hz:
            return mains
    return None


def drift(stretch: Real, rate: float, lines: list[Line], index: int) -> float | None:
    """Frequency in the first decay time minus that of the rest, when they differ for sure.

    Parameters
    ----------
    stretch : ndarray, shape (n,)
        The ring.
    rate : float
        Sample rate. [Hz]
    lines : list of Line
        All lines of the ring.
    index : int
        The one looked at.

    Returns
    -------
    float or None
        Early minus late; None when the difference is under five standard errors. [cents]
    """
    line = lines[index]
    total = line.length
    parting = min(int(1.2 * rate / max(line.decay, 1e-3)), total // 2)
    if parting < 256 or total - parting < 256:
        return None
    early = _fit_part(stretch[:parting], rate, lines, index, 0)
    late = _fit_part(stretch[parting:total], rate, lines, index, parting)
    if early is None or late is None:
        return None
    error = float(np.hypot(early.errors[0], late.errors[0]))
    if abs(early.hz - late.hz) < 5 * error or not np.isfinite(error):
        return None
    return float(CENTS * (early.hz - late.hz) / line.hz)


def _fit_part(part: Real, rate: float, lines: list[Line], index: int, begin: int) -> Line | None:
    length = good_length(part.size)
    part = part[:length]
    shifted = [
        Line(
            line.hz,
            line.decay,
            line.amplitude * np.exp(complex(-line.decay, 2 * np.pi * line.hz) * begin / rate),
        )
        for line in lines
    ]
    centre = round(shifted[index].hz * length / rate)
    low, high = centre - 12, centre + 12
    if low < 1 or high > length // 2 - 1:
        return None
    ks = np.arange(low, high + 1)
    bins = np.exp(-2j * np.pi * ks / length)
    data = fft.rfft(part)[ks]
    others = [line for j, line in enumerate(shifted) if j != index]
    data = data - transform(others, bins, length, rate)
    fitted = fit_band(data, bins, length, rate, [shifted[index]], [False])[0]
    return fitted if abs(fitted.amplitude) > 8 * fitted.amplitude_error else None


def about_lines(partials: list[Partial], modes: list[Mode]) -> list[Caution]:
    """Hum, room tones, split and gliding lines; two that have a name each are no split one."""
    cautions = []
    hum = [p for p in partials if p.steady and near_mains(p.hz) is not None]
    room = [p for p in partials if p.steady and near_mains(p.hz) is None]
    if hum:
        cautions.append(
            Caution(
                "hum",
                f"mains hum at {_list(hum)} Hz; it was set aside; use another outlet, a shorter "
                "cable or a battery, and keep the microphone off transformers",
            )
        )
    if room:
        cautions.append(
            Caution(
                "steady tone",
                f"a tone at {_list(room)} Hz sounds before the blow already; it was set aside as "
                "the room or a machine, not the bar",
            )
        )
    ringing = [p for p in partials if not p.steady and p.level_db > -30.0]
    named = {mode.hz for mode in modes}
    pairs = [
        (a, b) for a, b in itertools.pairwise(ringing) if _split(a, b) and not {a.hz, b.hz} <= named
    ]
    for low, high in pairs:
        cautions.append(
            Caution(
                "split",
                f"two lines at {low.hz:.2f} and {high.hz:.2f} Hz, "
                f"{CENTS * np.log(high.hz / low.hz):.0f} cents apart, beat with each other: a "
                "crack, an arch out of square, another mode close by, or a second bar ringing",
            )
        )
    beating = {p.hz for pair in pairs for p in pair}
    for p in ringing:
        glides = p.drift_cents is not None and abs(p.drift_cents) > _GLIDECENTS
        if glides and p.drift_cents is not None and p.hz not in beating:
            direction = "falls" if p.drift_cents > 0 else "rises"
            cautions.append(
                Caution(
                    "glide",
                    f"the line at {p.hz:.1f} Hz {direction} by {abs(p.drift_cents):.0f} cents "
                    "while it rings; the number given is a mean: strike more gently, hold the bar "
                    "at its nodes only, and let it cool",
                )
            )
    return cautions


def _split(a: Partial, b: Partial) -> bool:
    apart = CENTS * float(np.log(b.hz / a.hz))
    return apart < _SPLITCENTS and abs(a.level_db - b.level_db) < _SPLIT_DB


def _list(partials: list[Partial]) -> str:
    return ", ".join(f"{p.hz:.1f}" for p in partials[:5])


def about_range(rate: float, expected: list[Expected], modes: list[Mode]) -> list[Caution]:
    """Modes that lie above half the sample rate and would fold to a false place."""
    half = 0.5 * rate
    above = [e for e in expected if e.kind == "bending" and e.hz > 0.96 * half]
    if above:
        names = ", ".join(f"{e.number} ({e.hz:.0f} Hz)" for e in above)
        return [
            Caution(
                "range",
                f"mode {names} lies above half the sample rate ({half:.0f} Hz) and cannot be "
                f"heard in this recording; record at {_enough(max(e.hz for e in above))} Hz",
            )
        ]
    first = next((m for m in modes if m.kind == "bending" and m.number == 1), None)
    if not expected and first is not None and 4.2 * first.hz > half:
        return [
            Caution(
                "range",
                f"half the sample rate is {half:.0f} Hz: modes 2 and 3 of a bar of "
                f"{first.hz:.0f} Hz may lie above it; record at 48000 Hz or more",
            )
        ]
    return []


def _enough(hz: float) -> int:
    return next((rate for rate in (44100, 48000, 96000, 192000) if rate > 2.2 * hz), 384000)
