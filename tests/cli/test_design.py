"""`barmodel design`: its contract with programs, what it saves, what it refuses."""

import json
from typing import Any

import pytest


def test_json_keeps_its_contract_and_agrees_with_modes(bench: Any) -> None:
    bench.start()
    result = bench("design", "G3", "--model", "beam", "--json", "--save")
    assert result.code == 0
    answer = json.loads(result.out)
    assert [entry["shape"] for entry in answer["undercut"]] == ["arch"]
    assert max(map(abs, answer["cents"])) < 0.01
    depths = answer["table"]["depth_mm"]
    assert len(depths) == len(answer["table"]["x_mm"])
    left = 22.0 - answer["undercut"][0]["depth_mm"]
    assert answer["minimum_thickness_mm"] == pytest.approx(left, abs=1e-3)
    assert max(depths) == pytest.approx(22.0 - left, abs=1e-3)
    again = json.loads(bench("modes", "G3", "--designed", "--model", "beam", "--json").out)
    assert again["bending_hz"][:3] == pytest.approx(answer["bending_hz"], rel=1e-6)


def test_screen_shows_what_a_maker_needs(bench: Any) -> None:
    bench.start()
    result = bench("design", "G3", "--model", "beam", "--keep", "6", "--begin-start", "25%")
    assert result.code == 0
    for word in ("target Hz", "per 0.1 mm", "least thickness", "nodes", "--save", "model: beam"):
        assert word in result.out
    assert json.loads((bench.folder / "G3.bar.json").read_text())["design"] is None


def test_fixed_start_stays(bench: Any) -> None:
    bench.start("G3", "--ratios", "1:4")
    words = ("design", "G3", "--model", "beam", "--fix-start", "4in", "--json")
    entry = json.loads(bench(*words).out)["undercut"][0]
    assert entry["start_mm"] == pytest.approx(101.6)


def test_picture_and_steps(bench: Any) -> None:
    bench.start()
    words = ("--family", "steps", "--bit", "12", "--model", "beam", "--plot", "G3.svg")
    assert bench("design", "G3", *words).code == 0
    assert (bench.folder / "G3.svg").stat().st_size > 1000


def test_no_solution_says_what_would_work_and_writes_nothing(bench: Any) -> None:
    bench.start()
    before = (bench.folder / "G3.bar.json").read_bytes()
    result = bench("design", "G3", "--fix-depth", "16", "--model", "beam", "--save")
    assert result.code == 4
    assert "let the depth go" in result.err
    assert (bench.folder / "G3.bar.json").read_bytes() == before


@pytest.mark.parametrize("words", [("--fix", "depth"), ("--fix", "hump=3"), ("--keep", "30")])
def test_bad_values_are_told(bench: Any, words: tuple[str, ...]) -> None:
    bench.start()
    result = bench("design", "G3", *words)
    assert result.code == 3
    assert "Traceback" not in result.err
