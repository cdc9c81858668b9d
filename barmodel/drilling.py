"""What holes for the cord do to the modes, and what a wrong one costs.

A hole takes no wood from top or underside, but the wood beside it must carry what the hole no
longer can: near a node of mode 1 that is mostly shear. On long bars shear hardly matters; on
short ones a hole is heard.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import GeometryError
from barmodel.holes import ACROSS, CordHole, check_hole
from barmodel.modes import ModeSet, solve
from barmodel.undercut.piece import Array
from barmodel.wood import Wood

BEAM = "beam"
"""Name of the model whose shapes are those of a beam."""
MODE_1_OFF, OTHERS_OFF = 0.17, (1.5, 2.0)
"""Error of `hole_shift`: share for mode 1, cents for modes 2 and 3."""
ACCURACY = (
    f"mode 1 to {100 * MODE_1_OFF:.0f} %, mode 2 to {OTHERS_OFF[0]:g} cents, "
    f"mode 3 of long bars to {OTHERS_OFF[1]:g}"
)
"""How far `hole_shift` was off, against meshed holes (`validation/cord_holes`)."""


LONG_ENOUGH = 0.24
"""On shorter bars the estimate is no use for mode 3 (`validation/cord_holes`). [m]"""


def modes_told(length: float) -> int:
    """How many modes `hole_shift` is good for.

    Parameters
    ----------
    length : float
        Of the bar. [m]
    """
    return 3 if length >= LONG_ENOUGH else 2


def estimate_error(shift_cents: Array) -> Array:
    """How far `hole_shift` may be off in the modes it is good for. [cent]

    Examples
    --------
    >>> estimate_error(np.array([-20.0, -40.0, -10.0])).round(2).tolist()
    [3.4, 1.5, 2.0]
    """
    known = np.array([MODE_1_OFF * abs(float(cents)) for cents in shift_cents[:1]])
    return np.concatenate([known, OTHERS_OFF])[: shift_cents.size]


def hole_shift(bar: Bar, modes: ModeSet, holes: Sequence[CordHole]) -> Array:
    """Cents by which holes move the bending modes of a bar.

    By Rayleigh's quotient in forces, with bending moment M and shear force Q of the mode without
    holes,

        f'²/f² = 1 / ((1 − m_lost) (1 + U_hole/U)),

    where U_hole is the energy of the holes under the stresses of M and Q at their place (see
    `plate_hole`), U that of the mode, and m_lost the share of kinetic energy drilled away.

    Parameters
    ----------
    bar : Bar
    modes : ModeSet
        Its modes without holes. Of the solid's only the number is used: along the middle of the
        top they show the bending across the width as well, which no beam theory knows.
    holes : sequence of CordHole

    Returns
    -------
    ndarray, shape (k,)
        Negative when the holes flatten. [cents]

    Notes
    -----
    Compared with 2-D finite elements that mesh the hole, in one wood (holes of 4.8 and 6.4 mm,
    bars of 22 to 23.5 mm, 135 to 460 mm long, 8 cases, `validation/cord_holes`): mode 1 within
    12 % or 0.2 cents with the hole at mid thickness, within 17 % with it an eighth of the
    thickness off; mode 2 within 1.5 cents; mode 3 within 2 cents on bars of 240 mm and more. On
    shorter ones mode 3 is off by more, even in sign: the formula is no use there. Two bars solved
    in three dimensions have mode 1 within 3 % (160 mm) and 0.2 cents (360 mm).
    """
    shift = np.zeros(modes.bending_hz.size)
    if not holes:
        return shift
    for hole in holes:
        check_hole(bar, hole)
    if modes.model != BEAM:
        modes = solve(bar, model="beam", count=shift.size)
    for k in range(shift.size):
        moment, shear, energy = _forces(bar, modes, k)
        lost = moving = 0.0
        for hole in holes:
            work, gone = _one_hole(bar, modes, k, hole, moment, shear)
            lost += work
            moving += gone
        shift[k] = 600.0 * math.log2((1.0 - moving / energy) ** -1.0 / (1.0 + lost / energy))
    return shift


def plate_hole(wood: Wood) -> tuple[float, float]:
    """Energy of a small round hole in a wide orthotropic plate, over that of its own area.

    The plate lies along (1) and through (2) the bar. Removing the hole adds, for a stress σ
    along or τ in shear far away, the energy A·b·s·σ²/2 with

        s_along = (1 + n)/E1,
        s_shear = 1/G + n/E1 + n'/E2 + 2·(1/√(E1·E2) − ν12/E1),

    n = √(2(√(E1/E2) − ν12) + E1/G), n' = n·√(E2/E1).

    Returns
    -------
    s_along, s_shear : float
        [1/Pa]

    Notes
    -----
    1 + n is the stress concentration beside the hole (S. G. Lekhnitskii, Anisotropic Plates,
    1968, from memory). s_shear follows from the same solution by the displacement of the edge of
    the hole (recomputed here); isotropic plates give the known 3/E and 8/E.

    Examples
    --------
    >>> metal = Wood.from_isotropic(e=70e9, nu=0.33, density=2700.0)
    >>> [round(s * 70e9, 6) for s in plate_hole(metal)]
    [3.0, 8.0]
    """
    e1, e2, g, nu = wood.e_long, wood.e_thick, wood.g_long_thick, wood.nu_long_thick
    n = math.sqrt(2.0 * (math.sqrt(e1 / e2) - nu) + e1 / g)
    across = n * math.sqrt(e2 / e1)
    s_along = (1.0 + n) / e1
    s_shear = 1.0 / g + n / e1 + across / e2 + 2.0 * (1.0 / math.sqrt(e1 * e2) - nu / e1)
    return s_along, s_shear


def support_motion(modes: ModeSet, at: float) -> tuple[float, float]:
    """Distance of a place from the nearest node of mode 1, and how much it moves there.

    Parameters
    ----------
    modes : ModeSet
    at : float
        Place of the support. [m]

    Returns
    -------
    distance : float
        Positive when the place lies nearer the middle of the bar than the node. [m]
    motion : float
        Amplitude over that of the middle of the bar, in mode 1. [1]
    """
    nodes = modes.nodes[0]
    if nodes.size == 0:
        raise GeometryError("mode 1 has no node on this bar; check its sizes")
    middle = float(modes.x[-1]) / 2
    nearest = float(nodes[np.argmin(np.abs(nodes - at))])
    shape = modes.deflection[0]
    motion = abs(np.interp(at, modes.x, shape)) / abs(np.interp(middle, modes.x, shape))
    return abs(nearest - middle) - abs(at - middle), float(motion)


def _forces(bar: Bar, modes: ModeSet, k: int) -> tuple[Array, Array, float]:
    """Bending moment and shear force along the bar, and twice the mode's energy, over ω².

    By the balance of the inertia of a free bar: Q' = −ρA·w, M' = Q + ρI·w'. The flat top and the
    curved middle line part only by rotary terms, which short arches leave small.
    """
    x, w = modes.x, modes.deflection[k]
    width, density = bar.blank.width, bar.blank.wood.density
    h = bar.profile.thickness(x).real
    slope = np.gradient(w, x)
    area, second = density * width * h, density * width * h**3 / 12.0
    shear = -_running(area * w, x)
    # what is left at the far end is the mesh's own unbalance; spread it so that both ends are free
    shear -= shear[-1] * x / x[-1]
    moment = _running(shear + second * slope, x)
    moment -= moment[-1] * x / x[-1]
    energy = float(np.trapezoid(area * w * w + second * slope * slope, x))
    omega = 2.0 * math.pi * float(modes.bending_hz[k])
    return omega * moment, omega * shear, energy


def _running(values: Array, x: Array) -> Array:
    steps = np.diff(x) * (values[1:] + values[:-1]) / 2.0
    return np.concatenate([[0.0], np.cumsum(steps)])


def _one_hole(
    bar: Bar, modes: ModeSet, k: int, hole: CordHole, moment: Array, shear: Array
) -> tuple[float, float]:
    """Work a hole adds, and the kinetic energy it takes, both as `_forces` counts energy."""
    blank = bar.blank
    s_along, s_shear = plate_hole(blank.wood)
    slant = 1.0 / math.cos(math.radians(hole.angle_degrees))
    front, rear = hole.ends(blank.width)
    x = (front + rear) / 2 + ACROSS * (rear - front) / 2
    h = bar.profile.thickness(x).real
    m, q = np.interp(x, modes.x, moment), np.interp(x, modes.x, shear)
    off_axis = hole.height - h / 2
    tau = 1.5 * q / (blank.width * h) * (1.0 - (2.0 * off_axis / h) ** 2)
    gradient = m / (blank.width * h**3 / 12.0)
    radius = hole.diameter / 2
    # the stress of bending grows across the hole: its mean, and what goes beyond the mean
    along = (gradient * off_axis) ** 2 + (gradient * radius) ** 2 / 4.0
    volume = math.pi * radius**2 * blank.width * slant
    work = volume * float(np.mean(s_shear * tau**2 + s_along * along))
    w = np.interp(x, modes.x, modes.deflection[k])
    return work, blank.wood.density * volume * float(np.mean(w * w))
