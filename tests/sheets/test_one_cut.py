"""Paper of one cut, and the stop line on the paper of the whole design."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barmodel.files import read_bar_file
from barmodel.sheets.side import side_words
from barmodel.sheets.stops import stop_table
from barmodel.sheets.tables import depth_table
from barmodel_cli.app import call
from barmodel_cli.bench import season
from barmodel_cli.bench.drilling import Drilling
from barmodel_cli.bench.today import AS_TARGETED
from barmodel_cli.paper.first_cut import first_cut
from barmodel_cli.paper.papers import paper_job
from tests.sheets.bars import G3_FILE

BLANK = {"id": 1, "kind": "reading", "date": "2026-03-01", "hz": [617.3, 1616.3, 2957.3],
         "temperature_c": 21.0}  # fmt: skip
"""What the solid says of this blank."""
NEAR = {"note": "A#3", "a4_hz": 442.0, "ratios": [1.0]}
"""A note that this design comes near."""
DRILL = Drilling(None, 6.4, None, None, 3.0)


@pytest.fixture
def bar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "G3.bar.json"
    path.write_text(json.dumps(G3_FILE | {"log": [BLANK], "target": NEAR}))
    return path


def test_the_papers_stop_where_next_stops(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(["next", str(bar), "--save", "cut.json"]) == 0
    deep = json.loads(Path("cut.json").read_text())["entries"][0]["depth_mm"]
    assert 10.0 < deep < 12.9, "short of the 13 mm of the design"
    document = read_bar_file(bar)
    first = first_cut(document, bar, AS_TARGETED)
    assert first is not None
    job, _ = paper_job(document, "design", 10.0, 12.0, DRILL, AS_TARGETED, first=first)
    assert f"{13.0 - deep:.2f} mm short" in job.notes[0]
    table = depth_table(job)
    assert table.columns == ("from either end", "cut", "leave", "stop")  # both halves are alike
    middle = table.rows[-1]
    assert middle[3] == f"{22.0 - deep:.2f}"
    assert float(middle[2]) == 9.0, "the design itself is not changed"
    stops = stop_table(job)
    assert float(stops.rows[-1][0]) <= deep - 1.0
    assert "rounds of `barmodel next`" in stops.note
    assert "first stop there" in side_words(job)
    capsys.readouterr()
    assert call(["sheet", str(bar), "--entries", "cut.json", "--json", "--out", "c.pdf"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["kind"] == "cut"
    assert max(told["depth_mm"]) == pytest.approx(deep)
    assert min(told["thickness_mm"]) == pytest.approx(22.0 - deep)


def test_a_bar_that_was_only_shortened_is_not_begun(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its paper is of the whole design, with the stop of the first cut."""
    shorter = {"id": 2, "kind": "cut", "date": "2026-03-02",
               "entries": [{"shape": "ends", "length_mm": 1.0}]}  # fmt: skip
    floor = {"shape": "pocket", "start_mm": 150.0, "end_mm": 250.0, "depth_mm": 1.0}
    for log, kind in (([BLANK, shorter], "design"),
                      ([BLANK, shorter | {"entries": [floor]}], "remaining")):  # fmt: skip
        bar.write_text(json.dumps(G3_FILE | {"log": log, "target": NEAR}))
        assert call(["sheet", str(bar), "--json", "--out", "a.csv"]) == 0
        assert json.loads(capsys.readouterr().out)["kind"] == kind
    bar.write_text(json.dumps(G3_FILE | {"log": [BLANK, shorter], "target": NEAR}))
    assert first_cut(read_bar_file(bar), bar, AS_TARGETED) is not None


def test_the_table_of_what_the_design_has_left_is_no_order(bar: Path) -> None:
    floor = {"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 4.0}
    made = {"id": 2, "kind": "cut", "date": "2026-03-02", "entries": [floor]}
    bar.write_text(json.dumps(G3_FILE | {"log": [BLANK, made]}))
    document = read_bar_file(bar)
    for kind, told in (("remaining", "not the next cut"), ("blank", "callipers must read")):
        job, _ = paper_job(document, kind, 10.0, 12.0, DRILL, AS_TARGETED)
        assert told in depth_table(job).note


def test_a_later_cut_is_drawn_from_the_bar_as_it_is(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    floor = {"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 4.0}
    made = {"id": 2, "kind": "cut", "date": "2026-03-02", "entries": [floor]}
    bar.write_text(json.dumps(G3_FILE | {"log": [BLANK, made]}))
    assert first_cut(read_bar_file(bar), bar, AS_TARGETED) is None, "it has been begun"
    ends = {"shape": "ends", "length_mm": 1.0}
    shallow = floor | {"start_mm": 150.0, "end_mm": 248.0, "depth_mm": 0.25}
    Path("cut.json").write_text(json.dumps([ends, shallow]))
    assert call(["sheet", str(bar), "--entries", "cut.json", "--json", "--out", "c.csv"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["x_mm"][-1] == pytest.approx(398.0)
    assert max(told["depth_mm"]) == pytest.approx(0.25)
    assert any("Shorten the ends first" in note for note in told["notes"])
    assert any("0.25 mm deep" in note for note in told["notes"])


def test_paper_of_a_cut_made_already_is_doubted(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    floor = {"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 4.0}
    Path("cut.json").write_text(json.dumps([floor]))
    assert call(["cut", str(bar), "--entries", "cut.json"]) == 0
    assert call(["sheet", str(bar), "--entries", "cut.json", "--out", "c.csv"]) == 0
    assert "stands in the log already" in capsys.readouterr().err


def test_a_bar_not_heard_is_told_to_be_cut_in_rounds(bar: Path) -> None:
    bar.write_text(json.dumps(G3_FILE | {"log": []}))
    first = first_cut(read_bar_file(bar), bar, AS_TARGETED)
    assert first is not None
    assert first.bar is None
    assert "not the first cut" in first.said[0]


def test_a_sheet_asks_for_no_option_that_it_does_not_have(
    bar: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """In the folder of a set `next` asks for the air of today; a sheet has no --bench."""
    room = season.read_air("22/60", "--room")
    monkeypatch.setattr(season, "rooms_of", lambda _: season.Rooms(room, None))
    cold = {name: value for name, value in BLANK.items() if name != "temperature_c"}
    bar.write_text(json.dumps(G3_FILE | {"log": [cold], "target": NEAR}))
    assert season.leave_in(read_bar_file(bar), season.Rooms(room, None), told=True) is None
    assert "--bench" in capsys.readouterr().err
    assert first_cut(read_bar_file(bar), bar, AS_TARGETED) is not None
    assert capsys.readouterr().err == ""
