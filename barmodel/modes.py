"""The one door to the modes of a bar: whoever needs a number a maker acts on asks here.

The beam answers in a millisecond and is sharp on real undercuts; the solid is slower and is the
reference this package trusts. Every answer says which of them spoke.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.beam import BeamModes, solve_beam
from barmodel.errors import InputError
from barmodel.undercut.piece import Array

Model: TypeAlias = Literal["best", "solid", "beam"]


@dataclass(frozen=True, slots=True, eq=False)
class ModeSet:
    """Modes of one bar, each kind lowest first.

    Attributes
    ----------
    model : str
        Which model gave the numbers, in words for the maker.
    bending_hz, torsional_hz, lateral_hz, axial_hz : ndarray
        Frequencies; empty where a family was not asked for or the model cannot know it. [Hz]
    x : ndarray, shape (n,)
        Positions along the bar. [m]
    deflection : ndarray, shape (k, n)
        Vertical motion of the top along its middle line in each bending mode; the largest is ±1.
    nodes : tuple of ndarray
        Still points of each bending mode. [m]
    residual : float
        Largest eigenvalue residual ‖Kφ − ω²Mφ‖/‖Kφ‖ among the modes. [1]
    mesh : str
        Mesh in words.
    error_cents : ndarray, shape (k,)
        Estimated error of the bending modes. [cent]
    warnings : tuple of str
        Where the model is near its limits.
    """

    model: str
    bending_hz: Array
    torsional_hz: Array
    lateral_hz: Array
    axial_hz: Array
    x: Array
    deflection: Array
    nodes: tuple[Array, ...]
    residual: float
    mesh: str
    error_cents: Array
    warnings: tuple[str, ...] = ()


def still_points(x: Array, deflection: Array) -> Array:
    """Zeros of one mode's deflection, between samples by straight lines. [m]

    Parameters
    ----------
    x, deflection : ndarray, shape (n,)

    Examples
    --------
    >>> still_points(np.array([0.0, 1.0, 2.0]), np.array([1.0, -1.0, -3.0])).tolist()
    [0.5]
    """
    left, right = deflection[:-1], deflection[1:]
    at = np.flatnonzero((left * right < 0.0) | (left == 0.0))
    share = left[at] / (left[at] - right[at])
    return np.asarray(x[at] + share * (x[at + 1] - x[at]))


def solve(bar: Bar, *, model: Model = "best", count: int = 4) -> ModeSet:
    """Compute the modes of a bar.

    Parameters
    ----------
    bar : Bar
    model : {"best", "solid", "beam"}
        "best" is the solid.
    count : int
        Number of bending modes.
    """
    if model not in ("best", "solid", "beam"):
        raise InputError(f"model {model!r} is unknown; use best, solid or beam")
    return from_beam(solve_beam(bar, count=count))


def from_beam(modes: BeamModes) -> ModeSet:
    """Present the beam's answer in the common form."""
    largest = np.abs(modes.deflection).max(axis=1)
    sign = np.where(modes.deflection[:, 0] < 0.0, -1.0, 1.0)
    shapes = modes.deflection * (sign / largest)[:, None]
    fine = np.linspace(0.0, float(modes.x[-1]), 801)
    dense = np.stack([np.interp(fine, modes.x, shape) for shape in shapes])
    none = np.empty(0)
    return ModeSet(
        model="beam",
        bending_hz=modes.hz,
        torsional_hz=none,
        lateral_hz=none,
        axial_hz=modes.axial_hz,
        x=fine,
        deflection=dense,
        nodes=tuple(still_points(modes.x, shape) for shape in shapes),
        residual=float(modes.residual.max()),
        mesh=f"{modes.mesh.segment.size} beam elements of order 4",
        error_cents=np.full(modes.hz.size, np.nan),
    )
