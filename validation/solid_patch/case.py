"""The solid by itself: constant strain, rigid motions, orders of convergence."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.solid.basis import Array, across_functions
from barmodel.solid.eigen import Search, lowest
from barmodel.solid.factor import factorise
from barmodel.solid.mesh import Orders, build_mesh
from barmodel.solid.motions import places, rigid_motions, smooth_motions
from barmodel.solid.record import Family
from barmodel.solid.system import System, assemble
from barmodel.undercut import Arch, Pocket
from barmodel.units import MM
from validation.check import Check, Controls
from validation.kit.bars import scaled
from validation.solid_independent.bars import PADAUK_LIKE

TITLE = "Patch tests and convergence of the solid"
ABOUT = """\
What any finite element must do before it is compared with anything. A displacement linear in x, y
and z is put on the nodes of a bar with an arch and a pocket: its energy must be that of constant
strain times the bar's volume, walls, seams and sloping columns included. The six rigid motions
must cost nothing. Refining columns of order 2 must cut the error of a frequency as the fourth
power of their length (twice the order); edges and kinks, where stress is not smooth, keep torsion
a little below. Raising the orders through and across must cut it at least fourfold per step, and
no frequency may fall below that of a richer space."""

PATCH = "B. M. Irons & A. Razzaque, in The Mathematical Foundations of the FEM (1972): patch test"
ORDERS = (
    "G. Strang & G. J. Fix, An Analysis of the Finite Element Method (1973), ch. 6: eigenvalues "
    "converge from above with order 2p (from memory)"
)
FAMILIES: tuple[Family, ...] = ("bending", "torsion")
GRADIENTS: dict[Family, tuple[tuple[int, int], ...]] = {  # ∂u_i/∂x_j each family can have
    "bending": ((0, 0), (1, 1), (2, 2), (0, 2), (2, 0)),
    "torsion": ((0, 1), (1, 0), (1, 2), (2, 1)),
}
VOIGT = {(0, 0): 0, (1, 1): 1, (2, 2): 2, (1, 2): 3, (2, 1): 3, (0, 2): 4, (2, 0): 4}
VOIGT |= {(0, 1): 5, (1, 0): 5}

BLANK = Blank(length=360 * MM, width=52 * MM, thickness=21 * MM, wood=PADAUK_LIKE)
CUT = Bar(
    blank=BLANK,
    undercut=(
        Arch(start=60 * MM, end=220 * MM, depth=9 * MM, fullness=2.0),
        Pocket(start=250 * MM, end=300 * MM, depth=6 * MM),
    ),
)
GENTLE = Bar(  # smooth and not symmetric, so that one whole bar is solved
    blank=BLANK,
    undercut=(
        Arch(start=0.0, end=360 * MM, depth=4 * MM, fullness=2.0),
        Arch(start=0.0, end=180 * MM, depth=0.2 * MM, fullness=2.0),
    ),
)


STEPS = ((2, 3), (3, 5), (4, 7), (5, 9))
"""Orders through and across, from step to step."""
THROUGH_ONLY, ACROSS_ONLY = [(t, 3) for t, _ in STEPS], [(2, a) for _, a in STEPS]
RICHEST, POORER = (8, 11), (4, 5)


def checks() -> list[Check]:
    return _both(_patch) + _both(_rigid) + _both(_along) + _both(_section)


def negative_controls() -> Controls:
    return {
        "the computed material a thousandth stiffer": _both(_patch, stiffer=1.001),
        "rigid motions bent, by a tenth at a metre from the end": _both(_rigid, bent=0.1),
        "columns of order 1": _both(_along, order=1),
        "orders raised through the bar alone": _both(_section, computed=THROUGH_ONLY),
        "orders raised across the bar alone": _both(_section, computed=ACROSS_ONLY),
        "a space of orders 4 × 5 taken for the richest": _both(_section, richest=POORER),
    }


def _both(part: Callable[..., list[Check]], **wrong: object) -> list[Check]:
    return [check for family in FAMILIES for check in part(family, **wrong)]


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


def _energy(system: System, u: Array) -> float:
    parts = zip(system.stiffness, system.starts, strict=False)
    shares = (u[a : a + len(matrix)] @ matrix @ u[a : a + len(matrix)] for matrix, a in parts)
    return float(sum(shares))


def _linear(system: System, gradient: Array, width: float) -> Array:
    """Nodal values of u = gradient · (x, y, z); y is half the width times P1."""
    p = places(system)
    u = np.zeros(p.component.size)
    for i in range(3):
        mine = p.component == i
        u += mine * (p.degree == 0) * (gradient[i, 0] * p.x + gradient[i, 2] * p.z)
        u += mine * (p.degree == 1) * gradient[i, 1] * width / 2
    return u


def _patch(family: Family, *, stiffer: float = 1.0) -> list[Check]:
    bar = scaled(CUT, e_factor=stiffer, g_factor=stiffer)
    system = _system(bar, family, Orders(columns=12, along=4, through=3, across=3, rings=2))
    stiffness = BLANK.wood.stiffness()
    cases = {f"∂u{'xyz'[i]}/∂{'xyz'[j]}": [(i, j, 1.0)] for i, j in GRADIENTS[family]}
    cases["all at once"] = [(i, j, 1.0 + i + 3 * j) for i, j in GRADIENTS[family]]
    found = []
    for name, entries in cases.items():
        gradient, strain = np.zeros((3, 3)), np.zeros(6)
        for i, j, value in entries:
            gradient[i, j] = value
            strain[VOIGT[i, j]] += value
        exact = float(strain @ stiffness @ strain) * CUT.volume
        computed = _energy(system, _linear(system, gradient, BLANK.width))
        found.append(
            Check(
                key=f"{family}: constant {name}, energy over exact",
                expected=1.0,
                computed=computed / exact,
                tolerance=1e-9,
                unit="",
                source=PATCH,
                tag="published",
                reason="rounding only",
            )
        )
    return found


def _rigid(family: Family, *, bent: float = 0.0) -> list[Check]:
    system = _system(CUT, family, Orders(columns=12, along=4, through=3, across=3, rings=2))
    first = _frequencies(system, BLANK.width, 1)[0]
    found = []
    for name, motion in rigid_motions(system, BLANK.width).items():
        moved = motion * (1.0 + bent * places(system).x ** 2)
        squared = abs(_energy(system, moved)) / float(moved @ (system.mass @ moved))
        found.append(
            Check(
                key=f"rigid motion {name}, ω² over that of the first mode",
                expected=0.0,
                computed=squared / (2 * np.pi * first) ** 2,
                tolerance=1e-6,
                unit="",
                source=PATCH,
                tag="published",
                reason="what the project asks; rounding leaves some 1e-9",
            )
        )
    return found


def _frequencies(system: System, width: float, count: int) -> Array:
    rigid = np.stack(list(rigid_motions(system, width).values()), axis=1)
    assert not system.mesh.half
    free = np.ones(system.size - system.starts[-1], dtype=bool)
    factor = factorise(system)
    search = Search(system.mass, factor.held(free, rigid), rigid, smooth_motions(system))
    return np.asarray(np.sqrt(lowest(factor, [search], count=count)[0].values) / (2 * np.pi))


def _errors(family: Family, ladder: list[Orders], finest: Orders) -> Array:
    """Relative errors of the three lowest modes, shape (len(ladder), 3)."""
    width = BLANK.width
    best = _frequencies(_system(GENTLE, family, finest), width, 3)
    rows = [_frequencies(_system(GENTLE, family, orders), width, 3) for orders in ladder]
    return np.array(rows) / best - 1.0


def _along(family: Family, *, order: int = 2) -> list[Check]:
    base = Orders(columns=24, along=order, through=3, across=3, rings=1)
    ladder = [base, replace(base, columns=48)]
    coarse, fine = _errors(family, ladder, replace(base, along=6))
    return [
        Check(
            key=f"{family}: order of convergence along the bar, mode {mode}",
            expected=4.0,
            computed=float(np.log2(coarse[mode - 1] / fine[mode - 1])),
            tolerance=0.6,
            unit="",
            source=ORDERS,
            tag="from memory",
            reason="orders are met in the limit; see above for torsion",
        )
        for mode in (1, 2, 3)
    ]


def _section(
    family: Family,
    *,
    computed: Sequence[tuple[int, int]] = STEPS,
    richest: tuple[int, int] = RICHEST,
) -> list[Check]:
    base = Orders(columns=12, along=4, through=2, across=3, rings=1)
    ladder = [replace(base, through=t, across=a) for t, a in computed]
    errors = _errors(family, ladder, replace(base, through=richest[0], across=richest[1]))
    found = [
        Check(
            key=f"{family}: largest share of the error left, orders {t} × {a}",
            expected=0.0,
            computed=float((errors[k] / errors[k - 1]).max()),
            tolerance=0.25,
            unit="",
            source="own: exponential convergence of polynomials, fourfold per step asked",
            tag="common practice, no source",
            reason="a spectral method that gains less per step is broken somewhere",
        )
        for k, (t, a) in enumerate(STEPS)
        if k
    ]
    below = float(max(0.0, -errors.min()))
    return [
        *found,
        Check(
            key=f"{family}: deepest fall below the richest space, relative",
            expected=0.0,
            computed=below,
            tolerance=1e-9,
            unit="",
            source=ORDERS,
            tag="from memory",
            reason="rounding only",
        ),
    ]
