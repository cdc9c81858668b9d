"""Every number that a command gives to programs is the library's, in the unit its name says."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from barmodel.bench import RISK, TOLERANCES, Goal, advise
from barmodel.cutmap import cut_map, predict
from barmodel.design import Request, depth_table, find, neighbours
from barmodel.files import bar_as_designed, bar_as_is, blank_bar, read_bar_file, target_of
from barmodel.fit import Taps, fit_wood
from barmodel.modes import solve
from barmodel.undercut import Groove
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import GPA, GRAM, MM
from barmodel_cli.bench.history import belief_of, history_of
from tests.cli.conftest import Bench


@pytest.fixture
def bar(bench: Bench) -> Bench:
    """A bar with a design, its first cut made."""
    bench.start()
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    assert bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "9").code == 0
    return bench


def answer(bench: Bench, *words: str) -> dict[str, Any]:
    found = bench(*words, "--json")
    assert found.code == 0, found.err
    told: dict[str, Any] = json.loads(found.out)
    assert told.pop("schema") == f"barmodel/{words[0]}/1"
    return told


def agree(told: Any, wanted: Any, where: str = "") -> None:
    """Compare to nine digits, with the same keys, nothing left out."""
    if isinstance(wanted, Mapping):
        assert set(told) == set(wanted), where
        for key, value in wanted.items():
            agree(told[key], value, f"{where}.{key}")
    elif isinstance(wanted, str | bool | None):
        assert told == wanted, where
    elif isinstance(wanted, int | float | np.number):
        assert told == pytest.approx(float(wanted), rel=1e-9, abs=1e-9), where
    else:
        assert len(told) == len(wanted), where
        for k, (one, other) in enumerate(zip(told, wanted, strict=True)):
            agree(one, other, f"{where}[{k}]")


def mm(values: Any) -> Any:
    return [np.asarray(row) / MM for row in values]


def test_map(bar: Bench) -> None:
    document = read_bar_file("G3.bar.json")
    found = cut_map(bar_as_is(document), CUTTERS["scraper20"], count=9)
    told = answer(bar, "map", "G3", "--stations", "9", "--csv", "m.csv")
    wanted: dict[str, Any] = {
        "x_mm": found.x / MM,
        "cents_per_mm": found.cents_per_mm,
        "cutter": "scraper20",
        "modes": ["V1", "V2", "V3"],
        "depth_mm": None,
        "mirror": True,
        "hz": found.hz,
        "cents": target_of(document.target).cents(found.hz),
        "zero_points_mm": mm(found.zero_points),
        "nodes_mm": mm(found.nodes),
        "strongest_mm": found.strongest / MM,
        "ends_cents_per_mm": found.trim_cents_per_mm,
        "model": found.model,
    }
    told["cents_per_mm"] = [
        [np.nan if c is None else c for c in row] for row in told["cents_per_mm"]
    ]
    best = told.pop("best")
    cut = CUTTERS["scraper20"].cut(at=best["at_mm"] * MM, depth=best["depth_mm"] * MM, mirror=True)
    after = predict(found.bar, [cut]).after.bending_hz
    agree(best["cents_then"], target_of(document.target).cents(after))
    nan = np.isnan(found.cents_per_mm)
    assert np.array_equal(np.isnan(np.array(told["cents_per_mm"])), nan)
    told["cents_per_mm"] = np.nan_to_num(told["cents_per_mm"])
    wanted["cents_per_mm"] = np.nan_to_num(found.cents_per_mm)
    agree(told, wanted)
    with open("m.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["x_mm"]) for row in rows] == pytest.approx(found.x / MM, abs=1e-3)
    third = [float(row["V3_cents_per_mm"] or "nan") for row in rows]
    assert third == pytest.approx(found.cents_per_mm[2], abs=1e-3, nan_ok=True)


def test_try(bar: Bench) -> None:
    document = read_bar_file("G3.bar.json")
    cut = Groove(at=150 * MM, width=12 * MM, depth=0.3 * MM, mirror=True)
    found = predict(bar_as_is(document), [cut], families=("bending", "torsion"))
    words = ("--at", "150", "--width", "12", "--depth", "0.3", "--torsion")
    told = answer(bar, "try", "G3", *words)
    assert told.pop("cut") == [
        {"mirror": True, "shape": "groove", "at_mm": 150.0, "width_mm": 12.0, "depth_mm": 0.3}
    ]
    lost = found.bar.mass - found.cut_bar.mass
    least, place = found.cut_bar.profile.least_thickness()
    wanted = {
        "before_hz": found.before.bending_hz,
        "after_hz": found.after.bending_hz,
        "shift_cents": 1200 * np.log2(found.after.bending_hz / found.before.bending_hz),
        "cents": target_of(document.target).cents(found.after.bending_hz),
        "heard_hz": None,
        "expected_hz": None,
        "expected_cents": None,
        "torsional_hz": found.after.torsional_hz,
        "lateral_hz": found.after.lateral_hz,
        "nodes_mm": mm(found.after.nodes),
        "minimum_thickness_mm": least / MM,
        "thinnest_at_mm": place / MM,
        "removed_g": lost / GRAM,
        "model": "solid",
        "mesh": found.after.mesh,
        "warnings": [],
    }
    agree(told, wanted)


def test_design(bench: Bench) -> None:
    bench.start()
    document = read_bar_file("G3.bar.json")
    found = find(Request(blank=blank_bar(document).blank, target=target_of(document.target)))
    told = answer(bench, "design", "G3")
    x, depth = depth_table(found.bar)
    (arch,) = found.bar.undercut
    up, down = (
        solve(replace(found.bar, undercut=(arch.with_depth(arch.deepest + off),)), model="beam")
        for off in (5e-6, -5e-6)
    )
    slope = 1200 * np.log2(up.bending_hz / down.bending_hz) / 1e-5 * 0.1 * MM
    assert told["sensitivity_cents_per_0.1mm"] == pytest.approx(slope, rel=1e-4)
    profile = found.bar.profile
    least, place = profile.least_thickness()
    beam = solve(found.bar, model="beam").bending_hz
    assert told["correction_cents"] == pytest.approx(
        1200 * np.log2(found.modes.bending_hz[:3] / beam), abs=0.05
    )
    wanted = {
        "family": "arch",
        "undercut": told["undercut"],
        "target_hz": found.target.hz,
        "bending_hz": found.modes.bending_hz,
        "cents": found.target.cents(found.modes.bending_hz),
        "sensitivity_cents_per_0.1mm": found.sensitivity_cents,
        "correction_cents": found.correction_cents,
        "table": {"x_mm": (x / MM).round(3), "depth_mm": (depth / MM).round(4)},
        "minimum_thickness_mm": least / MM,
        "minimum_thickness_at_mm": place / MM,
        "nodes_mm": mm(found.modes.nodes),
        "model": "solid",
        "rounds": found.rounds,
        "iterations": found.steps,
        "reason": found.reason,
        "limits_touched": list(found.pressed),
        "neighbours": [
            {
                "kind": pair.kind,
                "number": pair.number,
                "hz": pair.hz,
                "mode": pair.mode,
                "distance_hz": pair.hz - pair.mode_hz,
                "harmless_from_hz": pair.band_hz,
                "one_with_it_within_hz": pair.one_hz,
                "clashes": pair.clashes,
            }
            for pair in neighbours(found.bar, found.hz)
        ],
        "warnings": told["warnings"],
    }
    agree(told, wanted)
    (entry,) = told["undercut"]
    assert (entry["start_mm"] + entry["end_mm"]) / 2 == pytest.approx(200.0)
    assert 22.0 - entry["depth_mm"] == pytest.approx(least / MM, abs=1e-5)


def test_modes(bar: Bench) -> None:
    document = read_bar_file("G3.bar.json")
    found = solve(bar_as_is(document), count=4, estimate=True)
    target = target_of(document.target)
    told = answer(bar, "modes", "G3", "--estimate")
    wanted = {
        "bending_hz": found.bending_hz,
        "torsional_hz": found.torsional_hz,
        "lateral_hz": found.lateral_hz,
        "axial_hz": found.axial_hz,
        "heard_hz": None,
        "expected_hz": None,
        "expected_cents": None,
        "target_hz": target.hz,
        "cents": target.cents(found.bending_hz),
        "nodes_mm": mm(found.nodes),
        "model": "solid",
        "mesh": found.mesh,
        "residual": told["residual"],
        "error_cents": found.error_cents,
        "warnings": [],
    }
    assert told["residual"] == pytest.approx(found.residual, rel=0.5)
    agree(told, wanted)


def test_sheet(bar: Bench) -> None:
    document = read_bar_file("G3.bar.json")
    aim = bar_as_designed(document)
    told = answer(bar, "sheet", "G3", "--blank", "--out", "x.csv", "--hole-angle", "4")
    nodes = solve(aim, families=["bending"]).nodes[0]
    assert told["nodes_mm"] == pytest.approx(nodes / MM)
    x = np.array(told["x_mm"]) * MM
    assert told["depth_mm"] == pytest.approx(aim.profile.depth(x).real / MM)
    assert told["thickness_mm"] == pytest.approx(aim.profile.thickness(x).real / MM)
    assert told["least_thickness_mm"] == pytest.approx(aim.profile.least_thickness()[0] / MM)
    half = 30.0 * np.tan(np.radians(4.0))
    for hole, node, turn in zip(told["holes"], nodes / MM, (1, -1), strict=True):
        assert hole["x_mm"] == pytest.approx(node)
        assert hole["front_mm"] - hole["x_mm"] == pytest.approx(hole["x_mm"] - hole["rear_mm"])
        assert hole["front_mm"] - hole["x_mm"] == pytest.approx(-turn * half, rel=1e-6)
        assert hole["diameter_mm"] == 6.4
        assert hole["height_mm"] == 11.0
        assert hole["from_node_mm"] == pytest.approx(0.0, abs=1e-9)


def test_next(bench: Bench) -> None:
    bench.start()
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    hz = solve(bar_as_is(read_bar_file("G3.bar.json")), families=["bending"]).bending_hz
    heard = ("hear", "--into", "G3", "--hz", ",".join(f"{value:.2f}" for value in hz))
    for _ in range(2):
        assert bench(*heard).code == 0
    document = read_bar_file("G3.bar.json")
    goal = Goal(target=target_of(document.target), tolerances=TOLERANCES, risk=RISK)
    design = bar_as_designed(document).undercut
    found = advise(history_of(document, None), goal, design=design, belief=belief_of(document))
    told = answer(bench, "next", "G3")
    expected = found.expected
    assert expected is not None
    low, high = expected.band()
    for key, wanted in {
        "state": found.state,
        "reason": found.reason,
        "now_hz": found.present.hz[:3],
        "now_cents": goal.cents(found.present.log_hz),
        "expected_hz": expected.hz[:3],
        "low_hz": low[:3],
        "high_hz": high[:3],
        "target_hz": goal.target.hz,
        "chance_finished": found.chance,
        "rounds_left": found.rounds,
        "minimum_thickness_mm": found.bar_then.profile.least_thickness()[0] / MM,
    }.items():
        agree(told[key], wanted, key)


def test_fit(bench: Bench) -> None:
    bench.start()
    document = read_bar_file("G3.bar.json")
    found = fit_wood(blank_bar(document), Taps(bending_hz=(560, 1470, 2700), torsional_hz=(880,)))
    told = answer(bench, "fit", "G3", "--hz", "560,1470,2700", "--torsional", "880")
    told.pop("notes")
    wanted = {
        "e_long_gpa": found.wood.e_long / GPA,
        "g_long_thick_gpa": found.wood.g_long_thick / GPA,
        "g_long_width_gpa": found.wood.g_long_width / GPA,
        "density_kg_m3": found.wood.density,
        "constants": ["e_long", "g_long_thick", "g_long_width"],
        "standard_error": dict(zip(found.names, found.standard_error, strict=True)),
        "correlation": found.correlation,
        "modes": list(found.modes),
        "residual_cents": found.residual_cents,
        "unevenness_cents": found.unevenness_cents,
        "leans_on_species": [],
        "left_out": [],
        "model": found.model,
        "quality_factor": [],
    }
    agree(told, wanted)
