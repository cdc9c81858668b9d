"""What happened to a bar: the readings and cuts, in the order they were made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.cuts import Cut, apply_cuts
from barmodel.errors import InputError
from barmodel.undercut.piece import Array

READING_CENTS = 1.0
"""Standard error of a reading that brings none (common practice, no source). [cent]"""
SUREST_CENTS = 0.01
"""Standard error below which none is believed: readings are weighed by its square. [cent]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """Bending modes heard on the bar as it was.

    Attributes
    ----------
    hz : tuple of float or None
        Modes 1, 2, …; None for one not heard. [Hz]
    error_cents : tuple of float or None
        Their standard errors; `READING_CENTS` where missing, never below `SUREST_CENTS`. [cent]
    temperature_c : float, optional
        Of the bar, or of the room it lies in. [°C]
    water_cents, water_error : float
        How far all modes have drifted since by the water in the wood, and its standard error:
        what it would sound today less what was heard. [cent]
    """

    hz: tuple[float | None, ...]
    error_cents: tuple[float | None, ...] = ()
    temperature_c: float | None = None
    water_cents: float = 0.0
    water_error: float = 0.0

    def __post_init__(self) -> None:
        heard = [hz for hz in self.hz if hz is not None]
        if not heard or not all(math.isfinite(hz) and hz > 0.0 for hz in heard):
            raise InputError("a reading holds at least one frequency, all of them above 0 Hz")

    def heard(self, count: int) -> Array:
        """Modes 1 to `count` as they were, NaN for one not heard. [Hz]"""
        return _padded(self.hz, count)

    def row(self, count: int) -> Array:
        """The same as with the water of today. [Hz]"""
        return np.asarray(self.heard(count) * 2.0 ** (self.water_cents / 1200))

    @property
    def water_drift(self) -> float:
        """Standard error of the drift, with its sign: all drifts are wrong in one sense. [cent]"""
        return math.copysign(self.water_error, self.water_cents)

    def errors(self, count: int) -> Array:
        """Standard errors of modes 1 to `count`. [cent]"""
        errors = _padded(self.error_cents, count)
        return np.where(np.isnan(errors), READING_CENTS, np.maximum(errors, SUREST_CENTS))


def _padded(values: Sequence[float | None], count: int) -> Array:
    known = [math.nan if value is None else float(value) for value in values[:count]]
    return np.array(known + [math.nan] * (count - len(known)))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutMade:
    """Wood removed in one go, or holes drilled, with or without cuts.

    Attributes
    ----------
    cuts : tuple of Shape or EndTrim
        As they were aimed at, or as found by measuring.
    measured : bool
        Whether the depth was measured afterwards.
    drilled : bool
        Whether cord holes were drilled: they move the modes by what no cut tells.
    """

    cuts: tuple[Cut, ...]
    measured: bool = False
    drilled: bool = False


Event: TypeAlias = Reading | CutMade


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A bar from the day its file was begun.

    Attributes
    ----------
    start : Bar
        The bar before the first event.
    events : tuple of Reading or CutMade
        In order.
    """

    start: Bar
    events: tuple[Event, ...] = field(default=())

    @property
    def stages(self) -> tuple[Stage, ...]:
        """The bar between its cuts, first to last, with what was heard on it."""
        bar, made, stages = self.start, 0, []
        heard: list[Reading] = []
        cut: CutMade | None = None
        for event in self.events:
            if isinstance(event, Reading):
                heard.append(event)
                continue
            stages.append(Stage(bar, cut, tuple(heard), made))
            bar, heard, cut, made = apply_cuts(bar, event.cuts, check=False), [], event, made + 1
        stages.append(Stage(bar, cut, tuple(heard), made))
        return tuple(stages)

    @property
    def bar(self) -> Bar:
        """The bar as it is, taking every cut as it is written down."""
        return self.stages[-1].bar

    @property
    def readings(self) -> tuple[Reading, ...]:
        """All readings, in order."""
        return tuple(event for event in self.events if isinstance(event, Reading))

    def then(self, *events: Event) -> History:
        """Return the history with further events."""
        return History(start=self.start, events=(*self.events, *events))


@dataclass(frozen=True, slots=True)
class Stage:
    """The bar between two cuts.

    Attributes
    ----------
    bar : Bar
        By the cuts as written down.
    cut : CutMade or None
        The cut that led here; None for the first stage.
    readings : tuple of Reading
    number : int
        Cuts made before it.
    """

    bar: Bar
    cut: CutMade | None
    readings: tuple[Reading, ...]
    number: int

    def degrees(self, reference_c: float) -> Array:
        """Degrees above a temperature at which each reading was made, shape (r,). [°C]

        One that does not say is taken to be as warm as the others of its stage, and at the
        reference where none says.

        Examples
        --------
        >>> warm, untold = Reading(hz=(440.0,), temperature_c=35.0), Reading(hz=(440.0,))
        >>> Stage(None, None, (untold, warm), 0).degrees(20.0).tolist()
        [15.0, 15.0]
        """
        told = [r.temperature_c for r in self.readings if r.temperature_c is not None]
        usual = float(np.mean(told)) if told else reference_c
        known = [usual if r.temperature_c is None else r.temperature_c for r in self.readings]
        return np.array(known) - reference_c
