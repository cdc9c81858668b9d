"""Where to hold and where to strike, from the shapes of the modes.

A hold takes energy from every mode that moves there and none from a mode that has a node there;
a blow drives a mode as much as the mode moves at its place. Both follow from the shapes alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import InputError

Real = NDArray[np.float64]
Across = Literal["middle", "edge"]

_HOLD_STRENGTH = 12.0  # energy lost to two fingers at an antinode, in units of the ring's own loss
_OFF_MIDDLE = 0.05  # nobody strikes exactly on the middle line: share of torsion still driven
_REACH = 0.02  # a mallet and a finger are this wide, as a share of the length


@dataclass(frozen=True, slots=True, eq=False)
class ModeShape:
    """How a mode moves along the bar.

    Parameters
    ----------
    kind : str
        `bending`, `torsional` or `lateral`.
    number : int
        Counted from 1 within its kind.
    deflection : ndarray, shape (n,)
        Vertical motion along the bar, any scale: of the middle line for bending, of one edge
        for torsional, zeros for lateral modes.
    """

    kind: str
    number: int
    deflection: Real


@dataclass(frozen=True, slots=True)
class Advice:
    """How to bring one mode out.

    Parameters
    ----------
    kind, number : str, int
        The mode wanted.
    hold : tuple of float
        Where to hold or support the bar, from the left end. [m]
    strike : float
        Where to strike, from the left end. [m]
    across : str
        `middle` or `edge` of the width.
    amplitude : float
        How strongly the mode then sounds, 1 at best. [-]
    rivals : tuple of (str, int, float)
        The other modes and how strongly they sound, the strongest first.
    """

    kind: str
    number: int
    hold: tuple[float, ...]
    strike: float
    across: Across
    amplitude: float
    rivals: tuple[tuple[str, int, float], ...]


def expected_amplitudes(
    x: Real,
    shapes: Sequence[ModeShape],
    *,
    strike_at: float | None = None,
    held_at: Sequence[float] = (),
    across: Across = "middle",
) -> Real:
    """How strongly each mode should sound for a place of striking and holding.

    Parameters
    ----------
    x : ndarray, shape (n,)
        Places along the bar, rising. [m]
    shapes : sequence of ModeShape
        The modes.
    strike_at : float, optional
        Place of the blow; unknown when left out, and then nothing is said of it. [m]
    held_at : sequence of float
        Places of fingers or supports. [m]
    across : {"middle", "edge"}
        Where across the width the blow lands.

    Returns
    -------
    ndarray, shape (modes,)
        Between 0 and 1, for `Expected.amplitude`.

    Notes
    -----
    A blow gives |φ(strike)|; a hold divides by 1 + 12 Σ φ(hold)², the extra loss against the
    ring's own. The 12 is a judgement about fingers, not a measured number: use it to rank.

    Examples
    --------
    >>> x = np.linspace(0.0, 1.0, 101)
    >>> second = ModeShape("bending", 2, np.sin(2 * np.pi * x))
    >>> float(expected_amplitudes(x, [second], strike_at=0.5)[0]) < 0.15
    True
    """
    places, values = _checked(x, shapes)
    struck = np.ones(len(shapes))
    if strike_at is not None:
        struck = np.array([_at(places, v, strike_at) for v in values])
        struck *= [_driven(s.kind, across) for s in shapes]
    return np.asarray(struck / _loss(places, values, held_at))


def bring_out(
    x: Real, shapes: Sequence[ModeShape], *, kind: str = "bending", number: int = 1
) -> Advice:
    """Choose hold and strike that make one mode stand out from the others.

    Parameters
    ----------
    x : ndarray, shape (n,)
        Places along the bar, rising. [m]
    shapes : sequence of ModeShape
        All modes that might be heard.
    kind, number : str, int
        The mode wanted.

    Returns
    -------
    Advice
        The best pair of a node to hold and a place to strike.

    Raises
    ------
    InputError
        If the mode is not among the shapes, or does not move vertically.
    """
    places, values = _checked(x, shapes)
    wanted = [i for i, s in enumerate(shapes) if (s.kind, s.number) == (kind, number)]
    if not wanted or not np.any(values[wanted[0]]):
        raise InputError(
            f"{kind} mode {number} has no vertical motion among the {len(shapes)} shapes given; "
            "ask for a bending or torsional mode that was computed"
        )
    me = wanted[0]
    across: Across = "edge" if kind == "torsional" else "middle"
    driven = np.array([_driven(s.kind, across) for s in shapes])
    smooth = np.array([_smoothed(places, v) for v in values])
    best: tuple[float, tuple[float, ...], float, Real] | None = None
    for hold in _holds(places, values[me]):
        sounding = smooth * (driven / _loss(places, values, hold))[:, None]
        others = np.delete(sounding, me, axis=0)
        strongest = others.max(axis=0) if len(others) else np.zeros(places.size)
        worth = sounding[me] - 0.7 * strongest
        place = int(np.argmax(worth))
        if best is None or worth[place] > best[0] + 1e-9:
            best = (float(worth[place]), hold, float(places[place]), sounding[:, place])
    assert best is not None
    amplitudes = best[3]
    rivals = sorted(
        (
            (s.kind, s.number, float(a))
            for i, (s, a) in enumerate(zip(shapes, amplitudes, strict=True))
            if i != me
        ),
        key=lambda r: -r[2],
    )
    return Advice(kind, number, best[1], best[2], across, float(amplitudes[me]), tuple(rivals))


def torsion_test(
    x: Real, shapes: Sequence[ModeShape], *, strike_at: float
) -> tuple[tuple[str, int, float], ...]:
    """What two taps at one station, middle line then edge, do to each mode's level.

    Parameters
    ----------
    x : ndarray, shape (n,)
        Places along the bar, rising. [m]
    shapes : sequence of ModeShape
        The modes.
    strike_at : float
        Station of both taps. [m]

    Returns
    -------
    tuple of (kind, number, decibels)
        Level at the edge minus level at the middle: near zero for bending, large for torsion.
    """
    middle = expected_amplitudes(x, shapes, strike_at=strike_at, across="middle")
    edge = expected_amplitudes(x, shapes, strike_at=strike_at, across="edge")
    change = 20 * np.log10(np.maximum(edge, 1e-4) / np.maximum(middle, 1e-4))
    return tuple((s.kind, s.number, float(c)) for s, c in zip(shapes, change, strict=True))


def _checked(x: Real, shapes: Sequence[ModeShape]) -> tuple[Real, Real]:
    places = np.asarray(x, dtype=float)
    if places.ndim != 1 or places.size < 5 or np.any(np.diff(places) <= 0):
        raise InputError("places along the bar must be at least five numbers, rising")
    if not shapes:
        raise InputError("no mode shapes were given; solve the bar first")
    values = np.array([np.asarray(s.deflection, dtype=float) for s in shapes])
    if values.shape != (len(shapes), places.size):
        raise InputError(
            f"each shape must have {places.size} values, one for each place along the bar"
        )
    largest = np.abs(values).max(axis=1, keepdims=True)
    return places, np.divide(values, largest, out=np.zeros_like(values), where=largest > 0)


def _driven(kind: str, across: Across) -> float:
    if kind == "torsional":
        return 1.0 if across == "edge" else _OFF_MIDDLE
    return 0.1 if kind in ("lateral", "axial") else 1.0


def _loss(places: Real, values: Real, holds: Sequence[float]) -> Real:
    moving = [np.array([_at(places, v, h) for v in values]) ** 2 for h in holds]
    return np.asarray(
        1.0 + _HOLD_STRENGTH * np.sum(moving, axis=0) if moving else np.ones(len(values))
    )


def _at(places: Real, values: Real, place: float) -> float:
    """Mean square motion over the width of a finger or mallet."""
    half = _REACH * (places[-1] - places[0])
    spots = np.clip(np.linspace(place - half, place + half, 5), places[0], places[-1])
    return float(np.sqrt(np.mean(np.interp(spots, places, values) ** 2)))


def _smoothed(places: Real, values: Real) -> Real:
    return np.array([_at(places, values, float(p)) for p in places])


def _holds(places: Real, shape: Real) -> list[tuple[float, ...]]:
    """Nodes of the mode: alone, or two that lie alike on both halves."""
    change = np.flatnonzero(shape[:-1] * shape[1:] < 0)
    step = shape[change] / (shape[change] - shape[change + 1])
    nodes = [float(n) for n in places[change] + step * (places[change + 1] - places[change])]
    nodes += [float(p) for p in places[1:-1][shape[1:-1] == 0.0]]
    nodes.sort()
    middle = 0.5 * (places[0] + places[-1])
    span = places[-1] - places[0]
    holds: list[tuple[float, ...]] = [(n,) for n in nodes if abs(n - middle) < 0.05 * span]
    holds += [
        (a, b) for a in nodes for b in nodes if a < b and abs(a + b - 2 * middle) < 0.05 * span
    ]
    return holds or [(n,) for n in nodes] or [()]
