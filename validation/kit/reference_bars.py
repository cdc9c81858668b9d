"""The bars of `solid_reference/reference.json` as bars of the package."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.undercut import Arch, Groove, Pocket, Shape
from barmodel.undercut.piece import Piece, Values
from barmodel.units import GPA, MM
from barmodel.wood import Wood

FILE = Path(__file__).parents[1] / "solid_reference" / "reference.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class RampedPocket(Shape):
    """A flat floor that rises to the underside by half a cosine at both ends; only met here."""

    parameters: ClassVar[tuple[str, ...]] = ("start", "end", "depth", "ramp")
    start: float
    end: float
    depth: float
    ramp: float

    def build(self, **values: Any) -> tuple[Piece, ...]:
        start, end, depth, ramp = (values[name] for name in self.parameters)

        def rising(x: Values) -> Values:
            return depth * (1 - np.cos(np.pi * (x - start) / ramp)) / 2

        def falling(x: Values) -> Values:
            return depth * (1 - np.cos(np.pi * (end - x) / ramp)) / 2

        return (
            Piece(start, start + ramp, rising),
            Piece(start + ramp, end - ramp, lambda x: depth + 0 * x),
            Piece(end - ramp, end, falling),
        )


def load_cases() -> list[dict[str, Any]]:
    """Cases as in the file."""
    return list(json.loads(FILE.read_text(encoding="utf-8"))["cases"])


def reference_bar(case: dict[str, Any]) -> Bar:
    """Build the bar of one case."""
    shape = case["geometry"]
    blank = Blank(
        length=shape["L"] * MM,
        width=shape["b"] * MM,
        thickness=shape["h0"] * MM,
        wood=_material(case["material"]),
    )
    return Bar(blank=blank, undercut=_cuts(shape))


def _material(row: dict[str, Any]) -> Wood:
    nu, shear = row["nu"], row["G"]
    along, across, through = (e * GPA for e in row["E"])
    return Wood(
        density=row["rho"],
        e_long=along,
        e_width=across,
        e_thick=through,
        g_long_width=shear["xy"] * GPA,
        g_long_thick=shear["xz"] * GPA,
        g_width_thick=shear["yz"] * GPA,
        nu_long_width=nu["xy"],
        nu_long_thick=nu["xz"],
        nu_width_thick=nu["yz"],
    )


def _cuts(shape: dict[str, Any]) -> tuple[Shape, ...]:
    if shape["shape"] == "blank":
        return ()
    length, depth = shape["L"] * MM, (shape["h0"] - shape["hc"]) * MM
    start, end = shape["x1"] * MM, (shape["L"] - shape["x1"]) * MM
    if shape["shape"] == "parabola":
        return (Arch(start=start, end=end, depth=depth, fullness=2.0),)
    if shape["shape"] == "step":
        return (Pocket(start=start, end=end, depth=depth),)
    assert shape["shape"] == "three-groove", shape["shape"]
    places = ((0.5, 0.65), (0.5 - 0.19, 0.45), (0.5 + 0.19, 0.45))
    hollows = tuple(
        Groove(at=at * length, width=0.12 * length, depth=share * depth, section="dished")
        for at, share in places
    )
    return (RampedPocket(start=start, end=end, depth=0.35 * depth, ramp=0.05 * length), *hollows)
