"""What a design hands to the maker."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import NoSolutionError
from barmodel.modes import ModeSet
from barmodel.pitch import Target
from barmodel.undercut.piece import Array
from barmodel.units import MM

ROW = 10.0 * MM
"""Distance between rows of the depth table, counted from the left end. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class Design:
    """An undercut and how well it meets its target.

    Attributes
    ----------
    bar : Bar
        The blank with the undercut in it.
    family : str
    target : Target
    ratios_only : bool
        Whether the pitch was left free.
    measures : dict of str to float
        The family's measures (start, depth, fullness, …). [m] or [1]
    modes : ModeSet
        All modes of the designed bar, by the model that has the last word.
    cents : ndarray, shape (k,)
        Tuned modes above target; with `ratios_only` above their ratio to the first. [cent]
    sensitivity_cents : ndarray, shape (k,)
        What a whole undercut 0.1 mm too deep does to each tuned mode, by the beam. [cent]
    least_thickness, least_at : float
        Thinnest place. [m]
    correction_cents : ndarray, shape (k,)
        Last model minus the beam that searched, at this shape; zero if the beam had the last
        word. [cent]
    rounds : int
        Times the last model was asked.
    steps, solves : int
        Newton steps and beam solves spent.
    pressed : tuple of str
        Limits the design leans on.
    reason : str
        Why the search ended, in words.
    warnings : tuple of str
    """

    bar: Bar
    family: str
    target: Target
    ratios_only: bool
    measures: dict[str, float]
    modes: ModeSet
    cents: Array
    sensitivity_cents: Array
    least_thickness: float
    least_at: float
    correction_cents: Array
    rounds: int
    steps: int
    solves: int
    pressed: tuple[str, ...]
    reason: str
    warnings: tuple[str, ...] = ()

    @property
    def model(self) -> str:
        """Which model had the last word."""
        return self.modes.model

    @property
    def hz(self) -> Array:
        """Frequencies of the tuned modes, shape (k,). [Hz]"""
        return self.modes.bending_hz[: len(self.target.ratios)]


def depth_table(bar: Bar) -> tuple[Array, Array]:
    """Depth below the uncut underside every centimetre, both sides of each wall included.

    Returns
    -------
    x, depth : ndarray, shape (n,)
        Positions and depths; a wall stands as two rows at one position. [m]
    """
    profile = bar.profile
    length = profile.length
    even = ROW * np.arange(np.ceil(length / ROW - 1e-9))
    places = np.append(even, length)
    walls = profile.walls
    segments = profile.segment_of(places)
    depth = profile.depth(places, segments).real
    if walls.size:
        at = np.searchsorted(profile.edges, walls - 1e-9)
        both = np.concatenate([profile.depth(walls, at - 1), profile.depth(walls, at)]).real
        keep = np.abs(places[:, None] - walls).min(axis=1) > 1e-9
        places = np.concatenate([places[keep], walls, walls])
        depth = np.concatenate([depth[keep], both])
        order = np.argsort(places, kind="stable")
        places, depth = places[order], depth[order]
    return places, np.maximum(depth, 0.0)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A change that was tried and works.

    Attributes
    ----------
    change : str
        "length", "thickness", "keep", "drum_radius", "note", "ratios" or "free".
    value : float or str
        The new length, thickness or limit [m], note, ratios, or the measure to let go.
    text : str
        The same in words.
    """

    change: str
    value: float | str
    text: str


class NoDesignError(NoSolutionError):
    """No undercut inside the limits meets the target; carries what would work, each tried."""

    def __init__(
        self, message: str, suggestions: tuple[Suggestion, ...] = (), cents: Array | None = None
    ) -> None:
        super().__init__(message)
        self.suggestions = suggestions
        self.cents = cents
