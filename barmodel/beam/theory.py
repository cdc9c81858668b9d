"""From a bar to the coefficients of its beam: the plain section, or the one that is aware."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.beam.assembly import AWARE, PLAIN, Layout
from barmodel.beam.aware import aware_mass, aware_stiffness
from barmodel.beam.limit import limit
from barmodel.beam.mesh import Mesh
from barmodel.beam.section import Constants, plain_mass, plain_stiffness
from barmodel.beam.spread import FREE, Spread, unlimited
from barmodel.undercut import Profile
from barmodel.undercut.piece import Values

Section: TypeAlias = Literal["aware", "plain"]


@dataclass(frozen=True, slots=True, eq=False)
class Coefficients:
    """Stiffness and mass of the section at the quadrature points, by the layout's couples."""

    layout: Layout
    stiffness: Values
    mass: Values


def spread_of(section: Section, profile: Profile, constants: Constants) -> Spread:
    """Return the thickness that carries stress in the given theory."""
    return unlimited(profile) if section == "plain" else limit(profile, constants)


def coefficients(
    section: Section, mesh: Mesh, spread: Spread, h: Values, constants: Constants
) -> Coefficients:
    """Evaluate the section at the quadrature points of `mesh`, where the bar is `h` thick."""
    if section == "plain":
        return Coefficients(PLAIN, plain_stiffness(h, constants), plain_mass(h, constants))
    carried, slope = carried_thickness(mesh, spread, h)
    stiffness = aware_stiffness(carried, slope, constants)
    return Coefficients(AWARE, stiffness, aware_mass(h, constants))


def carried_thickness(mesh: Mesh, spread: Spread, h: Values) -> tuple[Values, Values]:
    """Return h_s and the slope that counts, each of shape (n, q). [m], [1]"""
    piece = np.zeros(mesh.half.size, dtype=int) if mesh.piece is None else mesh.piece
    where = np.broadcast_to(piece[:, None], h.shape)
    carried, slope = spread.carrying(mesh.points, where, h)
    own = (h @ mesh.reference.difference.T) / mesh.half[:, None]
    return carried, np.where(spread.line[where] == FREE, own, slope)
