"""The solid against three-dimensional finite elements: blanks, arches, pockets, hollows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from barmodel.bar import Bar
from barmodel.solid import solve
from validation.check import Check
from validation.kit.compare import in_cents
from validation.kit.reference_bars import load_cases, reference_bar

TITLE = "The solid against three-dimensional finite elements"
ABOUT = """\
Every mode of every bar of `reference.json`: V vertical, T torsional, La lateral, A axial."""

SOURCE = (
    "own: 27-node hexahedra on the true underside, graded at walls, cross-checked with a second "
    "finite-element code (reference.json)"
)
VERTICAL = ("V1", "V2", "V3")


def checks() -> list[Check]:
    return _checks(load_cases(), softer=1.0)


def negative_control() -> list[Check]:
    """All shear moduli two per cent down, first bars only."""
    return _checks(load_cases()[:3], softer=0.98)


def _checks(cases: list[dict[str, Any]], softer: float) -> list[Check]:
    return [check for case in cases for check in _case(case, softer)]


def _case(case: dict[str, Any], softer: float) -> list[Check]:
    bar = reference_bar(case)
    if softer != 1.0:
        bar = _softened(bar, softer)
    modes = solve(bar, count=4)
    axial = solve(bar, count=5, families=["bending"]) if "A1" in case["hz"] else modes
    found = []
    for label, hz in case["hz"].items():
        source = axial if label == "A1" else modes
        cents, reason = _limit(case, label)
        found.append(
            in_cents(
                f"{case['id']}, {label}",
                hz,
                source[label].hz,
                cents=cents,
                source=SOURCE,
                tag="recomputed independently",
                reason=reason,
            )
        )
    return found


def _softened(bar: Bar, factor: float) -> Bar:
    return replace(bar, blank=replace(bar.blank, wood=bar.blank.wood.scaled(g_factor=factor)))


def _limit(case: dict[str, Any], label: str) -> tuple[float, str]:
    """Cents allowed, by what the project asks of the solid."""
    shape = case["geometry"]
    smooth = shape["shape"] in ("blank", "parabola")
    metal = case["material"]["E"][0] == case["material"]["E"][1]
    short = shape["L"] < 200.0
    if label in VERTICAL:
        if not smooth:
            return (4.0, "walls and hollows, metal") if metal else (3.0, "walls and hollows, wood")
        if short and label == "V3":
            return 2.0, "smooth, third mode of the shortest bars"
        return 1.0, "smooth"
    if label in ("T1", "T2", "La1"):
        return (2.0, "torsional and lateral, smooth") if smooth else (5.0, "the same, not smooth")
    return (3.0, "beyond what is tuned, smooth") if smooth else (6.0, "beyond what is tuned")
