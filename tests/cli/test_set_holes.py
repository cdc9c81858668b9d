"""Cord holes of a set: where its cords pass, in bar files, tables and papers, until drilled."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from barmodel.errors import FileError
from barmodel.files import read_bar_file
from barmodel.files.set_bars import save_holes
from barmodel.instrument import Hole
from barmodel.pitch import note_semitone
from barmodel_cli.sets import set_run
from tests.cli.conftest import Bench
from tests.cli.sets import SET, Designer

LEANING = f"{SET}[rails]\nlean_naturals = 0.2\nhole_diameter_mm = 6.4\n"
"""Cords that lean unlike at both ends, so that an end or an edge mistaken for the other is seen."""


def _rows() -> dict[str, dict[str, str]]:
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        return {row["note"]: row for row in csv.DictReader(file)}


def test_bar_files_and_their_papers_know_the_holes_of_the_cords(bench: Bench) -> None:
    Path("try.set.toml").write_text(LEANING, encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    row = {name: float(_rows()["C4"][name] or "nan") for name in _rows()["C4"] if "mm" in name}
    length = row["length_mm"]
    assert row["hole_treble_edge_mm"] - row["hole_bass_edge_mm"] > 1.0, "the cord leans"
    paper = json.loads(bench("sheet", "try/C4", "--out", "x.pdf", "--json").out)
    player, far = paper["holes"]
    # the player's end lies on the left, and the bass edge away from whoever stands at the sheet
    assert player["rear_mm"] == pytest.approx(row["hole_bass_edge_mm"], abs=0.01)
    assert player["front_mm"] == pytest.approx(row["hole_treble_edge_mm"], abs=0.01)
    assert length - far["rear_mm"] == pytest.approx(row["hole_far_bass_edge_mm"], abs=0.01)
    assert length - far["front_mm"] == pytest.approx(row["hole_far_treble_edge_mm"], abs=0.01)
    assert "Left end: player's. Upper edge: bass" in _text_of("x.pdf")
    other = json.loads(bench("sheet", "try/C4", "--out", "x.pdf", "--json", "--hole-angle", "0",
                             "--hole-diameter", "5").out)  # fmt: skip
    assert [hole["angle_degrees"] for hole in other["holes"]] == [0.0, 0.0]
    assert {hole["diameter_mm"] for hole in other["holes"]} == {5.0}
    assert other["holes"][0]["x_mm"] == player["x_mm"]
    assert "two cord holes of 5 mm" in other["today"]
    assert not any("those of the set" in note for note in other["notes"])
    # what comes off an end takes the places along
    assert bench("cut", "try/C4", "--ends", "2").code == 0
    shorter = json.loads(bench("sheet", "try/C4", "--out", "x.pdf", "--json").out)["holes"]
    assert shorter[0]["x_mm"] == pytest.approx(player["x_mm"] - 2.0)
    refused = bench("log", "try/C4", "--holes", "5")
    assert refused.code == 3
    assert "change hole_diameter_mm in the set file" in refused.told


def test_holes_that_are_not_drilled_follow_the_set_file(bench: Bench) -> None:
    Path("try.set.toml").write_text(LEANING, encoding="utf-8")
    run = ("instrument", "try.set.toml", "--cores", "1")
    assert bench(*run).code == 0
    assert "leave mode 1 of the bars" in bench(*run).out
    told, modes = _rows()["C4"], json.loads(bench("modes", "try/C4", "--designed", "--json").out)
    takes = modes["holes"]["shift_cents"][0]
    assert float(told["drilling_mode1_cents"]) == pytest.approx(takes, abs=0.1)
    assert float(told["leave_today_cents"]) == pytest.approx(-takes, abs=0.1)
    hz = ",".join(f"{value:.2f}" for value in modes["target_hz"])
    heard = ("--hz", hz, "--temperature", "21", "--unusual")
    assert bench("hear", "--into", "try/C4", *heard, "--drilled").code == 0
    assert bench("hear", "--into", "try/C#4", *heard).code == 0
    before = _rows()
    Path("try.set.toml").write_text(LEANING.replace("= 6.4", "= 5"), encoding="utf-8")
    assert bench(*run).code == 0
    notes = ("C4", "C#4", "D4")
    sizes = [read_bar_file(f"try/{note}.bar.json").holes for note in notes]
    assert [part and part.diameter_mm for part in sizes] == [6.4, 5.0, 5.0], "C4 is drilled"
    assert _rows()["C4"]["hole_bass_edge_mm"] == before["C4"]["hole_bass_edge_mm"]
    assert float(_rows()["C4"]["leave_today_cents"] or 0.0) == 0.0
    # and none may be wanted any more
    Path("try.set.toml").write_text(LEANING.replace("= 6.4", "= 0"), encoding="utf-8")
    none = bench(*run)
    assert "drilled" not in none.err
    assert _rows()["D4"]["hole_bass_edge_mm"] == ""
    drawn = json.loads(bench("sheet", "try/D4", "--out", "x.pdf", "--json").out)
    assert (drawn["holes"], drawn["today"]) == ([], "")


def test_a_run_that_was_stopped_tells_bars_begun_since_of_their_holes(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("try.set.toml").write_text(LEANING, encoding="utf-8")
    run = ("instrument", "try.set.toml", "--cores", "1")
    monkeypatch.setattr(set_run, "design", Designer(3))
    assert bench(*run).code == 130
    assert read_bar_file("try/C4.bar.json").holes is None
    assert bench("cut", "try/C4", "--designed").code == 0
    monkeypatch.setattr(set_run, "design", Designer())
    assert bench(*run).code == 0
    part = read_bar_file("try/C4.bar.json").holes
    assert part is not None
    assert part.at_mm is not None
    assert part.at_mm[0] == float(_rows()["C4"]["hole_mm"])


def test_holes_that_no_bar_can_have_stop_no_set(bench: Bench, tmp_path: Path) -> None:
    Path("try.set.toml").write_text(LEANING.replace('"D#4"\n', '"C#4"\n'), encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    before = Path("try/C4.bar.json").read_bytes()
    steep = Hole(end="player", node=0.07, middle=0.07, bass_edge=0.0, treble_edge=0.14,
                 angle_degrees=70.0, motion=0.0)  # fmt: skip
    note = note_semitone("C4")
    with pytest.raises(FileError, match=r"C4\.bar\.json: holes"):
        save_holes(Path("try"), note, (steep, steep), diameter=6.4e-3, own=False)
    assert Path("try/C4.bar.json").read_bytes() == before


def test_an_undrilled_bar_is_retuned_to_what_it_is_to_be_before_drilling(bench: Bench) -> None:
    Path("try.set.toml").write_text(LEANING, encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    bar = read_bar_file("try/C4.bar.json")
    modes = json.loads(bench("modes", "try/C4", "--designed", "--json").out)
    hz = np.array(modes["target_hz"])
    takes = np.array(modes["holes"]["shift_cents"])
    assert bar.to_drill is not None
    assert bench("cut", "try/C4", "--designed").code == 0
    left = hz * 2.0 ** (-takes / 1200)
    Path("r.csv").write_text(
        "note,mode1_hz,mode2_hz,mode3_hz\n" + f"C4,{left[0]:.4f},{left[1]:.4f},-\n",
        encoding="utf-8",
    )
    answer = json.loads(bench("instrument", "try.set.toml", "--retune", "r.csv", "--json").out)
    (row,) = answer["bars"]
    assert row["verdict"] == "in tune"
    assert row["mode2_away_cents"] == pytest.approx(0.0, abs=0.1)
    # of an old bar nothing was noted here: it has its holes
    Path("try/C4.bar.json").unlink()
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    again = json.loads(bench("instrument", "try.set.toml", "--retune", "r.csv", "--json").out)
    assert again["bars"][0]["mode2_away_cents"] == pytest.approx(-takes[1], abs=0.1)


def _text_of(path: str) -> str:
    """Words of all pages of a PDF."""
    return " ".join(page.extract_text() for page in PdfReader(path).pages)
