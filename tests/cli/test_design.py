"""`barmodel design`: its contract with programs, what it saves, what it refuses."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from barmodel.design import NoDesignError, Request, find
from barmodel.files import blank_bar, read_bar_file, target_of
from barmodel.pitch import nearest_note
from tests.cli.conftest import Bench


def test_json_keeps_its_contract_and_agrees_with_modes(bench: Bench) -> None:
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


def test_screen_shows_what_a_maker_needs(bench: Bench) -> None:
    bench.start()
    result = bench("design", "G3", "--model", "beam", "--keep", "6", "--begin-start", "25%")
    assert result.code == 0
    for word in ("target Hz", "per 0.1 mm", "least left", "nodes", "--save", "model: beam"):
        assert word in result.out
    assert json.loads((bench.folder / "G3.bar.json").read_text())["design"] is None


def test_table_is_short_and_warnings_stand_by_the_result(bench: Bench) -> None:
    bench.start()
    out = bench("design", "G3", "--model", "beam").out
    table = out[: out.index("start")].splitlines()
    assert len(table) <= 20
    first, last = table[4].split(), [line for line in table if line.strip()][-1].split()
    assert float(first[0]) + float(first[1]) == pytest.approx(400.0)
    assert (first[2], last[:2]) == ("0.00", ["200.0", "200.0"])
    for word in ("2 is a parabola", "too deep", "the quick beam"):
        assert word in out
    steps = bench("design", "G3", "--model", "beam", "--family", "steps").out
    assert steps.index("depth below") < steps.index("target Hz") < steps.index("not saved")
    rows = [line for line in steps.splitlines() if line[:6].strip().replace(".", "").isdigit()]
    assert len([row for row in rows if len(row.split()) == 4]) == 7  # two at each wall, the middle


def test_the_deepest_place_in_the_middle_is_in_the_table(bench: Bench) -> None:
    bench.start()
    out = bench("design", "G3", "--model", "beam", "--family", "hollows").out
    (deep,) = [line.split()[-2] for line in out.splitlines() if "centre depth" in line]
    (row,) = [line.split() for line in out.splitlines() if line.startswith("200.0")]
    assert row[2] == deep


def test_a_tapped_blank_asks_for_its_fit_first(bench: Bench) -> None:
    bench.start("G3", "--tap", "540,1420,2600")
    words = ("design", "G3", "--model", "beam")
    assert "barmodel fit G3.bar.json --save, then design again" in bench(*words).err
    assert "tapped" in json.loads(bench(*words, "--json").out)["warnings"][0]
    bench("fit", "G3", "--save")
    assert "fit" not in bench(*words).err
    bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "1")
    assert "fit" not in bench(*words).err


def test_saving_says_what_it_replaces_and_that_it_is_for_the_uncut_blank(bench: Bench) -> None:
    bench.start()
    words = ("design", "G3", "--model", "beam", "--save")
    first = bench(*words)
    assert "saved in G3.bar.json; next" in first.out
    assert "uncut" not in first.err
    bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "1")
    again = bench(*words)
    assert "in place of the design that stood there" in again.out
    assert "for the uncut blank" in again.err
    bench("cut", "G3", "--at", "120", "--width", "12", "--depth", "12")
    assert "deeper than it" in bench(*words).err


def test_too_high_a_note_gets_the_highest_that_works(bench: Bench) -> None:
    bench.start("G3", "--note", "G5", "--ratios", "1:4")
    told = bench("design", "G3", "--model", "beam").err
    assert "the highest found" in told
    note = told.split("note ")[1].split(" on this blank")[0]
    document = read_bar_file("G3.bar.json")
    target = replace(target_of(document.target), note=note)
    request = Request(blank=blank_bar(document).blank, target=target, model="beam")
    assert abs(find(request).cents).max() < 0.01
    above, _ = nearest_note(target.fundamental_hz * 2.0 ** (1 / 12))
    with pytest.raises(NoDesignError):
        find(replace(request, target=replace(target, note=above)), advise=False)


def test_a_misspelt_family_gets_the_nearest(bench: Bench) -> None:
    bench.start()
    result = bench("design", "G3", "--family", "step")
    assert "did you mean steps?" in result.err
    assert "Value error" not in result.err


def test_fixed_start_stays(bench: Bench) -> None:
    bench.start("G3", "--ratios", "1:4")
    words = ("design", "G3", "--model", "beam", "--fix-start", "4in", "--json")
    entry = json.loads(bench(*words).out)["undercut"][0]
    assert entry["start_mm"] == pytest.approx(101.6)


def test_picture_and_steps(bench: Bench) -> None:
    bench.start()
    words = ("--family", "steps", "--bit", "12", "--model", "beam", "--plot", "G3.svg")
    assert bench("design", "G3", *words).code == 0
    assert (bench.folder / "G3.svg").stat().st_size > 1000


def test_no_solution_says_what_would_work_and_writes_nothing(bench: Bench) -> None:
    bench.start("G3", "--ratios", "1:4")
    before = (bench.folder / "G3.bar.json").read_bytes()
    result = bench("design", "G3", "--fix-depth", "16", "--model", "beam", "--save")
    assert result.code == 4
    assert "let the depth go" in result.err
    assert "to do so: the same without holding depth" in result.err
    assert (bench.folder / "G3.bar.json").read_bytes() == before


def test_a_shorter_blank_that_works_is_sawn_and_designed_on(bench: Bench) -> None:
    """Once the design stayed with the blank as it was begun, whatever had come off."""
    bench("start", "x", "--length", "295", "--width", "50", "--thickness", "21", "--mass", "235",
          "--wood", "padauk", "--note", "A4")  # fmt: skip
    words = ("design", "x", "--keep", "5", "--drum-radius", "20", "--model", "beam")
    refused = bench(*words)
    assert refused.code == 4
    (ends,) = re.findall(r"--ends ([0-9.]+)", refused.err)
    assert bench("cut", "x", "--ends", ends).code == 0
    heard = bench("hear", "--into", "x", "--hz", "1100,-,-", "--unusual")
    assert "next: barmodel design x.bar.json --save" in heard.err, "there is none to cut by"
    assert bench(*words, "--save").code == 0
    assert "cut already" not in bench(*words).err
    answer = json.loads(bench("modes", "x", "--designed", "--model", "beam", "--json").out)
    assert answer["cents"][:3] == pytest.approx([0.0, 0.0, 0.0], abs=0.05)


@pytest.mark.parametrize("words", [("--fix", "depth"), ("--fix", "hump=3"), ("--keep", "30")])
def test_bad_values_are_told(bench: Bench, words: tuple[str, ...]) -> None:
    bench.start()
    result = bench("design", "G3", *words)
    assert result.code == 3
    assert "Traceback" not in result.err


def test_what_moves_the_neighbours_comes_last_and_says_how_to_ask(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    import barmodel.design as room
    from barmodel.design import Neighbour, Remedy

    def pair(distance: float) -> Neighbour:
        return Neighbour("torsional", 2, 1308.1 + distance, 3, 1308.1, 219.0, 15.0)

    def found(request: Any, _: Any) -> Iterator[Remedy]:
        yield Remedy("width 58 mm", (pair(150.0),))
        yield Remedy("start 50.0 mm", (pair(20.0),), request)  # worse than now
        yield Remedy("fullness 2.50", (), replace(request, fixed={"fullness": 2.5}))
        both = {"start": 0.05, "fullness": 2.5}
        yield Remedy("start 50.0 mm", (pair(12.0),), replace(request, fixed=both))
        yield Remedy("family hollows", (pair(100.0),), replace(request, family="hollows"))

    monkeypatch.setattr(room, "neighbours", lambda *_: (pair(68.0),))
    monkeypatch.setattr(room, "remedies", found)
    bench.start("G3", "--ratios", "1:4")
    told = bench("design", "G3")
    result, offers = told.out.index("target Hz"), told.out.index("what would move")
    assert result < offers < told.out.index("not saved; next")
    rows = told.out[offers:].splitlines()[3:7]
    asked = [re.search(r"--.*?(?=  )|another blank", row)[0] for row in rows]
    assert asked == [
        "--fix fullness=2.5", "--fix start=50 --fix fullness=2.5", "another blank",
        "--family hollows",
    ]  # fmt: skip
    assert rows[1].rstrip().endswith("none")  # heard as one
    assert "tried against those clashes, and no better: start 50.0 mm" in told.out
    fixed = bench("design", "G3", "--model", "beam", *asked[0].split(), "--json")
    assert json.loads(fixed.out)["undercut"][0]["fullness"] == pytest.approx(2.5)


def test_a_design_says_where_the_cord_holes_do_not_go_with_it(bench: Bench) -> None:
    """Before it is saved and cut: the sheet would tell as well, but later."""
    sizes = ("--length", "352", "--width", "54", "--thickness", "22", "--note", "C4")
    assert bench("start", "x", *sizes, "--wood", "padauk", "--holes", "9").code == 0
    words = ("design", "x", "--family", "steps", "--bit", "12", "--model", "beam")
    told = bench(*words)
    hole = next(line for line in told.err.splitlines() if "hole at" in line)
    assert "step of the underside" in hole
    command = re.search(r"barmodel (design x\.bar\.json --family steps --fix \S+?),", told.err)
    assert command is not None
    aside = bench(*command[1].split(), "--model", "beam")
    assert aside.code == 0
    assert "hole at" not in aside.err  # the way it offers works
    assert bench("log", "x", "--holes", "0").code == 0
    assert "hole at" not in bench(*words).err
    file = bench.folder / "x.bar.json"
    content = json.loads(file.read_text())
    file.write_text(json.dumps(content | {"holes": {"diameter_mm": 9.0, "at_mm": [3.0, 349.0]}}))
    assert "leaves the bar of 352 mm" in bench(*words).err
