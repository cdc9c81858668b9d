"""Paper of one cut, and the stop line on the paper of the whole design."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from barmodel.files import bar_as_is, read_bar_file, read_cut_file
from barmodel.modes import solve
from barmodel.sheets.head import LETTERS
from barmodel.sheets.marks import side_marks
from barmodel.sheets.paper import Page, Paper
from barmodel.sheets.pdf import draw_pages
from barmodel.sheets.side import side_words
from barmodel.sheets.stops import for_router, stop_table
from barmodel.sheets.tables import depth_table
from barmodel_cli.app import call
from barmodel_cli.asked.keeping import least_kept
from barmodel_cli.bench import season
from barmodel_cli.bench.drilling import Drilling
from barmodel_cli.bench.today import AS_TARGETED
from barmodel_cli.paper.first_cut import first_cut
from barmodel_cli.paper.paper_cut import cut_job
from barmodel_cli.paper.papers import paper_job
from tests.sheets.bars import G3_FILE
from tests.sheets.test_layout import clashes

BLANK = {"id": 1, "kind": "reading", "date": "2026-03-01", "hz": [617.3, 1616.3, 2957.3],
         "temperature_c": 21.0}  # fmt: skip
"""What the solid says of this blank."""
NEAR = {"note": "A#3", "a4_hz": 442.0, "ratios": [1.0]}
"""A note that this design comes near."""
WHOLE, LEFT = "WHOLE DESIGN, NOT THE FIRST CUT", "WHAT THE DESIGN HAS LEFT, NOT THE NEXT CUT"
CUT = {"id": 2, "kind": "cut", "date": "2026-03-02", "entries": [
    {"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 4.0}]}  # fmt: skip
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
    assert table.columns == ("from either end", "1st cut", "leave", "in all")  # halves are alike
    middle = table.rows[-1]
    assert middle[1:3] == (f"{deep:.2f}", f"{22.0 - deep:.2f}")
    assert float(middle[3]) == 13.0, "the design itself is not changed"
    stops = stop_table(job)
    assert float(stops.rows[-1][0]) <= deep - 1.0
    assert "rounds of `barmodel next`" in stops.note
    assert "stop there and listen" in side_words(job)
    pages = draw_pages(job, Paper())
    assert all(banner_of(page) == f"{WHOLE}: stop at the dashed line" for page in pages)
    drawn = [text.text for page in pages for text in page.texts if text.turned and text.bold]
    assert f"{deep:.2f}" in drawn
    assert not {"13.0", "13.00"} & set(drawn), "nobody shall cut by the final depth"
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
    assert told["x_mm"][-1] == pytest.approx(400.0), "a rule is laid to the ends there are now"
    assert told["saw_off_mm"] == pytest.approx([1.0, 1.0])
    assert max(told["depth_mm"]) == pytest.approx(0.25)
    cut = [x for x, d in zip(told["x_mm"], told["depth_mm"], strict=True) if d > 0.2]
    assert min(cut) > 150.9, "151 mm of the bar as it is are 150 of the bar once it is sawn"
    assert any("Saw off the ends first" in note for note in told["notes"])
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
    job, _ = paper_job(read_bar_file(bar), "design", 10.0, 12.0, DRILL, AS_TARGETED, first=first)
    pages = draw_pages(job, Paper())
    assert all(banner_of(page) == WHOLE for page in pages)
    words = [text for page in pages for text in page.texts]
    assert not any("Router" in text.text or "to size" in text.text for text in words)
    assert not [text.text for text in words if text.turned and text.bold], "no depth to cut by"
    assert for_router(replace(job, whole=False)), "it is the doubt that takes the passes away"


@pytest.mark.parametrize(("kind", "log", "words"), [
    ("blank", [BLANK], WHOLE), ("remaining", [BLANK], LEFT), ("blank", [BLANK, CUT], WHOLE),
    ("remaining", [BLANK, CUT], LEFT),
])  # fmt: skip
def test_every_paper_of_the_whole_design_says_so(
    bar: Path, kind: str, log: list[dict[str, object]], words: str
) -> None:
    bar.write_text(json.dumps(G3_FILE | {"log": log, "target": NEAR}))
    assert call(["sheet", str(bar), f"--{kind}", "--out", "a.pdf"]) == 0
    pages = PdfReader("a.pdf").pages
    assert all(words in page.extract_text() for page in pages)
    routed = any("Router passes" in page.extract_text() for page in pages)
    assert routed == (kind == "remaining" and len(log) == 2)


@pytest.mark.parametrize(("ends", "marks", "words"), [
    ({"length_mm": 2.1}, {"saw 2.1": [2.1, 397.9]}, "SAW 2.1 mm OFF EACH END"),
    ({"left_mm": 0.3, "right_mm": 1.5}, {"saw 0.3": [0.3], "saw 1.5": [398.5]},
     "SAW 0.3 mm OFF THE LEFT END AND 1.5 mm OFF THE RIGHT END"),
    ({"left_mm": 4.0}, {"saw 4": [4.0]}, "SAW 4 mm OFF THE LEFT END"),
])  # fmt: skip
def test_ends_to_be_sawn_off_are_drawn_with_their_saw_lines(
    bar: Path, ends: dict[str, float], marks: dict[str, list[float]], words: str
) -> None:
    bar.write_text(json.dumps(G3_FILE | {"log": [BLANK, CUT], "target": NEAR}))
    Path("cut.json").write_text(json.dumps([{"shape": "ends"} | ends]))
    document, plan = read_bar_file(bar), read_cut_file(Path("cut.json"))
    least = least_kept(document, None)
    job = cut_job(document, plan, Path("cut.json"), least, 10.0, 12.0, AS_TARGETED)
    there = bar_as_is(document)
    x = np.linspace(0.5e-3, 399.5e-3, 999)
    assert job.length == pytest.approx(0.4)
    assert job.aim.profile.thickness(x).real == pytest.approx(there.profile.thickness(x).real)
    found: dict[str, list[float]] = {}
    for label in side_marks(job):
        if label.words.startswith("saw"):
            found.setdefault(label.words, []).append(label.x + label.ahead)
    assert {name: pytest.approx(at) for name, at in marks.items()} == found
    node = solve(there.trimmed(left=job.trim[0], right=job.trim[1]), count=1, order="quick")
    assert job.nodes_now == pytest.approx([x + job.trim[0] for x in node.nodes[0]])
    pages = draw_pages(job, Paper())
    assert all(banner_of(page) == f"{words}, FROM THE PRESENT ENDS" for page in pages)
    assert not any(clashes(page) for page in pages)
    grey = [np.ptp(points[:, 0]) for page in pages for points, _ in page.fills]
    grey = sorted(wide for wide in grey if wide < 100.0)  # the band under the title is wider
    assert grey == pytest.approx(sorted(size * 1e3 for size in job.trim if size))
    assert not any("Dashed: where to stop" in text.text for page in pages for text in page.texts)


def banner_of(page: Page) -> str:
    """Words of the banner, the largest on a page beside the name of the bar."""
    return next((text.text for text in page.texts if 10.0 < text.size <= LETTERS and text.bold
                 and text.align == "center" and text.text.startswith(("WHOLE", "SAW", "WHAT"))),
                "")  # fmt: skip


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
