"""The made-up wood of more than one case."""

from __future__ import annotations

from barmodel.units import GPA
from barmodel.wood import Wood

HARDWOOD = Wood(
    density=850.0,
    e_long=17.0 * GPA,
    e_width=1.2 * GPA,
    e_thick=2.0 * GPA,
    g_long_width=1.4 * GPA,
    g_long_thick=1.9 * GPA,
    g_width_thick=0.45 * GPA,
    nu_long_width=0.45,
    nu_long_thick=0.35,
    nu_width_thick=0.36,
)
"""Stored answers were computed for it: it is not to move with the wood of the tests."""
