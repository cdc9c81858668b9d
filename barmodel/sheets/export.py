"""The profile for other programs: SVG and DXF drawings in millimetres, CSV with units."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np

from barmodel.atomic import replaced, write_atomically
from barmodel.errors import MissingExtraError
from barmodel.sheets.job import Job
from barmodel.undercut.outline import underside
from barmodel.undercut.piece import Array
from barmodel.units import MM

STEP = 0.25 * MM
"""Distance between points of the outline; straight lines then stay within a few micrometres. [m]"""


def outline_mm(job: Job) -> tuple[Array, Array]:
    """Underside as the files hold it: x from the left end and height over the blank's underside,
    shape (n,). [mm], [mm]

    The flat top lies at the height of the blank's thickness.
    """
    x, h = underside(job.aim.profile, step=STEP)
    return x / MM, (job.aim.blank.thickness - h) / MM


def write_csv(job: Job, path: str | Path) -> None:
    """Write to `path` position, depth and thickness of a job's outline, walls as two rows. [mm]"""
    x, depth = outline_mm(job)
    stock = job.aim.blank.thickness / MM
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(("x_mm", "depth_mm", "thickness_mm"))
    rows.writerows(
        (f"{a:.4f}", f"{d:.4f}", f"{stock - d:.4f}") for a, d in zip(x, depth, strict=True)
    )
    write_atomically(path, text.getvalue())


def write_svg(job: Job, path: str | Path) -> None:
    """Write a job's side view to `path`, true to size.

    One user unit is one millimetre; the flat top lies at y = 0.
    """
    x, depth = outline_mm(job)
    length, stock = job.length / MM, job.aim.blank.thickness / MM
    points = [(0.0, 0.0), (length, 0.0)]
    points += [(float(a), stock - float(d)) for a, d in zip(x[::-1], depth[::-1], strict=True)]
    outline = " ".join(f"{a:.4f},{b:.4f}" for a, b in points)
    parts = [f'<polygon id="outline" points="{outline}"/>']
    for name, places in _lines(job).items():
        parts += [f'<line class="{name}" x1="{a:.4f}" y1="0" x2="{a:.4f}" y2="{stock:.4f}"/>'
                  for a in places]  # fmt: skip
    for hole in job.holes:
        front, _ = hole.ends(job.aim.blank.width)
        parts.append(f'<circle class="hole" cx="{front / MM:.4f}" cy="{hole.height / MM:.4f}" '
                     f'r="{hole.diameter / MM / 2:.4f}"/>')  # fmt: skip
    body = "\n".join(parts)
    write_atomically(
        path,
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{length:.4f}mm" height="{stock:.4f}mm" '
        f'viewBox="0 0 {length:.4f} {stock:.4f}">\n<title>{escape(job.name)}</title>\n'
        f'<g fill="none" stroke="black" stroke-width="0.1">\n{body}\n</g>\n</svg>\n',
    )


def _lines(job: Job) -> dict[str, list[float]]:
    """Upright marks by meaning. [mm]"""
    return {
        "node": [x / MM for x in job.nodes],
        "centre": [job.length / MM / 2],
        "undercut-limit": [x / MM for x in job.span or ()],
        "saw": [(off if left else job.length - off) / MM
                for off, left in zip(job.trim, (True, False), strict=True) if off],
    }  # fmt: skip


def write_dxf(job: Job, path: str | Path) -> None:
    """Write a job's outline, marks and holes to `path` as DXF R2010 in millimetres.

    There is one layer for each meaning. The flat top lies at y = 0, the wood below it; the top
    view lies above.

    Raises
    ------
    MissingExtraError
        If the optional extra `cad` is not installed.
    """
    try:
        from ezdxf import filemanagement, units
    except ImportError:
        raise MissingExtraError(
            "DXF needs the package ezdxf, which is not installed; install the extra: "
            "pip install 'barmodel[cad]', or export SVG or CSV instead"
        ) from None
    drawing = filemanagement.new("R2010")
    drawing.units = units.MM
    for name, color in (("OUTLINE", 7), ("NODE", 5), ("CENTRE", 3), ("UNDERCUT-LIMIT", 1),
                        ("HOLE", 6), ("TOP-VIEW", 8), ("SAW", 2)):  # fmt: skip
        drawing.layers.add(name, color=color)
    space = drawing.modelspace()
    x, depth = outline_mm(job)
    stock = job.aim.blank.thickness / MM
    under = np.column_stack([x[::-1], depth[::-1] - stock])
    points = [(0.0, 0.0), (job.length / MM, 0.0), *map(tuple, under.tolist())]
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": "OUTLINE"})
    for name, places in _lines(job).items():
        for place in places:
            space.add_line((place, 0.0), (place, -stock), dxfattribs={"layer": name.upper()})
    _holes_and_top(space, job)
    with replaced(path) as part:
        drawing.saveas(part)


def _holes_and_top(space: Any, job: Job) -> None:
    width, length = job.aim.blank.width / MM, job.length / MM
    base = 20.0
    corners = [(0.0, base), (length, base), (length, base + width), (0.0, base + width)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "TOP-VIEW"})
    for hole in job.holes:
        front, rear = (place / MM for place in hole.ends(job.aim.blank.width))
        space.add_circle((front, -hole.height / MM), hole.diameter / MM / 2,
                         dxfattribs={"layer": "HOLE"})  # fmt: skip
        space.add_line((front, base), (rear, base + width), dxfattribs={"layer": "HOLE"})
