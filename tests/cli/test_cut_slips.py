"""Likely slips in a cut that is told: centimetres, a wall, a tool that is no cutter, the gauge."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barmodel.files import read_bar_file
from tests.cli.conftest import Bench


def test_a_measured_depth_far_from_the_told_one_is_doubted(cut_bench: Bench) -> None:
    words = ("cut", "G3", "--at", "150", "--width", "30", "--depth", "0.40")
    found = cut_bench(*words, "--measured-depth", "0.9")
    assert found.code == 0
    assert "measured 0.9 mm where 0.4 mm was told" in found.err
    assert "measured" not in cut_bench(*words, "--measured-depth", "0.5").err


def test_a_cut_across_a_wall_is_doubted_and_one_beside_it_is_not(cut_bench: Bench) -> None:
    over = cut_bench("cut", "G3", "--at", "95", "--width", "20", "--depth", "0.2")
    assert over.code == 0
    assert "across a wall of the underside, at x = 95.0, 305.0 mm" in over.told
    beside = cut_bench("cut", "G3", "--at", "120", "--width", "20", "--depth", "0.2")
    assert "wall" not in beside.err


def test_a_deep_cut_in_the_uncut_end_is_asked_about(cut_bench: Bench) -> None:
    centimetres = ("cut", "G3", "--at", "15", "--width", "4", "--depth", "2")
    found = cut_bench(*centimetres)
    assert found.code == 3
    assert "were centimetres meant?" in found.told
    assert len(read_bar_file("G3.bar.json").log) == 1
    assert cut_bench(*centimetres, "--happened").code == 0
    assert cut_bench("cut", "G3", "--at", "15", "--width", "20", "--depth", "0.3").code == 0


def designed(bench: Bench, depth_mm: float) -> Path:
    """A bar with a long arch to be cut."""
    bench.start()
    arch = {"shape": "arch", "start_mm": 31.0, "end_mm": 369.0, "depth_mm": depth_mm}
    path = Path("G3.bar.json")
    content = json.loads(path.read_text()) | {"design": [arch | {"fullness": 3.0}]}
    path.write_text(json.dumps(content))
    return path


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--from", "3.1", "--to", "36.9", "--depth", "1.25"), "be a cut of the undercut"),
        (("--from", "4", "--to", "36", "--depth", "0.8"), "lie inside the undercut"),
        (("--at", "12", "--width", "4", "--depth", "0.05"), "lie inside the undercut"),
    ],
)
def test_centimetres_are_asked_about(bench: Bench, words: tuple[str, ...], says: str) -> None:
    """Ten times what was told is the design, or lies inside it where what was told does not."""
    path = designed(bench, 12.9)
    before = path.read_bytes()
    found = bench("cut", "G3", *words)
    assert found.code == 3
    assert f"{says}: were centimetres meant?" in found.told
    assert path.read_bytes() == before
    tried = bench("try", "G3", *words, "--model", "beam")
    assert tried.code == 0
    assert "were centimetres meant?" in tried.told
    assert bench("cut", "G3", *words, "--happened").code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("--from", "31", "--to", "369", "--depth", "12.5"),
        ("--at", "10", "--cutter", "scraper20", "--depth", "0.3"),  # the size is the cutter's
        ("--at", "15", "--width", "20", "--depth", "0.2"),  # thins an end
        ("--from", "40", "--to", "46", "--depth", "0.5"),  # in the undercut as it is told
        ("--from", "3.1cm", "--to", "36.9cm", "--depth", "1.25cm"),
        ("--at", "12", "--width", "4", "--depth", "1"),  # 10 mm deep would be through
    ],
    ids=" ".join,
)
def test_millimetres_are_not_asked_about(bench: Bench, words: tuple[str, ...]) -> None:
    designed(bench, 7.0)
    found = bench("cut", "G3", *words)
    assert "centimetres" not in found.told
    assert found.code == 0


@pytest.mark.parametrize(
    ("tool", "told", "says"),
    [
        ("scraper", ("--at", "120", "--width", "20"), "--cutter scraper20"),
        ("my card Scraper", ("--at", "120", "--width", "12"), "--cutter scraper12"),
        ("scraper 15", ("--from", "110", "--to", "130"), "--cutter scraper15"),
        ("file", ("--from", "110", "--to", "190"), "--cutter file10"),
        ("drum", ("--at", "120", "--width", "12"), "--cutter drum40"),
        ("belt sander", ("--at", "150", "--width", "80"), "--cutter belt80"),
    ],
)
def test_a_tool_that_cuts_no_flat_floor_is_no_cutter(
    cut_bench: Bench, tool: str, told: tuple[str, ...], says: str
) -> None:
    """The remark names a scraper, and the cut has walls all the same: it acts twice as much."""
    found = cut_bench("cut", "G3", *told, "--depth", "0.3", "--tool", tool)
    assert found.code == 0
    assert "taken as flat, with walls" in found.told
    assert f"{says};" in found.told
    assert "barmodel log G3.bar.json --cancel 2" in found.told
    assert cut_bench("log", "G3", "--cancel", "2").code == 0
    anew = ("--depth", "0.3", "--tool", tool, *says.split())
    kept = cut_bench("cut", "G3", *told, *anew)
    assert kept.code == 0
    assert "taken as flat" not in kept.told


@pytest.mark.parametrize("tool", ["router", "bit12", "profile plane", "hand"])
def test_a_flat_tool_or_another_is_a_remark(cut_bench: Bench, tool: str) -> None:
    words = ("cut", "G3", "--at", "120", "--width", "12", "--depth", "0.3", "--tool", tool)
    assert "taken as flat" not in cut_bench(*words).told
