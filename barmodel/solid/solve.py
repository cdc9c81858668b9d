"""Modes of a bar by three-dimensional orthotropic elasticity.

The bar is a chain of columns (`mesh`); displacements are polynomials along, through and across
(`basis`), so the answer converges from above as orders grow. Symmetry about the middle of the
width splits the problem in two families, and a bar cut alike on both halves is solved on one.

Orders and their errors against converged three-dimensional solutions are in `ORDERS`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from barmodel.bar import Bar
from barmodel.errors import InputError
from barmodel.pitch import cents
from barmodel.solid.basis import across_functions
from barmodel.solid.describe import SAMPLES, describe
from barmodel.solid.eigen import Search, lowest
from barmodel.solid.factor import factorise
from barmodel.solid.limits import STEEP, steepest, warnings_for
from barmodel.solid.mesh import Orders, build_mesh
from barmodel.solid.motions import rigid_motions, smooth_motions
from barmodel.solid.record import Family, Kind, MeshReport, SolidMode, SolidModes
from barmodel.solid.system import System, assemble

Order: TypeAlias = Literal["draft", "quick", "standard", "fine"]

ORDERS: dict[Order, dict[Family, Orders]] = {
    "draft": {
        "bending": Orders(columns=12, along=3, through=3, across=2, rings=1, hollow=0),
        "torsion": Orders(columns=12, along=3, through=3, across=3, rings=1, hollow=-1),
    },
    "quick": {
        "bending": Orders(columns=16, along=4, through=3, across=2, rings=2, hollow=1),
        "torsion": Orders(columns=20, along=4, through=4, across=5, rings=2, hollow=0),
    },
    "standard": {
        "bending": Orders(columns=20, along=4, through=4, across=4, rings=3, hollow=1),
        "torsion": Orders(columns=20, along=4, through=4, across=7, rings=3, hollow=1),
    },
    "fine": {
        "bending": Orders(columns=24, along=4, through=5, across=6, rings=4, hollow=2),
        "torsion": Orders(columns=24, along=4, through=5, across=9, rings=4, hollow=2),
    },
}
"""Named meshes; their errors are in the notes of `solve`."""

_COMPARED: dict[Order, tuple[Order, float]] = {
    "draft": ("standard", 1.3),
    "quick": ("standard", 1.35),
    "standard": ("quick", 0.35),
    "fine": ("standard", 1.0),
}
"""Order to compare with, and the error over the difference. With the constants below, estimates
cover 24 of 25 errors of thirty bars (blank to hollow, wood and aluminium) against meshes of degree
6 to 8."""
STEEP_FACTOR = 3.0
"""At steep ramps both orders err alike, and estimates are raised by this. [1]"""
LEAST_ERROR = 0.2
"""Added to estimates: what both orders miss alike, and rounding. [cent]"""

STOUT = 12.0
"""Smooth bars shorter than this many thicknesses get two orders more across. [1]"""
FLAT = (8.0, 14.0)
"""Width over least thickness beyond which torsion gets two more orders across, and again. [1]"""


def solve(
    bar: Bar,
    *,
    count: int = 3,
    families: Sequence[Family] = ("bending", "torsion"),
    order: Order = "standard",
    estimate: bool = False,
) -> SolidModes:
    """Compute the lowest modes of a free bar.

    Parameters
    ----------
    bar : Bar
    count : int
        Vertical modes wanted from the bending family, torsional ones from the torsion family;
        axial, lateral and crosswise modes below them come along.
    families : sequence of {"bending", "torsion"}
    order : {"standard", "quick", "fine", "draft"}
    estimate : bool
        Also solve at another order and estimate errors from the difference, `_COMPARED`.

    Returns
    -------
    SolidModes

    Raises
    ------
    InputError
        If `count`, `families` or `order` make no sense.

    Notes
    -----
    Largest error in cents against converged three-dimensional solutions, bars of 150 to 430 mm in
    wood and aluminium, thickness down to 2 mm:

    ==========  ================  ==================  =================
    order       V1–V3, smooth     V1–V3, walls and    T1, T2, La1
                arches            narrow hollows
    ==========  ================  ==================  =================
    draft       20                30                  30
    quick       6                 18                  7
    standard    0.9               2.3                 1.1
    fine        0.2               0.7                 0.3
    ==========  ================  ==================  =================

    Frequencies are nearly always sharp by that much, as displacement elements are; *changes*
    between like shapes are far better (flat grooves: 0.5 % of the shift).

    Straight ramps steeper than about 45 degrees that are not walls are 2 to 10 cents sharp in
    mode 3 at any order, and a warning says so; cliffs become walls, `barmodel.solid.underside`.

    Examples
    --------
    >>> from barmodel.bar import Bar, Blank
    >>> from barmodel.wood import Wood
    >>> steel = Wood.from_isotropic(e=200e9, nu=0.3, density=7850.0)
    >>> bar = Bar(blank=Blank(length=0.16, width=0.025, thickness=0.01, wood=steel))
    >>> round(solve(bar, count=1, families=["bending"])["V1"].hz, -1)  # ASTM E1876: 1998.8 Hz
    2000.0
    """
    _check(count, families, order)
    bar.profile.require_wood()
    modes: list[SolidMode] = []
    systems: dict[Family, System] = {}
    reports: dict[Family, MeshReport] = {}
    for family in families:
        orders = _orders(bar, order, family)
        system = _system(bar, family, orders)
        systems[family] = system
        reports[family] = MeshReport(
            len(system.mesh.columns), system.size, orders, system.mesh.half
        )
        found = _family_modes(bar, system, family, count)
        if estimate:
            found = _with_errors(bar, found, family, order, count)
        modes += found
    wood = bar.blank.wood
    return SolidModes(
        modes=_together(modes),
        x=np.linspace(0.0, bar.blank.length, SAMPLES),
        mesh=reports,
        warnings=warnings_for(bar, modes),
        systems=systems,
        width=bar.blank.width,
        stiffness=wood.stiffness(),
        density=wood.density,
    )


def _together(modes: list[SolidMode]) -> tuple[SolidMode, ...]:
    """Modes of both families, lowest first; crosswise ones, found in both, numbered anew."""
    out, crosswise = [], 0
    for mode in sorted(modes, key=lambda mode: mode.hz):
        if mode.kind == "crosswise":
            crosswise += 1
            mode = replace(mode, number=crosswise)
        out.append(mode)
    return tuple(out)


def _check(count: int, families: Sequence[Family], order: Order) -> None:
    if count < 1:
        raise InputError(f"count is {count}; at least one mode must be asked for")
    if not families or set(families) - {"bending", "torsion"}:
        raise InputError(f"families are {tuple(families)}; use 'bending', 'torsion' or both")
    if order not in ORDERS:
        raise InputError(f"order {order!r} is unknown; use {', '.join(ORDERS)}")


def _orders(bar: Bar, order: Order, family: Family) -> Orders:
    """Orders of a named mesh, raised for stout bars and, in torsion, for thin wide sections.

    Where a wide section is thin, warping and shear change over one thickness from its edges.
    """
    orders = ORDERS[order][family]
    blank = bar.blank
    across = orders.across
    smooth = bar.profile.walls.size == 0  # at walls the corner's error leads, and costs enough
    if order != "draft" and smooth and blank.length < STOUT * blank.thickness:
        across += 2
    if order != "draft" and family == "torsion":
        flatness = blank.width / bar.profile.least_thickness()[0]
        across += 2 * sum(flatness > limit for limit in FLAT)
    return replace(orders, across=across)


def _system(bar: Bar, family: Family, orders: Orders) -> System:
    wood = bar.blank.wood
    stretch = math.sqrt(wood.e_long / wood.g_long_thick)
    return assemble(
        build_mesh(bar.profile, orders, stretch=stretch),
        across_functions(family, orders.across),
        width=bar.blank.width,
        stiffness=wood.stiffness(),
        density=wood.density,
    )


def _supports(system: System, family: Family) -> list[tuple[NDArray[np.bool_], tuple[str, ...]]]:
    """What may move on the last seam, and the rigid motions left, for each eigenproblem.

    In the middle of a symmetric bar u_x vanishes in even modes, u_y and u_z in odd ones.
    """
    lines = system.mesh.seams[-1].layering.size
    component = np.repeat([0, 1, 2], [lines * n for n in system.across.counts])
    if not system.mesh.half:
        names = ("slide", "lift", "pitch") if family == "bending" else ("sway", "yaw", "roll")
        return [(np.ones(component.size, dtype=bool), names)]
    if family == "bending":
        return [(component != 0, ("lift",)), (component == 0, ("slide", "pitch"))]
    return [(component != 0, ("sway", "roll")), (component == 0, ("yaw",))]


def _family_modes(bar: Bar, system: System, family: Family, count: int) -> list[SolidMode]:
    """Modes of one family, complete up to `count` of its leading kind."""
    leading: Kind = "vertical" if family == "bending" else "torsional"
    motions = rigid_motions(system, bar.blank.width)
    factor, begin = factorise(system), smooth_motions(system)
    searches = []
    for kept, names in _supports(system, family):
        rigid = np.stack([motions[name] for name in names], axis=1)
        searches.append(Search(system.mass, factor.held(kept, rigid), rigid, begin))
    share = len(searches)
    wanted = count if share == 1 else count // 2 + 1  # what lies above the lower last one is lost
    while True:
        pairs = lowest(factor, searches, count=wanted)
        limit = min(pair.values[-1] for pair in pairs) * (1 + 1e-9)
        values = np.concatenate([pair.values for pair in pairs])
        # Unit mass over the whole bar: a half bar's vectors carry half of it.
        vectors = np.concatenate([pair.vectors for pair in pairs], axis=1) / math.sqrt(share)
        residuals = np.concatenate([pair.residuals for pair in pairs])
        signs = np.repeat([1.0, -1.0][:share], wanted)
        rank = [int(k) for k in np.argsort(values) if values[k] <= limit]
        modes = describe(bar, system, family, values, vectors, residuals, signs, rank)
        last = [k for k, mode in enumerate(modes) if mode.kind == leading]
        if len(last) >= count:
            return modes[: last[count - 1] + 1]
        wanted += 1


def _with_errors(
    bar: Bar, modes: list[SolidMode], family: Family, order: Order, count: int
) -> list[SolidMode]:
    """Estimate each mode's error from another order."""
    other, share = _COMPARED[order]
    again = _family_modes(bar, _system(bar, family, _orders(bar, other, family)), family, count)
    known = {mode.label: mode.hz for mode in again}
    if steepest(bar)[0] > STEEP:
        share *= STEEP_FACTOR
    out = []
    for mode in modes:
        hz = known.get(mode.label, math.nan)
        error = share * abs(cents(hz, mode.hz))
        out.append(replace(mode, error_cents=error + LEAST_ERROR))
    return out
