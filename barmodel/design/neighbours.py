"""Torsional and lateral modes that sit beside a tuned one, and what moves them away.

An untuned mode close to a tuned one beats with it and roughens it. The rule used here is a
maker's (La Favre, web articles on building a padauk five-octave marimba, from memory): it
does no harm within 6 Hz of the tuned mode below 1 kHz (15 Hz below 2 kHz, 30 Hz above), where
the two are heard as one, nor more than 1.1 critical bands away. His third way out, an amplitude
under 20 % of the tuned mode's, depends on the stroke and is not computed.

Mode 1 is left out: in the bass the first torsional mode always lies near it, hardly radiates and
is left alone (the same source).

References
----------
E. Zwicker and E. Terhardt, "Analytical expressions for critical-band rate and critical bandwidth",
J. Acoust. Soc. Am. 68 (1980) 1523 (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from barmodel.bar import Bar
from barmodel.design.find import find
from barmodel.design.record import Design
from barmodel.design.request import FAMILIES, Request
from barmodel.errors import BarModelError
from barmodel.modes import solve
from barmodel.undercut.piece import Array
from barmodel.units import MM

AS_ONE = ((1000.0, 6.0), (2000.0, 15.0), (float("inf"), 30.0))
"""Below this frequency [Hz], modes this close [Hz] are heard as one."""
BANDS = 1.1
"""Critical bands beyond which a neighbour does no harm."""
WIDTHS = (0.9, 1.1)
"""Widths tried, over the present one."""
FULLNESSES = (0.8, 1.25)
"""Fullnesses tried, over the present one."""
SHIFTS = (-0.03, 0.03)
"""Starts tried, moved by this share of the length."""
MOST_TORSIONAL = 9


@dataclass(frozen=True, slots=True)
class Neighbour:
    """An untuned mode beside a tuned one.

    Attributes
    ----------
    kind : {"torsional", "lateral"}
    number : int
        Which of its kind, from 1.
    hz : float
    mode : int
        The tuned mode beside it, from 1.
    mode_hz : float
    band_hz : float
        Distance from which it does no harm. [Hz]
    one_hz : float
        Distance up to which the two are heard as one. [Hz]
    """

    kind: str
    number: int
    hz: float
    mode: int
    mode_hz: float
    band_hz: float
    one_hz: float

    @property
    def distance(self) -> float:
        """How far above the tuned mode it lies. [Hz]"""
        return self.hz - self.mode_hz

    @property
    def clashes(self) -> bool:
        """Whether it harms: neither far away nor heard as one with the tuned mode."""
        return self.one_hz < abs(self.distance) < self.band_hz

    @property
    def harm(self) -> float:
        """Nearly 1 close beside the tuned mode, 0 where it does no harm. [1]"""
        return 1.0 - abs(self.distance) / self.band_hz if self.clashes else 0.0


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was computed, and where it puts the neighbours.

    Attributes
    ----------
    text : str
    neighbours : tuple of Neighbour
    request : Request, optional
        What to ask for; nothing where it takes another blank.
    design : Design, optional
        What was found for it.
    """

    text: str
    neighbours: tuple[Neighbour, ...]
    request: Request | None = None
    design: Design | None = None


def critical_band(hz: float) -> float:
    """Width of the ear's critical band, 25 + 75(1 + 1.4 f²)^0.69 with f in kHz. [Hz]

    Examples
    --------
    >>> round(critical_band(1000.0))
    162
    """
    return float(25.0 + 75.0 * (1.0 + 1.4 * (hz / 1000.0) ** 2) ** 0.69)


def beside(kind: str, others_hz: Sequence[float] | Array, tuned_hz: Array) -> list[Neighbour]:
    """Pairs of an untuned mode and a tuned one (from the second up) too near to be kept apart.

    Examples
    --------
    A2 with a lateral mode at 1090 Hz beside mode 3 at 1121 Hz, told of by the rule's author.

    >>> import numpy as np
    >>> found = beside("lateral", [1090.0], np.array([110.0, 440.0, 1121.0]))
    >>> [(pair.mode, pair.distance, pair.clashes) for pair in found]
    [(3, -31.0, True)]
    """
    found = []
    for number, other in enumerate(map(float, others_hz), start=1):
        for mode, tuned in enumerate(map(float, tuned_hz[1:]), start=2):
            as_one = next(hz for limit, hz in AS_ONE if tuned < limit)
            pair = Neighbour(kind, number, other, mode, tuned, BANDS * critical_band(tuned), as_one)
            if abs(pair.distance) < pair.band_hz:
                found.append(pair)
    return found


