"""The wood of most bars in the tests."""

from __future__ import annotations

from barmodel.wood import Wood

HARDWOOD = Wood(
    density=850.0,
    e_long=17e9,
    e_width=1.2e9,
    e_thick=2.0e9,
    g_long_width=1.4e9,
    g_long_thick=1.9e9,
    g_width_thick=0.45e9,
    nu_long_width=0.45,
    nu_long_thick=0.35,
    nu_width_thick=0.36,
)
"""A made-up hardwood: E/G as of rosewood, every constant in the middle of its range."""
