"""Each example runs and gives its number. The workshop and its bars are made up."""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barmodel.files import bar_as_designed, blank_bar, read_bar_file, target_of
from barmodel.modes import solve
from barmodel_cli.app import call

FOLDER = Path(__file__).parent.parent / "examples"
BARS = sorted(FOLDER.rglob("*.bar.json"))


@pytest.mark.parametrize("path", BARS, ids=lambda path: path.name)
def test_designed_bar_meets_its_target(path: Path) -> None:
    document = read_bar_file(path)
    bar, target = bar_as_designed(document), target_of(document.target)
    modes = solve(bar, count=len(target.ratios), families=["bending"])
    # half a cent is what a design promises; the rest is the width of rounding to a nanometre
    assert np.abs(target.cents(modes.bending_hz)).max() < 0.5
    assert bar.profile.least_thickness()[0] > 6e-3
    assert document.blank.mass_g == pytest.approx(blank_bar(document).mass * 1e3)


def test_modes_of_the_lowest_bar(capsys: pytest.CaptureFixture[str]) -> None:
    path = FOLDER / "school_marimba" / "F3.bar.json"
    assert call(["modes", str(path), "--designed", "--json"]) == 0
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    f3 = 442 * 2 ** (-16 / 12)
    assert answer["bending_hz"][:3] == pytest.approx([f3, 4 * f3, 10 * f3], rel=3e-4)
    # still points of mode 1 lie further out than the 22.4 % of a uniform bar
    assert answer["nodes_mm"][0][0] < 0.21 * 372


def test_there_are_examples() -> None:
    assert [path.name.split(".")[0] for path in BARS] == ["C4", "F3", "F5"]


def test_the_walk_brings_its_bar_home(tmp_path: Path) -> None:
    """With the plank's own wood, its missed cuts and noisy strikes unknown to the commands."""
    specification = importlib.util.spec_from_file_location("walk", FOLDER / "one_bar" / "walk.py")
    assert specification is not None
    assert specification.loader is not None
    module = importlib.util.module_from_spec(specification)
    sys.modules["walk"] = module
    specification.loader.exec_module(module)
    shop = module.walk(tmp_path)
    document = read_bar_file(tmp_path / "a3.bar.json")
    cents = target_of(document.target).cents(solve(shop.bar(), families=["bending"]).bending_hz)
    assert (np.array([-1.0, -3.0, -10.0]) <= cents).all()
    assert (cents <= np.array([3.0, 6.0, 15.0])).all()
    readings = sum(line.startswith("hear strike") for line, _ in shop.said)
    assert readings == 2  # as the README says
    assert "finished" in shop.said[-2][1]
    for name in ("design", "map", "log"):
        assert (tmp_path / f"a3-{name}.png").stat().st_size > 10_000