def neighbours(bar: Bar, tuned_hz: Array) -> tuple[Neighbour, ...]:
    """Compute which torsional and lateral modes of a bar lie beside tuned ones, worst first.

    Parameters
    ----------
    bar : Bar
    tuned_hz : ndarray, shape (k,)
        Its tuned modes; bending hardly depends on the width, so they may be those of another
        width. [Hz]
    """
    if tuned_hz.size < 2:
        return ()
    reach = float(tuned_hz[-1]) + BANDS * critical_band(float(tuned_hz[-1]))
    count = 4
    while True:
        modes = solve(bar, model="solid", count=count, families=["torsion"])
        if modes.torsional_hz[-1] > reach or count >= MOST_TORSIONAL:
            break
        count += 2
    pairs = beside("torsional", modes.torsional_hz, tuned_hz)
    pairs += beside("lateral", modes.lateral_hz, tuned_hz)
    return tuple(sorted(pairs, key=lambda pair: -pair.harm))


def harm(pairs: Sequence[Neighbour]) -> float:
    """Sum of all harms; the number `clear` makes small. [1]"""
    return sum(pair.harm for pair in pairs)


def remedies(request: Request, design: Design) -> Iterator[Remedy]:
    """Compute what moves the neighbours: another width, shape or family.

    Parameters
    ----------
    request : Request
        What was asked for.
    design : Design
        The design whose neighbours harm.

    Yields
    ------
    Remedy
        One change with what it leads to, as soon as it is computed.
    """
    for factor in WIDTHS:
        width = round(design.bar.blank.width * factor, 3)
        bar = replace(design.bar, blank=replace(design.bar.blank, width=width))
        yield Remedy(f"width {width * 1e3:g} mm", neighbours(bar, design.hz))
    yield from reshaped(request, design)
    for family in FAMILIES:
        if family != request.family:
            other = replace(request, family=family, fixed={}, begin={})
            yield from _tried(other, f"family {family}")


def reshaped(request: Request, design: Design) -> Iterator[Remedy]:
    """Designs of the same family with another fullness, or another start where there is none.

    Three ratios fix all three measures of an arch: then there is none.
    """
    free = len(design.measures) - len(request.fixed) - len(request.target.ratios)
    if free < 1:
        return
    measure = "fullness" if request.family == "arch" else next(iter(design.measures))
    if measure in request.fixed:
        return
    now = design.measures[measure]
    for factor, shift in zip(FULLNESSES, SHIFTS, strict=True):
        if measure == "fullness":
            value = round(now * factor, 2)  # as it can be asked for
            shown = f"{value:.2f}"
        else:
            value = round(now + shift * design.bar.blank.length, 4)
            shown = f"{value / MM:.1f} mm"
        changed = replace(request, fixed={**request.fixed, measure: value})
        yield from _tried(changed, f"{measure} {shown}")


def _tried(request: Request, text: str) -> Iterator[Remedy]:
    try:
        design = find(request, advise=False)
    except BarModelError:  # that shape does not reach the target: no remedy
        return
    yield Remedy(text, neighbours(design.bar, design.hz), request, design)


def clearest(request: Request, design: Design) -> tuple[Design, tuple[Neighbour, ...]]:
    """Among shapes of the family that meet the target, the one whose neighbours harm least.

    Parameters
    ----------
    request : Request
        What was asked for.
    design : Design
        A design that meets it, where the search begins.

    Returns
    -------
    design : Design
    pairs : tuple of Neighbour
        What lies beside its tuned modes.
    """
    best, pairs = design, neighbours(design.bar, design.hz)
    if not harm(pairs):
        return best, pairs
    for trial in reshaped(request, design):
        if trial.design is not None and harm(trial.neighbours) < harm(pairs):
            best, pairs = trial.design, trial.neighbours
    return best, pairs
