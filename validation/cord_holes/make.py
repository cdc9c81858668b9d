"""Make `data.json`: run with `python -m validation.cord_holes.make`, a few minutes."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
from skfem import __version__ as skfem_version

from validation.cord_holes.bars import DRILLED, SOLID, WOOD, Drilled
from validation.cord_holes.meshes import Bricks, plane_hz, shift_cents
from validation.kit.hexahedra import solve

FILE = Path(__file__).with_name("data.json")
PLANE = (8, 12)
"""Elements to a side of the squares around the holes, coarse and fine."""
BRICKS = ((4, 2), (6, 2))
"""The same, and elements across half the width."""


def plane_shift(bar: Drilled, fine: int) -> list[float]:
    """Cents by which the holes move modes 1 to 3 in plane stress."""
    return shift_cents(plane_hz(bar, fine, hole=False), plane_hz(bar, fine, hole=True)).tolist()


def solid_shift(bar: Drilled, fine: int, across: int) -> float:
    """Cents by which the holes move mode 1 in three dimensions."""
    first = []
    for hole in (False, True):
        answer = solve(Bricks(bar, fine, hole, across), WOOD, "bending", count=4)
        first.append(answer.hz[np.argmax(answer.share, axis=1) == 2][0])
    return float(shift_cents(first[0], first[1]))


def main() -> None:
    """Solve every bar with and without its holes, on a coarse and a fine mesh."""
    data: dict[str, object] = {
        "about": "What both holes do to modes 1 to 3 (plane) and to mode 1 (solid), in cents.",
        "made_with": f"scikit-fem {skfem_version}, python -m validation.cord_holes.make",
    }
    for name, bar in DRILLED.items():
        coarse, fine = (plane_shift(bar, count) for count in PLANE)
        found: dict[str, object] = {"plane_coarse": coarse, "plane": fine}
        if name in SOLID:
            found["solid_coarse"], found["solid"] = (solid_shift(bar, *mesh) for mesh in BRICKS)
        data[name] = found
        sys.stdout.write(f"{name}: {found}\n")
        sys.stdout.flush()
    FILE.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
