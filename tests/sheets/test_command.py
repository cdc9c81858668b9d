"""The command `sheet`: files, JSON, kinds of sheet, and what it refuses."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from barmodel.sheets.tables import node_table
from barmodel_cli.app import call
from tests.sheets.bars import G3_FILE, job_of


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "G3.bar.json").write_text(json.dumps(G3_FILE))
    return tmp_path


def test_sheet_writes_its_files_and_tells(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    outputs = ("--out", "a.pdf", "--out", "a.svg", "--out", "a.csv")
    assert call(["sheet", "G3", "--hole-angle", "4", "--json", *outputs]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {p.name for p in folder.iterdir()} == {"G3.bar.json", "a.pdf", "a.svg", "a.csv"}
    left, right = told["nodes_mm"]
    assert left + right == pytest.approx(398.0, abs=0.05), "the ends have been trimmed"
    assert [hole["x_mm"] for hole in told["holes"]] == pytest.approx([left, right])
    assert told["holes"][0]["angle_degrees"] == -told["holes"][1]["angle_degrees"] == 4.0
    assert max(hole["motion"] for hole in told["holes"]) < 0.005
    assert max(told["depth_mm"]) == pytest.approx(9.0), "four millimetres are cut already"


def test_remaining_is_design_less_what_is_cut(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(["sheet", "G3", "--remaining", "--json", "--out", "a.csv"]) == 0
    told = json.loads(capsys.readouterr().out)
    middle = len(told["x_mm"]) // 2
    assert told["x_mm"][middle] == pytest.approx(199.0)
    assert told["depth_mm"][middle] == pytest.approx(9.0)


@pytest.mark.parametrize("kind", [[], ["--blank"]])
def test_a_bar_without_design_has_its_papers(
    folder: Path, capsys: pytest.CaptureFixture[str], kind: list[str]
) -> None:
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"design": None, "log": []}))
    assert call(["sheet", "G3", *kind, "--json", "--out", "a.pdf"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["nodes_mm"] == told["holes"] == []
    assert told["nodes_now_mm"][0] == pytest.approx(0.2242 * 400, abs=2.0)
    assert "no design" in told["notes"][0]
    assert call(["sheet", "G3", "--remaining", "--out", "a.pdf"]) == 3


def test_marks_for_the_blank_forget_the_cuts_made(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"design": None}))
    assert call(["sheet", "G3", "--blank", "--json", "--out", "a.csv"]) == 0
    assert max(json.loads(capsys.readouterr().out)["depth_mm"]) == 0.0


@pytest.mark.parametrize(("hz", "in_tune"), [(197.0, True), (198.0, False), (196.6, False)])
def test_a_reading_in_tune_ends_the_cutting(
    folder: Path, capsys: pytest.CaptureFixture[str], hz: float, in_tune: bool
) -> None:
    reading = {"id": 3, "kind": "reading", "date": "2026-03-03", "hz": [hz, 787.5, 1969.0]}
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"log": [*G3_FILE["log"], reading]}))
    assert call(["sheet", "G3", "--remaining", "--json", "--out", "a.csv"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["in_tune"] is in_tune
    assert (max(told["depth_mm"]) == 0.0) is in_tune


def test_a_hole_on_a_step_is_warned_of(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    steps = [{"shape": "pocket", "start_mm": 79.0, "end_mm": 321.0, "depth_mm": 1.0},
             {"shape": "pocket", "start_mm": 95.0, "end_mm": 305.0, "depth_mm": 9.0}]  # fmt: skip
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"design": steps, "log": []}))
    assert call(["sheet", "G3", "--hole-diameter", "6.4", "--out", "a.csv"]) == 0
    assert "crosses the step of the underside at 79.0 mm" in capsys.readouterr().out
    assert call(["sheet", "G3", "--hole-at", "60", "--out", "a.csv"]) == 0
    assert "step of the underside" not in capsys.readouterr().out


def test_holes_lie_half_way_through_the_wood_that_is_left(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heights = {}
    for depth in (1.0, 7.0):
        floor = {"shape": "pocket", "start_mm": 60.0, "end_mm": 340.0, "depth_mm": depth}
        (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"design": [floor], "log": []}))
        assert call(["sheet", "G3", "--hole-diameter", "6.4", "--json", "--out", "a.csv"]) == 0
        told = json.loads(capsys.readouterr().out)
        heights[depth] = [hole["height_mm"] for hole in told["holes"]]
    assert heights[1.0] == pytest.approx([10.5, 10.5])
    assert heights[7.0] == pytest.approx([7.5, 7.5])


def test_holes_that_nobody_told_of_are_not_drawn(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A circle on paper is drilled, and the tuning leaves nothing for it."""
    plain = G3_FILE | {"log": []}
    for more, count in (({}, 0), ({"holes": {"diameter_mm": 5.0}}, 2),
                        ({"holes": {"diameter_mm": 0.0}}, 0)):  # fmt: skip
        (folder / "G3.bar.json").write_text(json.dumps(plain | more))
        assert call(["sheet", "G3", "--json", "--out", "a.pdf"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert len(told["holes"]) == count, more
        spoken = [note for note in told["notes"] if "No cord holes are noted" in note]
        assert len(spoken) == (not more)
        words = "".join(page.extract_text() for page in PdfReader("a.pdf").pages)
        assert ("node, hole" in words) == bool(count)
        assert ("No holes noted: cords at the nodes" in words) == (not count)
    assert re.search(r"6.4 mm wide at the nodes.* cents", told_of_none(folder, capsys))


def told_of_none(folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """What a sheet says of holes where none are noted."""
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"log": []}))
    assert call(["sheet", "G3", "--out", "a.csv"]) == 0
    return capsys.readouterr().out


