"""The one door to the modes of a bar: whoever needs a number a maker acts on asks here.

The beam answers in a millisecond and is sharp on real undercuts; the solid is slower and is the
reference this package trusts. Every answer says which of them spoke.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np

from barmodel import solid
from barmodel.bar import Bar
from barmodel.beam import BeamModes, solve_beam
from barmodel.errors import InputError
from barmodel.solid import Family, Order, SolidModes
from barmodel.undercut.piece import Array

Model: TypeAlias = Literal["best", "solid", "beam"]
SAMPLES = 801
"""Positions along the bar at which the beam's shapes are given."""


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
    twisting : ndarray, shape (m, n)
        Vertical motion of one edge of the top in each torsional mode; the largest is ±1.
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
    twisting: Array = field(default_factory=lambda: np.empty((0, 0)))


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


def solve(
    bar: Bar,
    *,
    model: Model = "best",
    count: int = 3,
    families: Sequence[Family] = ("bending", "torsion"),
    order: Order = "standard",
    estimate: bool = False,
) -> ModeSet:
    """Compute the modes of a bar.

    Parameters
    ----------
    bar : Bar
    model : {"best", "solid", "beam"}
        "best" is the solid.
    count : int
        Number of bending modes, and of torsional ones.
    families : sequence of {"bending", "torsion"}
        Solid only: bending with axial modes, torsional with lateral ones. Each costs its time.
    order : {"standard", "quick", "fine", "draft"}
        Solid only: fineness of its mesh.
    estimate : bool
        Solid only: estimate each mode's error by a second, coarser solution.

    Raises
    ------
    InputError
        If an argument makes no sense.
    GeometryError
        If the undercut goes through the bar.

    Examples
    --------
    >>> from barmodel.bar import Blank
    >>> from barmodel.wood import species
    >>> blank = Blank(length=0.4, width=0.06, thickness=0.022, wood=species("padauk").wood())
    >>> solve(Bar(blank=blank), count=1, families=["bending"]).model
    'solid'
    """
    if model not in ("best", "solid", "beam"):
        raise InputError(f"model {model!r} is unknown; use best, solid or beam")
    if model == "beam":
        return from_beam(solve_beam(bar, count=count))
    return from_solid(
        solid.solve(bar, count=count, families=families, order=order, estimate=estimate)
    )


def from_solid(modes: SolidModes) -> ModeSet:
    """Present the solid's answer in the common form."""
    bending, torsional = modes.of_kind("vertical"), modes.of_kind("torsional")
    unknowns = sum(report.unknowns for report in modes.mesh.values())
    columns = max(report.columns for report in modes.mesh.values())
    half = " of half the bar" if any(report.half for report in modes.mesh.values()) else ""
    empty = np.empty((0, modes.x.size))
    return ModeSet(
        model="solid",
        bending_hz=modes.hz("vertical"),
        torsional_hz=modes.hz("torsional"),
        lateral_hz=modes.hz("lateral"),
        axial_hz=modes.hz("axial"),
        x=modes.x,
        deflection=np.stack([_to_one(mode.motion) for mode in bending]) if bending else empty,
        nodes=tuple(mode.nodes for mode in bending),
        residual=max(mode.residual for mode in modes.modes),
        mesh=f"{columns} columns{half}, {unknowns} unknowns",
        error_cents=np.array([mode.error_cents for mode in bending]),
        warnings=modes.warnings,
        twisting=np.stack([_to_one(m.motion) for m in torsional]) if torsional else empty,
    )


def _to_one(shape: Array) -> Array:
    """The shape with its largest motion 1 and its left end up."""
    return np.asarray(shape / np.abs(shape).max() * (-1.0 if shape[0] < 0.0 else 1.0))


def from_beam(modes: BeamModes) -> ModeSet:
    """Present the beam's answer in the common form."""
    from scipy.interpolate import CubicSpline  # slow to load, and the solid does without

    shapes = [_to_one(shape) for shape in modes.deflection]
    fine = np.linspace(0.0, float(modes.x[-1]), SAMPLES)
    none = np.empty(0)
    return ModeSet(
        model="beam",
        bending_hz=modes.hz,
        torsional_hz=none,
        lateral_hz=none,
        axial_hz=modes.axial_hz,
        x=fine,
        deflection=np.stack([CubicSpline(modes.x, shape)(fine) for shape in shapes]),
        nodes=tuple(still_points(fine, CubicSpline(modes.x, shape)(fine)) for shape in shapes),
        residual=float(modes.residual.max()),
        mesh=f"{modes.mesh.segment.size} beam elements of order 4",
        error_cents=np.full(modes.hz.size, np.nan),
    )
