"""Bars the tests of the sheets draw: sensible sizes from A2 to C7, each with another cut."""

from __future__ import annotations

from barmodel.bar import Bar, Blank
from barmodel.holes import CordHole
from barmodel.pitch import Target
from barmodel.sheets import Job
from barmodel.undercut import Arch, Groove, Pocket, Shape
from barmodel.units import MM
from tests.woods import HARDWOOD

# note, length, width, thickness, arch begins at this share of the length, depth, node share
SIZES = (
    ("A2", 500.0, 70.0, 24.0, 0.16, 17.7, 0.175),
    ("C3", 460.0, 62.0, 23.5, 0.16, 17.0, 0.177),
    ("F3", 425.0, 60.0, 23.0, 0.18, 15.5, 0.182),
    ("G3", 400.0, 60.0, 22.0, 0.20, 13.0, 0.195),
    ("C4", 370.0, 54.0, 22.0, 0.23, 14.1, 0.192),
    ("G4", 325.0, 50.0, 22.0, 0.25, 13.5, 0.200),
    ("C5", 290.0, 46.0, 22.0, 0.26, 13.1, 0.204),
    ("C6", 228.0, 42.0, 22.0, 0.34, 12.3, 0.217),
    ("G6", 205.0, 40.0, 21.0, 0.36, 8.0, 0.220),
    ("C7", 187.0, 40.0, 20.0, 0.38, 5.0, 0.221),
)


def undercut(length: float, start: float, depth: float, kind: str) -> tuple[Shape, ...]:
    """A smooth arch, steps as a router leaves them, or hollows in a pocket. [m]"""
    if kind == "arch":
        return (Arch(start=start, end=length - start, depth=depth, fullness=3.0),)
    inner = start + (length / 2 - start) / 2
    if kind == "steps":
        return (
            Pocket(start=start, end=length - start, depth=depth / 2),
            Pocket(start=inner, end=length - inner, depth=depth / 2),
        )
    reach = (length / 2 - start) / 4
    return (
        Pocket(start=start, end=length - start, depth=depth / 2, corner_radius=depth),
        Groove(at=inner, width=reach, depth=depth / 4, section="dished", mirror=True),
        Groove(at=length / 2, width=reach, depth=depth / 3, section="dished"),
    )


def job_of(index: int, *, kind: str = "design", every: float = 10 * MM) -> Job:
    """A job for one of `SIZES`, with holes, nodes now and nodes when tuned."""
    note, length, width, thickness, share, depth, node = SIZES[index]
    length, width, thickness, depth = (v * MM for v in (length, width, thickness, depth))
    blank = Blank(length=length, width=width, thickness=thickness, wood=HARDWOOD)
    family = ("arch", "steps", "hollows")[index % 3]
    cuts = undercut(length, share * length, depth, family)
    nodes = (node * length, (1 - node) * length)
    now = (0.224 * length, 0.776 * length)
    holes = tuple(
        CordHole(x, height=thickness / 2.5, angle_degrees=angle)
        for x, angle in zip(nodes, (5.0, -5.0), strict=True)
    )
    return Job(
        name=note, aim=Bar(blank=blank, undercut=cuts), now=Bar(blank=blank, undercut=cuts[:1]),
        kind=kind, target=Target(note, a4_hz=442.0), wood="padauk", date="2026-03-14",
        nodes=nodes, nodes_now=now, holes=holes, every=every,
    )  # fmt: skip


G3_FILE = {
    "schema": "barmodel/bar/1",
    "name": "G3",
    "blank": {"length_mm": 400.0, "width_mm": 60.0, "thickness_mm": 22.0},
    "wood": {"density_kg_m3": 850.0, "e_long_gpa": 17.0},
    "target": {"note": "G3", "a4_hz": 442.0, "ratios": [1.0, 4.0, 10.0]},
    "design": [
        {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}
    ],
    "log": [
        {"id": 1, "kind": "cut", "date": "2026-03-01",
         "entries": [{"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 4.0}]},
        {"id": 2, "kind": "cut", "date": "2026-03-02",
         "entries": [{"shape": "ends", "length_mm": 1.0}]},
    ],
}  # fmt: skip
"""A bar file with a design, a cut and shortened ends."""
