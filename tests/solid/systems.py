"""Small systems of equations that the tests of the solid share."""

from __future__ import annotations

import numpy as np

from barmodel.solid.basis import across_functions
from barmodel.solid.mesh import Orders, build_mesh
from barmodel.solid.system import System, assemble
from barmodel.undercut import Arch, Pocket
from tests.solid.bars import bar
from tests.woods import HARDWOOD

# Curved, with a vertical wall, and different left and right: every rule of the mesh at work.
BAR = bar(
    200,
    40,
    20,
    HARDWOOD,
    Arch(start=0.03, end=0.11, depth=0.006, fullness=2.5),
    Pocket(start=0.12, end=0.17, depth=0.007),
)
SMALL = Orders(columns=4, along=2, through=2, across=2, rings=1)


def system_of(family: str, orders: Orders = SMALL, the_bar=BAR) -> System:
    wood = the_bar.blank.wood
    return assemble(
        build_mesh(the_bar.profile, orders, stretch=3.0),
        across_functions(family, orders.across),
        width=the_bar.blank.width,
        stiffness=wood.stiffness(),
        density=wood.density,
    )


def dense(system: System) -> tuple[np.ndarray, np.ndarray]:
    K = np.zeros((system.size, system.size))
    for first, block in zip(system.starts, system.stiffness, strict=False):
        where = slice(first, first + block.shape[0])
        K[where, where] += block
    return K, system.mass @ np.eye(system.size)
