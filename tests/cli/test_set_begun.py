"""A set whose first bars are on the bench: its cords, lengths and planks take notice of them."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from barmodel.files import read_bar_file, set_there
from barmodel_cli.sets import set_run
from tests.cli.conftest import Bench
from tests.cli.sets import SET, Designer

NATURALS = SET.replace('"D#4"\n', '"F4"\n').replace(
    '"D#4" = 324', '"D#4" = 324, E4 = 317, F4 = 310'
)
"""Four naturals and two accidentals, all lengths held."""
RUN = ("instrument", "try.set.toml", "--cores", "1")


def rows() -> dict[str, dict[str, str]]:
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        return {row["note"]: row for row in csv.DictReader(file)}


def drill(bench: Bench, note: str) -> None:
    modes = json.loads(bench("modes", f"try/{note}", "--designed", "--json").out)
    hz = ",".join(f"{value:.2f}" for value in modes["target_hz"])
    heard = ("--hz", hz, "--temperature", "21", "--unusual", "--drilled")
    assert bench("hear", "--into", f"try/{note}", *heard).code == 0


def content() -> dict[str, bytes]:
    """All that a run may change without a reason; papers carry their day."""
    return {path.name: path.read_bytes() for path in Path("try").iterdir() if path.suffix != ".pdf"}


def test_cords_go_through_bars_as_they_are(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("try.set.toml").write_text(NATURALS, encoding="utf-8")
    assert bench(*RUN).code == 0
    before = rows()
    # two bars as planned, one of them drilled where the cords run: nothing moves
    for note in ("D4", "E4"):
        assert bench("cut", f"try/{note}", "--designed").code == 0
    drill(bench, "E4")
    assert bench(*RUN).code == 0
    for note, row in rows().items():  # all but the micrometre that its file rounds to
        assert float(row["hole_mm"]) == pytest.approx(float(before[note]["hole_mm"]), abs=2e-3)
    # D4 loses 6 mm at the left end: its own length and nodes count, and its row says so
    assert bench("cut", "try/D4", "--ends", "3").code == 0
    told = bench(*RUN)
    assert "D4" not in told.err
    row = rows()["D4"]
    assert float(row["length_mm"]) == pytest.approx(331.0 - 6.0)
    modes = json.loads(bench("modes", "try/D4", "--designed", "--json").out)
    assert float(row["node_mm"]) == pytest.approx(modes["nodes_mm"][0][0], abs=0.05)
    part = read_bar_file("try/D4.bar.json").holes
    assert part is not None
    assert part.at_mm is not None
    assert part.at_mm[0] == pytest.approx(float(row["hole_mm"]) + 3.0, abs=2e-3)
    assert rows()["E4"]["hole_mm"] == before["E4"]["hole_mm"], "drilled"
    # and a run that nothing changed for computes nothing and changes nothing
    there = content()

    def computed(*_: object, **__: object) -> None:
        raise AssertionError("computed anew")

    monkeypatch.setattr(set_there, "solve", computed)
    monkeypatch.setattr(set_run, "design", Designer(0))
    assert bench(*RUN).code == 0
    assert content() == there


def test_holes_drilled_off_the_cords_are_told_and_stay(bench: Bench) -> None:
    Path("try.set.toml").write_text(NATURALS, encoding="utf-8")
    assert bench(*RUN).code == 0
    before = rows()
    path = Path("try/D4.bar.json")
    first = read_bar_file(path).holes
    assert first is not None
    assert first.at_mm is not None
    moved = [first.at_mm[0] + 4.0, first.at_mm[1] - 4.0]
    text = path.read_text(encoding="utf-8")
    listed = json.dumps(list(first.at_mm))
    assert listed in text
    path.write_text(text.replace(listed, json.dumps(moved)), encoding="utf-8")
    drill(bench, "D4")
    told = bench(*RUN)
    part = read_bar_file(path).holes
    assert part is not None
    assert part.at_mm == tuple(moved)
    row = rows()["D4"]
    assert float(row["hole_mm"]) == pytest.approx(moved[0], abs=1e-3)
    assert float(row["hole_misfit_mm"]) == pytest.approx(moved[0] - float(row["node_mm"]), abs=2e-3)
    assert "holes that are drilled lie off the straight cord: D4" in told.err
    # the others follow it, one above the other below
    other = read_bar_file("try/C4.bar.json").holes
    assert other is not None
    assert other.at_mm is not None
    assert other.at_mm[0] - float(before["C4"]["hole_mm"]) > 0.5


def test_a_kept_bar_has_its_cords_drawn_for_its_own_design(bench: Bench) -> None:
    Path("try.set.toml").write_text(NATURALS, encoding="utf-8")
    assert bench(*RUN).code == 0
    for note in ("D4", "E4"):
        assert bench("cut", f"try/{note}", "--designed").code == 0
    drill(bench, "E4")
    drilled = read_bar_file("try/E4.bar.json")
    text = NATURALS.replace("D4 = 331", "D4 = 333").replace("E4 = 317", "E4 = 318")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    told = bench(*RUN)
    assert "D4.bar.json has a history" in told.err
    assert "the cords are drawn for it as it is" in told.err
    row = rows()["D4"]
    modes = json.loads(bench("modes", "try/D4", "--designed", "--json").out)
    assert row["state"] == "kept"
    assert float(row["node_mm"]) == pytest.approx(modes["nodes_mm"][0][0], abs=0.05)
    # what is not drilled yet goes where the cords are now; what is drilled is not written again
    part = read_bar_file("try/D4.bar.json").holes
    assert part is not None
    assert part.at_mm is not None
    assert part.at_mm[0] == pytest.approx(float(row["hole_mm"]), abs=2e-3)
    assert read_bar_file("try/E4.bar.json") == drilled
    assert float(row["hole_misfit_mm"]) == pytest.approx(
        float(row["hole_mm"]) - float(row["node_mm"]), abs=2e-3
    )
