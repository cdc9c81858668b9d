"""What the solid answers: modes, and what is needed to judge them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.solid.basis import Array
from barmodel.solid.mesh import Orders
from barmodel.solid.system import System

Family: TypeAlias = Literal["bending", "torsion"]
"""Symmetry about the middle of the width: bending and axial, or torsional and lateral."""
Kind: TypeAlias = Literal["vertical", "axial", "crosswise", "torsional", "lateral"]
"""What a mode does. Crosswise: sections bend out of shape, like a plate across its width."""
SHORT = {"vertical": "V", "axial": "A", "crosswise": "X", "torsional": "T", "lateral": "La"}


@dataclass(frozen=True, slots=True, eq=False)
class SolidMode:
    """One mode of the bar.

    Attributes
    ----------
    kind : str
        What it mostly does.
    number : int
        From 1, among the modes of its kind.
    hz : float
        Frequency. [Hz]
    error_cents : float
        Estimated error of the frequency, NaN if no estimate was asked for. [cent]
    residual : float
        ‖K⁻¹Mu − u/λ‖·λ in the norm of M. [1]
    share : float
        Part of the kinetic energy in motions of its kind; near 0.5 the name means little. [1]
    motion : ndarray, shape (n,)
        On the flat top, for a mode of unit modal mass over the whole bar: vertical at mid-width
        (vertical, axial, crosswise), vertical at the edge y = b/2 (torsional), sideways at
        mid-width (lateral). [kg^−½]
    nodes : ndarray
        Still points of `motion`. [m]
    family : str
        Symmetry about the middle of the width.
    unknowns : ndarray
        Displacement in the unknowns of its system, unit modal mass over the whole bar. [kg^−½]
    """

    kind: Kind
    number: int
    hz: float
    error_cents: float
    residual: float
    share: float
    motion: Array
    nodes: Array
    family: Family
    unknowns: Array

    @property
    def label(self) -> str:
        """Short name: V1, T2, La1, A1, X1."""
        return f"{SHORT[self.kind]}{self.number}"


@dataclass(frozen=True, slots=True, eq=False)
class MeshReport:
    """Mesh of one family.

    Attributes
    ----------
    columns, unknowns : int
        Of the half bar if `half`.
    orders : Orders
        Degrees used.
    half : bool
        Whether one half was solved for even and odd modes apart.
    """

    columns: int
    unknowns: int
    orders: Orders
    half: bool


@dataclass(frozen=True, slots=True, eq=False)
class SolidModes:
    """Modes of a bar by three-dimensional elasticity.

    Attributes
    ----------
    modes : tuple of SolidMode
        Of all families asked for, lowest first. Each family is complete up to its last mode.
    x : ndarray, shape (n,)
        Positions of `SolidMode.motion`. [m]
    mesh : dict
        Mesh of each family.
    warnings : tuple of str
        Where the bar is at the limits of the model.
    systems : dict
        Matrices of each family, for those who work on with the modes.
    width : float
        Width of the bar. [m]
    stiffness : ndarray, shape (6, 6)
        Elastic stiffness. [Pa]
    density : float
        Mass density. [kg/m³]
    """

    modes: tuple[SolidMode, ...]
    x: Array
    mesh: dict[Family, MeshReport]
    warnings: tuple[str, ...]
    systems: dict[Family, System]
    width: float
    stiffness: Array
    density: float

    def of_kind(self, kind: Kind) -> tuple[SolidMode, ...]:
        """Modes of one kind, lowest first."""
        return tuple(mode for mode in self.modes if mode.kind == kind)

    def hz(self, kind: Kind) -> Array:
        """Frequencies of one kind, lowest first. [Hz]"""
        return np.array([mode.hz for mode in self.of_kind(kind)])

    def __getitem__(self, label: str) -> SolidMode:
        """Mode by its short name, as in `modes["V1"]`."""
        for mode in self.modes:
            if mode.label == label:
                return mode
        raise KeyError(f"no mode {label!r} among {', '.join(m.label for m in self.modes)}")
