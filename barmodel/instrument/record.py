"""What is asked of one bar of a set, and what came of it."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

import numpy as np

from barmodel import __version__
from barmodel.design import Request
from barmodel.undercut import Shape

State: TypeAlias = Literal["designed", "refused", "failed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One bar to design.

    Attributes
    ----------
    semitone : int
    request : Request
        With the measures held for an even set; without them where that has no solution.
    expected_cents : tuple of float
        What the solid is likely to say above the beam; empty if nothing is known. [cent]
    clear : bool
        Prefer a shape without torsional or lateral clashes.
    hole_diameter : float
        Of the cord holes, whose effect is told. [m]
    """

    semitone: int
    request: Request
    expected_cents: tuple[float, ...] = ()
    clear: bool = False
    hole_diameter: float = 0.0

    @property
    def digest(self) -> str:
        """Fingerprint of all that decides the design, and of the version that makes it."""
        return fingerprint(self)


def fingerprint(value: Any) -> str:
    """Short text that is the same for the same content, and another for another."""
    text = json.dumps([__version__, _plain(value)], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def _plain(value: Any) -> Any:
    """Bring nested records into a form whose text is always the same."""
    if dataclasses.is_dataclass(value):
        names = [item.name for item in dataclasses.fields(value)]
        return {name: _plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(_plain(item) for item in value)
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if isinstance(value, float | np.floating):
        return float(f"{value:.12g}")
    return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """An untuned mode that sits too near a tuned one.

    Attributes
    ----------
    kind : str
        torsional or lateral.
    number, mode : int
        Which of its kind, and the tuned mode beside it, from 1.
    hz, distance_hz : float
        [Hz]
    """

    kind: str
    number: int
    mode: int
    hz: float
    distance_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one bar: a design, or the reason why there is none.

    Attributes
    ----------
    semitone : int
    digest : str
        Of the task.
    state : {"designed", "refused", "failed"}
        refused: nothing inside the limits meets the target; failed: the computation broke.
    reason : str
        Why there is no design, or why it is uneven; empty else.
    seconds : float
        Time spent. [s]
    undercut : tuple of Shape
    measures : dict
        Of the family. [m] or [1]
    bending_hz, target_hz, cents : tuple of float
        Tuned modes. [Hz], [cent]
    correction_cents : tuple of float
        What the last model said above the beam. [cent]
    sensitivity_cents : tuple of float
        What a whole undercut 0.1 mm too deep does. [cent]
    nodes : tuple of float
        Still points of mode 1 from the player's end. [m]
    node_slope : float
        Steepness of mode 1 at its node, over the motion of the middle. [1/m]
    centre, least, least_at : float
        Thickness in the middle, least thickness and its place. [m]
    mass : float
        As designed. [kg]
    clashes : tuple of Clash
    hole_cents : tuple of float
        What drilling both cord holes at the nodes does to the tuned modes, by a formula. [cent]
    even : bool
        Whether the measures held for an even set were kept.
    model : str
    warnings : tuple of str
    """

    semitone: int
    digest: str
    state: State
    reason: str = ""
    seconds: float = 0.0
    undercut: tuple[Shape, ...] = ()
    measures: Mapping[str, float] = field(default_factory=dict)
    bending_hz: tuple[float, ...] = ()
    target_hz: tuple[float, ...] = ()
    cents: tuple[float, ...] = ()
    correction_cents: tuple[float, ...] = ()
    sensitivity_cents: tuple[float, ...] = ()
    nodes: tuple[float, ...] = ()
    node_slope: float = 0.0
    centre: float = float("nan")
    least: float = float("nan")
    least_at: float = float("nan")
    mass: float = float("nan")
    clashes: tuple[Clash, ...] = ()
    hole_cents: tuple[float, ...] = ()
    even: bool = True
    model: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def designed(self) -> bool:
        """Whether there is a design."""
        return self.state == "designed"
