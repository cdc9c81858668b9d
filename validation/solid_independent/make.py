"""Make `data.json`: run with `python -m validation.solid_independent.make`, a minute or two."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
from skfem import __version__ as skfem_version

from validation.kit.hexahedra import Answer, Family, solve
from validation.solid_independent.bars import SUBJECTS, Subject

FILE = Path(__file__).with_name("data.json")
WANTED: dict[Family, dict[int, tuple[str, int]]] = {  # axis that moves most -> kind, how many
    "bending": {2: ("V", 3)},
    "torsion": {2: ("T", 2), 1: ("La", 1)},
}


def named(answer: Answer, family: Family) -> dict[str, float]:
    """Modes by kind: V vertical bending, T torsion, La lateral, each counted from 1."""
    found: dict[str, float] = {}
    axes = np.argmax(answer.share, axis=1)
    for axis, (kind, count) in WANTED[family].items():
        for number, hz in enumerate(answer.hz[axes == axis][:count], start=1):
            found[f"{kind}{number}"] = float(hz)
    return found


def run(subject: Subject, level: int) -> tuple[dict[str, float], int]:
    """Modes of both families on one mesh, and the larger number of unknowns."""
    grid, wood = subject.grid(level), subject.bar.blank.wood
    answers = {family: solve(grid, wood, family, count=5) for family in WANTED}
    modes = {k: v for family, answer in answers.items() for k, v in named(answer, family).items()}
    return modes, max(answer.unknowns for answer in answers.values())


def main() -> None:
    """Solve every subject on three meshes and extrapolate the finer two."""
    data: dict[str, object] = {
        "about": "scikit-fem, ElementHex2, on three meshes; extrapolated from the finer two. Hz.",
        "made_with": f"scikit-fem {skfem_version}, python -m validation.solid_independent.make",
    }
    for name, subject in SUBJECTS.items():
        levels = [run(subject, level) for level in range(3)]
        coarse, middle, fine = (modes for modes, _ in levels)
        best = {k: f + (f - middle[k]) / (subject.gain - 1.0) for k, f in fine.items()}
        data[name] = {
            "unknowns": [unknowns for _, unknowns in levels],
            "coarse": coarse,
            "middle": middle,
            "fine": fine,
            "extrapolated": best,
        }
        sys.stdout.write(f"{name}: {data[name]}\n")
    FILE.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
