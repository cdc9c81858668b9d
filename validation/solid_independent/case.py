"""The solid against scikit-fem on three bars of our own choosing."""

from __future__ import annotations

import importlib.util
import json
from dataclasses import replace
from pathlib import Path

from barmodel.bar import Bar
from barmodel.solid import solve
from validation.check import Check
from validation.kit.compare import in_cents
from validation.solid_independent.bars import SUBJECTS

TITLE = "The solid against a general finite-element library"
ABOUT = """\
Three bars that nothing was tuned to: one unsymmetric, one with vertical walls, one of aluminium.
scikit-fem's 27-node hexahedra on three meshes each (up to 60,000 unknowns), extrapolated from the
finer two; the fine meshes take minutes, so their answers are kept in `data.json` with the script
that makes them (`python -m validation.solid_independent.make`), and the coarse mesh of one bar is
solved again here to show that the script still gives what the file says. From the last mesh to the
extrapolated value is 0.4 cent at most, the error of the latter estimated at 0.1 (0.2 at walls)."""

FILE = Path(__file__).with_name("data.json")
RERUN = "lopsided"
LIMITS = {  # cents: vertical modes; torsional and lateral ones
    "lopsided": (1.0, 2.0, "smooth"),
    "pocketed": (3.0, 5.0, "vertical walls"),
    "metal": (1.0, 2.0, "smooth"),
}


def skipped() -> str:
    """Why this case cannot run here."""
    missing = importlib.util.find_spec("skfem") is None
    return "scikit-fem is not installed (extra 'dev')" if missing else ""


def checks() -> list[Check]:
    return [*_package(softer=1.0), *_again(heavier=1.0)]


def negative_control() -> list[Check]:
    """All shear moduli three per cent down; the repeated mesh a thousandth heavier."""
    return [*_package(softer=0.97), *_again(heavier=1.001)]


def _package(softer: float) -> list[Check]:
    data = json.loads(FILE.read_text(encoding="utf-8"))
    found = []
    for name, subject in SUBJECTS.items():
        modes = solve(_scaled(subject.bar, g_factor=softer), count=3)
        vertical, other, reason = LIMITS[name]
        found += [
            in_cents(
                f"{name}, {label}",
                hz,
                modes[label].hz,
                cents=vertical if label.startswith("V") else other,
                source=f"{data['made_with']}; {subject.title}",
                tag="recomputed independently",
                reason=f"what the project asks of the solid, {reason}",
            )
            for label, hz in data[name]["extrapolated"].items()
        ]
    return found


def _again(heavier: float) -> list[Check]:
    from validation.solid_independent.make import run  # scikit-fem takes a second to import

    data = json.loads(FILE.read_text(encoding="utf-8"))
    subject = SUBJECTS[RERUN]
    bar = _scaled(subject.bar, density_factor=heavier)
    modes, _ = run(replace(subject, bar=bar), level=0)
    return [
        in_cents(
            f"{RERUN}, coarse mesh again, {label}",
            hz,
            modes[label],
            cents=0.001,
            source=data["made_with"],
            tag="recomputed independently",
            reason="the same mesh and library; only rounding may differ",
        )
        for label, hz in data[RERUN]["coarse"].items()
    ]


def _scaled(bar: Bar, **factors: float) -> Bar:
    return replace(bar, blank=replace(bar.blank, wood=bar.blank.wood.scaled(**factors)))
