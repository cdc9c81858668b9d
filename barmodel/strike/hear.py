"""From recordings of one bar to its named modes: the front door of this room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import RecordingError
from barmodel.strike.apart import about_apart
from barmodel.strike.combine import Ring, combine
from barmodel.strike.faults import about_lines, about_range, drift, is_mains, sounded_before
from barmodel.strike.naming import name_by_prediction
from barmodel.strike.onset import Stretch, find_stretches
from barmodel.strike.patterns import name_by_pattern
from barmodel.strike.prepare import Signal, prepare
from barmodel.strike.records import Caution, Expected, Hearing, Mode, Partial, Recording, Strike
from barmodel.strike.ring import take_apart
from barmodel.strike.strangers import about_strangers, doubted, strangers

Real = NDArray[np.float64]

_MOST_STRIKES = 12
_BEFORE_S, _LEAST_BEFORE_S = 0.5, 0.06
_LOOKED_AT = 3  # the loudest lines are tested for gliding
_CLIPPED_HEAD_S = 0.06
_FAINT = 0.05


def hear(
    recordings: Recording | Sequence[Recording],
    expected: Sequence[Expected] = (),
    *,
    shared_error_cents: float = 60.0,
) -> Hearing:
    """Read the modes of one bar from recordings of its strikes.

    Parameters
    ----------
    recordings : Recording or sequence of Recording
        One or several recordings of the same bar in the same state.
    expected : sequence of Expected
        Modes predicted for this bar; without them, names rest on the ratios alone.
    shared_error_cents : float
        Standard error common to all predictions. [cents]

    Returns
    -------
    Hearing
        Lines, named modes, cautions.

    Raises
    ------
    RecordingError
        If a recording is silent, too short, or holds nothing that rings.

    Examples
    --------
    >>> import numpy as np
    >>> t = np.arange(24000) / 48000
    >>> ring = sum(np.exp(-t / 0.2) * np.sin(2 * np.pi * f * t) for f in (220.0, 880.0, 2200.0))
    >>> heard = hear(Recording(np.append(np.zeros(4800), 0.2 * ring), 48000.0))
    >>> [round(mode.hz, 2) for mode in heard.modes]
    [220.0, 880.0, 2200.0]
    """
    if isinstance(recordings, Recording):
        recordings = [recordings]
    if not recordings:
        raise RecordingError("no recording was given; name at least one sound file")
    rings: list[Ring] = []
    strikes: list[Strike] = []
    cautions: list[Caution] = []
    for recording in recordings:
        signal = prepare(recording)
        new_rings, new_strikes, found = _listen(signal)
        rings += new_rings
        strikes += new_strikes
        cautions += [*signal.cautions, *found]
    partials = combine(rings)
    if not any(not p.steady for p in partials):
        raise RecordingError(_nothing(recordings, partials))
    modes, pattern = _name(partials, list(expected), shared_error_cents)
    odd = strangers(partials, list(expected), modes)
    modes = doubted(modes, odd)
    cautions += about_strangers(odd, modes)
    rate = min(r.rate for r in recordings)
    cautions += about_lines(partials, modes)
    cautions += about_range(rate, list(expected), modes)
    cautions += _about_ring(rings, modes)
    used = tuple(
        s for s in strikes if any(not p.steady for p in s.partials)
    )  # the others are noise
    cautions += about_apart(strikes, partials)
    rates = tuple(r.rate for r in recordings)
    return Hearing(tuple(partials), tuple(modes), pattern, _once(cautions), used, rates)


def _listen(signal: Signal) -> tuple[list[Ring], list[Strike], list[Caution]]:
    stretches = find_stretches(signal.samples, signal.rate)
    if not stretches:
        raise RecordingError(
            f"{signal.name}: the ring after the blow is too short (under 30 ms); let the bar ring "
            "out and stop the recording later"
        )
    cautions = []
    if len(stretches) > _MOST_STRIKES:
        loudest = sorted(stretches, key=lambda s: -_peak(signal, s))[:_MOST_STRIKES]
        cautions.append(
            Caution(
                "many strikes",
                f"{signal.name} holds {len(stretches)} strikes; the {_MOST_STRIKES} loudest were "
                "used",
            )
        )
        stretches = [s for s in stretches if s in loudest]
    # a strike far under the loudest is a knock on the bench, not a strike
    top = max(_peak(signal, s) for s in stretches)
    stretches = [s for s in stretches if _peak(signal, s) > _FAINT * top]
    if any(s.double for s in stretches):
        cautions.append(
            Caution(
                "double hit",
                f"{signal.name}: the mallet touched twice; only the ring after the last touch was "
                "used; levels and decays may be off: strike again with a loose wrist",
            )
        )
    stretches, told = _after_clipping(signal, stretches)
    cautions += told
    rings = _take_apart_all(signal, stretches)
    strikes = [_strike(signal, s, r) for s, r in zip(stretches, rings, strict=True)]
    return rings, strikes, cautions


def _peak(signal: Signal, stretch: Stretch) -> float:
    return float(np.abs(signal.samples[stretch.start : stretch.end]).max(initial=0.0))


def _after_clipping(
    signal: Signal, stretches: list[Stretch]
) -> tuple[list[Stretch], list[Caution]]:
    """Begin after the last clipped sample where that costs little of the ring."""
    if signal.clipped.size == 0:
        return stretches, []
    moved, spoilt = [], False
    for s in stretches:
        inside = signal.clipped[(signal.clipped >= s.start) & (signal.clipped < s.end)]
        start = int(inside[-1]) + 1 if inside.size else s.start
        if (
            start - s.start <= _CLIPPED_HEAD_S * signal.rate
            and s.end - start > s.end // 2 - s.start // 2
        ):
            moved.append(replace(s, start=start))
        else:
            moved.append(s)
            spoilt = True
    rest = (
        "the ring is clipped for long, and lines may be false"
        if spoilt
        else "the clipped part was left out"
    )
    text = f"{signal.name} is clipped (too loud); {rest}; lower the input level and strike again"
    return moved, [Caution("clipping", text)]


def _take_apart_all(signal: Signal, stretches: list[Stretch]) -> list[Ring]:
    rate = signal.rate
    rings = []
    held: list[float] = []
    for index, stretch in enumerate(stretches):
        part = signal.samples[stretch.start : stretch.end]
        lines = take_apart(part, rate)
        seconds = part.size / rate
        if index == 0:
            begin = max(stretch.blow - int((_BEFORE_S + 0.006) * rate), 0)
            before = signal.samples[begin : max(stretch.blow - int(0.006 * rate), 0)]
            heard = before.size > _LEAST_BEFORE_S * rate
            held = [li.hz for li in lines if heard and sounded_before(li, before, rate)]
        steady = [
            is_mains(line, seconds)
            or any(abs(line.hz - hz) < 0.003 * hz + 3 * line.errors[0] for hz in held)
            for line in lines
        ]
        loud = sorted(range(len(lines)), key=lambda i: -abs(lines[i].amplitude))[:_LOOKED_AT]
        drifts = [
            drift(part, rate, lines, i) if i in loud and not steady[i] else None
            for i in range(len(lines))
        ]
        rings.append(Ring(tuple(lines), tuple(steady), tuple(drifts), seconds))
    return rings


def _strike(signal: Signal, stretch: Stretch, ring: Ring) -> Strike:
    return Strike(
        file=signal.name,
        start_s=stretch.start / signal.rate,
        end_s=stretch.end / signal.rate,
        peak=_peak(signal, stretch),
        partials=tuple(combine([ring])),
    )


def _name(
    partials: list[Partial], expected: list[Expected], shared: float
) -> tuple[list[Mode], str]:
    if expected:
        return name_by_prediction(partials, expected, shared_error_cents=shared), "prediction"
    named = name_by_pattern(partials)
    return list(named.modes), named.pattern


def _about_ring(rings: list[Ring], modes: list[Mode]) -> list[Caution]:
    """Cut off too early for the decay of the lowest mode, or nothing to see above the noise."""
    if not modes:
        return [
            Caution(
                "no names",
                "lines were found, but none can be named with reason; say which bar it is, or "
                "strike at the middle with the bar held at its nodes",
            )
        ]
    longest = max(ring.seconds for ring in rings)
    slow = [m for m in modes if m.decay_s is not None and m.decay_s > longest]
    if slow and longest < 0.5:
        return [
            Caution(
                "too short",
                f"only {1000 * longest:.0f} ms of ring were recorded, less than one decay time of "
                f"mode {slow[0].number}; let it ring for a second",
            )
        ]
    return []


def _nothing(recordings: Sequence[Recording], partials: list[Partial]) -> str:
    names = ", ".join(r.name for r in recordings[:3])
    if partials:
        tones = ", ".join(f"{p.hz:.0f}" for p in partials[:4])
        return (
            f"{names}: only steady tones ({tones} Hz) that do not come from a blow; strike the "
            "bar while recording"
        )
    return (
        f"{names}: no ringing line stands out of the noise; strike harder, closer to the "
        "microphone, with the bar held at its nodes"
    )


def _once(cautions: list[Caution]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(cautions))
