"""Timoshenko beam finite elements: fast, and with the aware section near the solid."""

from barmodel.beam.derivatives import ThicknessSensitivity, derivative, thickness_sensitivity
from barmodel.beam.modes import BeamModes, solve_beam

__all__ = [
    "BeamModes",
    "ThicknessSensitivity",
    "derivative",
    "solve_beam",
    "thickness_sensitivity",
]
