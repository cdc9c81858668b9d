"""Strong lines that no mode of this bar can be: another bar, or something else that rang."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmodel.pitch import cents
from barmodel.strike.records import Caution, Expected, Mode, Partial

HIGHEST = 3
"""The highest bending mode looked at; above it real bars have strong lines nobody tunes."""
ABOVE_IT = 1.03
"""So far above that mode a line may still lie. [1]"""
NEAR_CENTS, FAR_CENTS = 100.0, 400.0
"""A line nearer to a prediction than this, or than three of its errors, may be that mode."""
LOUD_DB = -15.0
"""Against the strongest named line. In made-up strikes of the right bar no stranger comes above
−27 dB; what the doubt does for another bar's stands in case `strike_synthetic`. In the recorded
bars of case `recordings`, named by their own modes, none comes above −30 dB. [dB]"""


def strangers(
    partials: list[Partial], expected: list[Expected], modes: list[Mode]
) -> tuple[Partial, ...]:
    """Lines about as strong as the named ones that belong to no predicted mode, strongest first.

    Parameters
    ----------
    partials : list of Partial
    expected : list of Expected
        Modes predicted for this bar.
    modes : list of Mode
        Names given.
    """
    bending = [e.hz for e in expected if e.kind == "bending" and e.number <= HIGHEST]
    if not bending:
        return ()
    inside = [p for p in partials if not p.steady and p.hz < ABOVE_IT * max(bending)]
    named = [p for p in inside if _is_named(p, modes)]
    shift = _shift(expected, modes)
    odd = [p for p in inside if not _is_named(p, modes) and _is_strange(p, expected, shift)]
    loudest = max((p.level_db for p in named), default=-np.inf)
    found = [p for p in odd if p.level_db > loudest + LOUD_DB and p.level_db > 2 * LOUD_DB]
    return tuple(sorted(found, key=lambda p: -p.level_db))


def doubted(modes: list[Mode], odd: tuple[Partial, ...]) -> list[Mode]:
    """Names no surer than their share of the sound: strangers as strong make it one half."""
    if not odd or not modes:
        return modes
    ours = sum(_energy(mode.level_db) for mode in modes)
    share = ours / (ours + sum(_energy(p.level_db) for p in odd))
    return [replace(mode, confidence=mode.confidence * share) for mode in modes]


def about_strangers(odd: tuple[Partial, ...], modes: list[Mode]) -> list[Caution]:
    """Say that this may be another bar."""
    if not odd:
        return []
    loudest = max((mode.level_db for mode in modes), default=-np.inf)
    *most, last = [f"{p.hz:.0f}" for p in sorted(odd[:3], key=lambda p: p.hz)]
    told = f"{', '.join(most)} and {last}" if most else last
    how = "the strongest sounds" if odd[0].level_db > loudest else "strong sounds"
    if not most:
        how, verb = how.replace("sounds", "sound"), "belongs"
    else:
        verb = "belong"
    text = (
        f"{how}, {told} Hz, {verb} to no mode of this bar: is it another bar, was a cut not "
        "written down or deeper than told, or did something else ring? Check, and strike it again"
    )
    return [Caution("other bar", text)]


def _energy(level_db: float) -> float:
    return float(10.0 ** (level_db / 10.0))


def _is_named(partial: Partial, modes: list[Mode]) -> bool:
    return any(mode.hz == partial.hz for mode in modes)


def _shift(expected: list[Expected], modes: list[Mode]) -> float:
    """Cents by which the named lines lie above their predictions."""
    known = {(e.kind, e.number): e.hz for e in expected}
    found = [float(cents(m.hz, known[m.kind, m.number])) for m in modes]
    return float(np.median(found)) if found else 0.0


def _is_strange(partial: Partial, expected: list[Expected], shift: float) -> bool:
    return all(
        abs(float(cents(partial.hz, e.hz)) - shift)
        > min(max(NEAR_CENTS, 3.0 * e.standard_error_cents), FAR_CENTS)
        for e in expected
    )
