"""SVG, DXF and CSV, read back by readers of their own kind, are the model's profile."""

from __future__ import annotations

import builtins
import csv
import itertools
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from barmodel.errors import FileError, MissingExtraError
from barmodel.sheets import Job, write_csv, write_dxf, write_pdf, write_svg
from tests.sheets.bars import job_of

WITHIN = 0.01
"""[mm]"""


def check_underside(job: Job, x: np.ndarray, thickness: np.ndarray) -> None:
    """Straight lines between the points follow the underside, walls stand where they are."""
    order = np.argsort(x, kind="stable")
    x, thickness = x[order], thickness[order]
    assert x[0] == pytest.approx(0.0, abs=WITHIN)
    assert x[-1] == pytest.approx(job.length * 1e3, abs=WITHIN)
    edges = job.aim.profile.edges
    places = np.concatenate([np.linspace(a, b, 300)[1:-1] for a, b in itertools.pairwise(edges)])
    true = job.aim.profile.thickness(places).real * 1e3
    assert np.abs(np.interp(places * 1e3, x, thickness) - true).max() < WITHIN
    for wall in job.aim.profile.walls * 1e3:
        assert np.sum(np.abs(x - wall) < WITHIN) >= 2


def polyline_of_dxf(path: Path) -> dict[str, list[tuple[float, float]]]:
    """Corners of every light polyline by layer, from the group codes of the file itself."""
    rows = path.read_text().split("\n")
    pairs = [(int(code), value.strip()) for code, value in zip(rows[::2], rows[1::2], strict=False)]
    found: dict[str, list[tuple[float, float]]] = {}
    layer, inside, x = "", False, 0.0
    for code, value in pairs:
        if code == 0:
            inside = value == "LWPOLYLINE"
        elif inside and code == 8:
            layer = value
            found[layer] = []
        elif inside and code == 10:
            x = float(value)
        elif inside and code == 20:
            found[layer].append((x, float(value)))
    return found


@pytest.mark.parametrize("index", [0, 1, 2])
def test_dxf(tmp_path: Path, index: int) -> None:
    job, path = job_of(index), tmp_path / "bar.dxf"
    write_dxf(job, path)
    outline = np.array(polyline_of_dxf(path)["OUTLINE"])
    under = outline[2:]  # after the two corners of the flat top
    check_underside(job, under[::-1, 0], -under[::-1, 1])
    head = path.read_text()
    assert "AC1024" in head, "R2010"
    rows = head.split("\n")
    assert rows[rows.index("$INSUNITS") + 2].strip() == "4", "millimetres"


@pytest.mark.parametrize("index", [0, 1, 2])
def test_svg(tmp_path: Path, index: int) -> None:
    job, path = job_of(index), tmp_path / "bar.svg"
    write_svg(job, path)
    root = ET.parse(path).getroot()
    width, height = (float(root.attrib[name].removesuffix("mm")) for name in ("width", "height"))
    assert [float(v) for v in root.attrib["viewBox"].split()] == [0.0, 0.0, width, height]
    assert width == pytest.approx(job.length * 1e3, abs=WITHIN)
    polygon = root.find(".//{*}polygon[@id='outline']")
    assert polygon is not None
    points = np.array([[float(v) for v in p.split(",")] for p in polygon.attrib["points"].split()])
    check_underside(job, points[2:][::-1, 0], points[2:][::-1, 1])


def test_csv(tmp_path: Path) -> None:
    job, path = job_of(2), tmp_path / "bar.csv"
    write_csv(job, path)
    with path.open() as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == ["x_mm", "depth_mm", "thickness_mm"]
    x, depth, thickness = (np.array([float(row[k]) for row in rows]) for k in rows[0])
    check_underside(job, x, thickness)
    assert depth + thickness == pytest.approx(np.full_like(x, 23.0), abs=2e-4)


def test_dxf_without_the_extra_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: object, **kind: object) -> object:
        if name.split(".")[0] == "ezdxf":
            raise ImportError(name)
        return real(name, *rest, **kind)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(MissingExtraError, match=r"barmodel\[cad\]"):
        write_dxf(job_of(0), tmp_path / "bar.dxf")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_named_and_nothing_is_left(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="does not exist"):
        write_svg(job_of(0), tmp_path / "none" / "bar.svg")
    with pytest.raises(FileError, match="does not exist"):
        write_pdf(job_of(9), tmp_path / "none" / "bar.pdf")
    assert list(tmp_path.iterdir()) == []
