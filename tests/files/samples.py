"""Bar files to test with. The bars are made up."""

from __future__ import annotations

import copy
import json
from typing import Any

from barmodel.files import BarDocument

CONTRACT: dict[str, Any] = {
    "schema": "barmodel/bar/1",
    "name": "G3",
    "blank": {"length_mm": 400.0, "width_mm": 60.0, "thickness_mm": 22.0, "mass_g": None},
    "wood": {
        "species": None,
        "density_kg_m3": 850.0,
        "e_long_gpa": 17.0,
        "e_width_gpa": 1.2,
        "e_thick_gpa": 2.0,
        "g_long_width_gpa": 1.4,
        "g_long_thick_gpa": 1.9,
        "g_width_thick_gpa": 0.45,
        "nu_long_width": 0.45,
        "nu_long_thick": 0.35,
        "nu_width_thick": 0.36,
    },
    "target": {"note": "G3", "a4_hz": 442.0, "ratios": [1.0, 4.0, 10.0], "offset_cents": 0.0},
    "undercut": [],
    "design": [
        {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}
    ],
    "log": [],
}
"""The bar file as it was agreed; files like it must stay readable."""


def content(**changes: Any) -> dict[str, Any]:
    """The agreed file with some top-level fields replaced."""
    return copy.deepcopy(CONTRACT) | changes


def document(**changes: Any) -> BarDocument:
    return BarDocument.model_validate_json(json.dumps(content(**changes)))