def test_the_table_of_limits_speaks_plainly() -> None:
    """An uncut blank is thin nowhere; nodes are counted before they are told of."""
    job = job_of(0)
    cut = [row[0] for row in node_table(job).rows]
    assert "node 1 of mode 1, when tuned" in cut
    assert any(row.startswith("least thickness now") for row in cut)
    uncut = replace(job, now=replace(job.aim, undercut=()))
    assert not any("least thickness now" in row[0] for row in node_table(uncut).rows)


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (["--blank", "--remaining"], 3, "different"),
        (["--out", "a.svg", "--out", "a.doc"], 3, ".pdf, .svg, .dxf or .csv"),
        (["--printer-scale", "2"], 3, "printer scale"),
        (["--every", "0.1", "--out", "a.csv", "--json"], 3, "5 or 10"),
        (["--hole-at", "200", "--hole-height", "11"], 3, "breaks out"),
        (["--paper", "a9"], 3, "did you mean a4?"),
    ],
)
def test_refusals(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], code: int, says: str
) -> None:
    assert call(["sheet", "G3", *words]) == code
    assert says in capsys.readouterr().err
    assert [p.name for p in folder.iterdir()] == ["G3.bar.json"]


def test_a_step_beside_a_hole_can_be_asked_to_stand_clear(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "G3.bar.json").write_text(json.dumps(G3_FILE | {"log": []}))
    assert call(["design", "G3", "--model", "beam", "--family", "steps", "--save"]) == 0
    wall = json.loads((folder / "G3.bar.json").read_text())["design"][0]["start_mm"]
    beside = ["sheet", "G3", "--hole-at", f"{wall + 4.0:.2f}", "--out", "a.csv"]
    capsys.readouterr()
    assert call(beside) == 0
    told = capsys.readouterr().out
    asked = re.findall(r"--fix (start1=\d+),", told)
    assert asked == [f"start1={math.floor(wall + 4.0 - 7.2)}"]
    assert call(["design", "G3", "--model", "beam", "--family", "steps", "--fix", asked[0],
                 "--save"]) == 0  # fmt: skip
    capsys.readouterr()
    assert call(beside) == 0
    assert "To ask for that step" not in capsys.readouterr().out
