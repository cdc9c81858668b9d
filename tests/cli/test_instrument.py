"""`barmodel instrument`: everything is written, a stopped run goes on, a maker's work is kept."""

from __future__ import annotations

import csv
import json
import os
import random
import re
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from barmodel.files import CutMade, PocketCut, append_entries, read_bar_file
from barmodel.files.set_file import read_set_file
from barmodel.instrument import draw_blueprint
from barmodel.instrument import one as one_module
from barmodel_cli.sets import set_run
from tests.cli.conftest import Bench
from tests.cli.sets import SET, Designer


def work_of(folder: str) -> dict[str, Any]:
    work: dict[str, Any] = json.loads(Path(folder, "work.json").read_text())
    work.pop("bench")  # not what the bars depend on
    for bar in work["bars"].values():
        bar.pop("seconds", None)
    return work


ORDER = ["C4", "D#4", "C#4", "D4"]
"""Pilots first."""


def test_a_stopped_run_goes_on_with_the_same_result(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    command = ("instrument", "try.set.toml", "--cores", "1", "--into")

    whole = Designer()
    monkeypatch.setattr(set_run, "design", whole)
    result = bench(*command, "whole", "--bench", "16/40")
    assert result.code == 0, result.err
    assert whole.asked == ORDER
    assert "4 of 4 bars designed (4 now)" in result.out
    assert Path("whole/set.pdf").read_bytes()[:5] == b"%PDF-"

    for stop_after in (1, 3):  # among the pilots, and among those they lead
        folder = f"parts{stop_after}"
        monkeypatch.setattr(set_run, "design", Designer(stop_after))
        assert bench(*command, folder).code == 130
        made = {path.name.removesuffix(".bar.json") for path in Path(folder).glob("*.bar.json")}
        assert made == set(ORDER[:stop_after])
        Path(folder, "C4.bar.json").unlink()  # went astray: comes back without a new design
        second = Designer()
        monkeypatch.setattr(set_run, "design", second)
        answer = json.loads(bench(*command, folder, "--json").out)
        assert second.asked == ORDER[stop_after:]
        assert answer["designed_now"] == 4 - stop_after
        assert work_of(folder) == work_of("whole")
        for path in Path("whole").glob("*.bar.json"):
            assert path.read_bytes() == Path(folder, path.name).read_bytes()
    assert read_bar_file("parts1/C4.bar.json").target.ratios == (1.0, 4.0)


RUN = "from barmodel_cli.app import main; main()"


def bars_done(folder: str) -> dict[str, Any]:
    """Return the record of every bar, with the seconds it took: done twice, they would differ."""
    path = Path(folder, "work.json")
    bars: dict[str, Any] = json.loads(path.read_text())["bars"] if path.exists() else {}
    return bars


@pytest.mark.skipif(sys.platform == "win32", reason="processes end otherwise there")
def test_a_run_killed_at_any_moment_loses_no_bar_that_was_done(bench: Bench) -> None:
    """SIGKILL, which nothing can catch, twice: somewhere about the time a bar is done."""
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    moment = random.Random(8)
    command = [sys.executable, "-c", RUN, "instrument", "try.set.toml", "--cores", "2"]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    before: dict[str, Any] = {}
    for _ in range(2):
        process = subprocess.Popen(
            command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        while len(bars_done("try")) == len(before):
            assert process.poll() is None, "ended without a bar"
            time.sleep(0.005)
        time.sleep(moment.uniform(0.0, 0.1))
        process.kill()
        process.wait()
        done = bars_done("try")
        assert all(done[note] == record for note, record in before.items()), "done twice"
        before = done
    subprocess.run(command, env=environment, check=True, capture_output=True)
    done = bars_done("try")
    assert all(done[note] == record for note, record in before.items()), "done twice"
    assert bench("instrument", "try.set.toml", "--cores", "1", "--into", "whole").code == 0
    assert work_of("try") == work_of("whole")
    for path in Path("whole").glob("*.bar.json"):
        assert path.read_bytes() == Path("try", path.name).read_bytes()


def test_tables_say_what_the_bench_needs(bench: Bench) -> None:
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    answer = json.loads(
        bench(
            *("instrument", "try.set.toml", "--cores", "1", "--json"),
            *("--bench", "11/50"),
        ).out
    )
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["note"] for row in rows] == ["C4", "C#4", "D4", "D#4"]
    assert sorted(int(row["order_of_work"]) for row in rows) == [1, 2, 3, 4]
    for row, told in zip(rows, answer["bars"], strict=True):
        assert abs(float(row["mode1_cents"])) < 0.5
        assert float(row["length_mm"]) == told["length_mm"]
        # ten degrees colder: wood is sharper, so it is left sharp
        assert 4.0 < float(row["leave_today_cents"]) < 25.0
        assert abs(float(row["hole_misfit_mm"])) < 2.0
    with Path("try/blanks.csv").open(encoding="utf-8") as file:
        blanks = list(csv.DictReader(file))
    assert {row["note"] for row in blanks} == {row["note"] for row in rows}
    assert {float(row["length_mm"]) for row in blanks if row["note"] == "C4"} == {355.0}


def test_tubes_of_a_set_are_at_its_pitch_and_in_its_room(bench: Bench) -> None:
    text = SET.replace("[room]\ntemperature_c = 21", "[stretch_cents]\nC4 = -3\n[room]\n"
                       "temperature_c = 26")  # fmt: skip
    Path("try.set.toml").write_text(text, encoding="utf-8")
    words = ("tube", "--set", "try.set.toml", "--bore", "50", "--json")
    answer = json.loads(bench(*words).out)
    assert [tube["note"] for tube in answer["tubes"]] == ["C4", "C#4", "D4", "D#4"]
    assert answer["temperature_c"] == 26.0
    first = answer["tubes"][0]
    assert first["hz"] == pytest.approx(261.6256 * 442 / 440 * 2 ** (-3 / 1200), abs=1e-3)
    by_hand = bench("tube", "C4", "--bore", "50", "--a4", str(442 * 2 ** (-3 / 1200)),
                    "--temperature", "26", "--json")  # fmt: skip
    assert first["length_mm"] == pytest.approx(json.loads(by_hand.out)["tubes"][0]["length_mm"])
    (one,) = json.loads(bench(*words, "D4", "--temperature", "20").out)["tubes"]
    assert one["length_mm"] < answer["tubes"][2]["length_mm"]
    assert "E4 is not in the set, which goes from C4 to D#4" in bench(*words, "E4").err
    assert "the set file has its own pitch" in bench(*words, "--a4", "440").err


def test_a_bar_with_a_history_is_kept(bench: Bench) -> None:
    Path("try.set.toml").write_text(SET.replace('"D#4"\n', '"C#4"\n'), encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    cut = CutMade(entries=(PocketCut(start_mm=150.0, end_mm=190.0, depth_mm=2.0),))
    append_entries("try/C4.bar.json", cut)
    before = Path("try/C4.bar.json").read_bytes()
    text = Path("try.set.toml").read_text(encoding="utf-8").replace("C4 = 345", "C4 = 350")
    Path("try.set.toml").write_text(text.replace('"C#4" = 338', '"C#4" = 339'), encoding="utf-8")
    result = bench("instrument", "try.set.toml", "--cores", "1")
    assert result.code == 0
    assert Path("try/C4.bar.json").read_bytes() == before
    assert "C4.bar.json has a history" in result.err
    assert "no blank is sawn for it" in result.err
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        row = next(row for row in csv.DictReader(file) if row["note"] == "C4")
    # the table tells of the bar on the bench, and of nothing that the set file would have of it
    assert (row["state"], row["length_mm"], row["centre_mm"]) == ("kept", "345.0", "")
    assert "kept" in result.out
    # no step is reckoned across the gap that it leaves
    assert "lengths 0.0 mm" in result.out
    with Path("try/blanks.csv").open(encoding="utf-8") as file:
        assert {row["note"] for row in csv.DictReader(file)} == {"C#4"}
    assert read_bar_file("try/C#4.bar.json").blank.length_mm == pytest.approx(339.0)
    # the pitch changed half way: the bar that is kept is told of
    text = text.replace("a4_hz = 442", "a4_hz = 443")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    moved = bench("instrument", "try.set.toml", "--cores", "1")
    assert re.search(r"it aims at 26\d\.\d+ Hz \(A4 = 442, 1:4\), the set file at 26", moved.err)
    Path("try/C#4.bar.json").unlink()
    again = bench("instrument", "try.set.toml", "--cores", "1")
    assert "no bar file any more of C#4, and it was written as designed" in again.err
    assert "no bar file" not in bench("instrument", "try.set.toml", "--cores", "1").err


def test_a_bar_longer_than_the_one_below_is_told_of(tmp_path: Path) -> None:
    """Lengths on both sides of a change of ratios may say so without meaning it."""
    (tmp_path / "try.set.toml").write_text(SET, encoding="utf-8")
    blueprint = draw_blueprint(read_set_file(tmp_path / "try.set.toml"))
    assert blueprint.doubts == ()
    swapped = blueprint.lengths.length[[0, 2, 1, 3]]
    turned = replace(blueprint, lengths=replace(blueprint.lengths, length=swapped))
    (told,) = turned.doubts
    assert told.startswith("D4 comes out at 338.0 mm, longer than C#4 at 331.0 mm")


def test_a_blank_that_was_only_heard_follows_the_set_file(bench: Bench) -> None:
    Path("try.set.toml").write_text(SET.replace('"D#4"\n', '"C#4"\n'), encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    hz = json.loads(bench("modes", "try/C4", "--json").out)["bending_hz"]
    heard = ",".join(f"{value:.1f}" for value in hz[:3])
    assert bench("hear", "--into", "try/C4", "--hz", heard).code == 0
    before = read_bar_file("try/C4.bar.json")
    text = Path("try.set.toml").read_text(encoding="utf-8").replace("a4_hz = 442", "a4_hz = 440")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    moved = bench("instrument", "try.set.toml", "--cores", "1")
    after = read_bar_file("try/C4.bar.json")
    assert (after.target.a4_hz, after.log) == (440.0, before.log)
    assert after.design != before.design
    assert "C4" not in moved.err
    # once it is cut, it is what it is
    assert bench("cut", "try/C4", "--at", "170", "--width", "20", "--depth", "1").code == 0
    Path("try.set.toml").write_text(text.replace("= 440", "= 443"), encoding="utf-8")
    assert "C4.bar.json has a history" in bench("instrument", "try.set.toml", "--cores", "1").err
    assert read_bar_file("try/C4.bar.json").target.a4_hz == 440.0


def test_a_bar_that_is_being_tuned_as_planned_is_not_told_of(bench: Bench) -> None:
    Path("try.set.toml").write_text(SET.replace('"D#4"\n', '"C#4"\n'), encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        before = list(csv.DictReader(file))
    assert bench("cut", "try/C4", "--designed").code == 0
    again = bench("instrument", "try.set.toml", "--cores", "1")
    assert again.code == 0
    assert "C4" not in again.err
    with Path("try/bars.csv").open(encoding="utf-8") as file:
        assert list(csv.DictReader(file)) == before
    with Path("try/blanks.csv").open(encoding="utf-8") as file:  # its blank is sawn already
        assert {row["note"] for row in csv.DictReader(file)} == {"C#4"}


def test_the_bar_files_keep_what_the_set_file_says(bench: Bench) -> None:
    text = SET.replace('"D#4"\n', '"C#4"\n')
    run = ("instrument", "try.set.toml", "--cores", "1")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    assert bench(*run).code == 0
    files = [Path(f"try/{note}.bar.json") for note in ("C4", "C#4")]
    assert [read_bar_file(path).keep_mm for path in files] == [6.0, 6.0]  # padauk bears blows
    # a folder from before the bar files told it, one bar cut, and no record of the designs
    assert bench("cut", "try/C4", "--designed").code == 0
    for path in files:
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        path.write_text("".join(line for line in lines if "keep_mm" not in line), encoding="utf-8")
    Path("try/work.json").unlink()
    before = read_bar_file(files[0])
    assert before.keep_mm is None
    again = bench(*run)
    assert again.code == 0
    told = "C4: begun, and the bench now keeps 6 mm of it, as the set file says"
    assert told in again.err
    assert "of its own" not in again.err
    assert [read_bar_file(path).keep_mm for path in files] == [6.0, 6.0]
    assert read_bar_file(files[0]).changed(keep_mm=None) == before
    assert "bench now keeps" not in bench(*run).err


def test_a_least_thickness_that_changes_nothing_else_goes_into_begun_bars(bench: Bench) -> None:
    text = SET.replace('"D#4"\n', '"C#4"\n')
    run = ("instrument", "try.set.toml", "--cores", "1")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    assert bench(*run).code == 0
    assert bench("cut", "try/C4", "--designed").code == 0
    before = read_bar_file("try/C4.bar.json")
    Path("try.set.toml").write_text(
        text.replace("[stock]", "[shape]\nkeep_mm = 5\n[stock]"), encoding="utf-8"
    )
    told = bench(*run)
    after = read_bar_file("try/C4.bar.json")
    assert read_bar_file("try/C#4.bar.json").keep_mm == 5.0
    assert after.keep_mm == 5.0, told.err
    assert after.changed(keep_mm=6.0) == before
    assert "C4: begun, and the bench now keeps 5 mm of it" in told.err
    # of a bar that is kept as it is, so is its least thickness
    other = text.replace("[stock]", "[shape]\nkeep_mm = 4\n[stock]").replace("= 345", "= 350")
    Path("try.set.toml").write_text(other, encoding="utf-8")
    told = bench(*run)
    assert read_bar_file("try/C4.bar.json") == after
    assert "; the bench keeps 5 mm of it, as its own file says, not 4" in told.err


def test_refused_bars_are_listed_and_the_others_made(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(one_module, "ADVISE", False)
    text = SET.replace('"D#4"\n', '"C#4"\n').replace("[stock]", "[shape]\nkeep_mm = 5\n[stock]")
    Path("try.set.toml").write_text(
        text.replace("C4 = [1, 4]", '"C4" = [1, 4, 10]\n"C#4" = [1, 4]').replace("345", "500"),
        encoding="utf-8",
    )
    result = bench("instrument", "try.set.toml", "--cores", "1", "--json")
    answer = json.loads(result.out)
    assert [item["note"] for item in answer["refused"]] == ["C4"]
    assert "no arch undercut meets C4" in answer["refused"][0]["reason"]
    assert answer["bars"][1]["state"] == "designed"
    assert not Path("try/C4.bar.json").exists()


def test_a_bar_refused_for_a_while_is_the_sets_own_again_afterwards(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its file, which nobody had touched, was taken for a design of the maker's own."""
    monkeypatch.setattr(one_module, "ADVISE", False)
    good = SET.replace('"D#4"\n', '"C#4"\n').replace("[stock]", "[shape]\nkeep_mm = 5\n[stock]")
    bad = good.replace("C4 = [1, 4]", '"C4" = [1, 4, 10]\n"C#4" = [1, 4]').replace("345", "500")
    run = ("instrument", "try.set.toml", "--cores", "1")
    there = []
    for text in (good, bad, good.replace("345", "344")):
        Path("try.set.toml").write_text(text, encoding="utf-8")
        told = bench(*run)
        assert told.code == 0, told.err
        assert "of its own" not in told.told
        there.append(Path("try/C4.bar.json").exists())
    assert there == [True, False, True]
    assert read_bar_file("try/C4.bar.json").blank.length_mm == pytest.approx(344.0)
    # one that was begun stays, whatever becomes of its note
    assert bench("cut", "try/C4", "--designed").code == 0
    Path("try.set.toml").write_text(bad, encoding="utf-8")
    assert bench(*run).code == 0
    assert read_bar_file("try/C4.bar.json").cuts


@pytest.mark.parametrize(
    ("options", "code", "told"),
    [
        (["--bench", "11"], 3, "write °C and % humidity"),
        (["--into", "try.set.toml"], 3, "is a file"),
        (["--cores", "0"], 2, "cores"),
    ],
)
def test_wrong_options_say_so(bench: Bench, options: list[str], code: int, told: str) -> None:
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    result = bench("instrument", "try.set.toml", "--lengths-only", *options)
    if "--into" in options:
        result = bench("instrument", "try.set.toml", "--cores", "1", *options)
    assert result.code == code
    assert told in result.err


def test_an_old_set_is_retuned_from_its_readings(bench: Bench) -> None:
    Path("try.set.toml").write_text(SET.replace('"D#4"\n', '"C#4"\n'), encoding="utf-8")
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0
    # heard in tune to 444 Hz: about 8 cents above what the set file wants
    c4, d4 = 444 * 2 ** (-9 / 12), 444 * 2 ** (-7 / 12)
    lines = f"note,mode1_hz,mode2_hz\nC4,{c4:.3f},{4 * c4:.3f}\nC#4,277.183,\nD4,{d4:.3f},-\n"
    Path("heard.csv").write_text(lines, encoding="utf-8")
    result = bench("instrument", "try.set.toml", "--cores", "1", "--retune", "heard.csv", "--json")
    assert result.code == 0, result.err
    c4_bar, flat, lost = json.loads(result.out)["bars"]
    assert c4_bar["verdict"] == "cut"
    assert c4_bar["mode1_away_cents"] == pytest.approx(7.8, abs=0.1)
    assert -1.0 <= c4_bar["mode1_after_cents"] <= 3.0
    assert c4_bar["cuts"][0]["depth_mm"] > 0.0
    assert flat["mode1_away_cents"] == pytest.approx(-7.85, abs=0.1)  # 440 Hz wanted at 442
    assert lost["verdict"] == "cannot"
    assert "range" in lost["reason"]
    air = ("--bench", "11/50")
    told = bench("instrument", "try.set.toml", "--cores", "1", "--retune", "heard.csv", *air)
    assert "which are left +" in told.told
    with Path("try/retune.csv").open(encoding="utf-8") as file:
        assert [row["note"] for row in csv.DictReader(file)] == ["C4", "C#4", "D4"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("bar,hz\nC4,261\n", "first line must be"),
        ("note,mode1_hz\nC4,261\nC4,262\n", "line 3: C4 stands twice"),
        ("note,mode1_hz\nH9,261\n", "line 2"),
        ("note,mode1_hz\nC4,-261\n", "line 2: mode1_hz"),
        ("note,mode1_hz\n", "holds no reading"),
    ],
)
def test_wrong_readings_say_where(bench: Bench, text: str, told: str) -> None:
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    Path("heard.csv").write_text(text, encoding="utf-8")
    result = bench("instrument", "try.set.toml", "--cores", "1", "--retune", "heard.csv")
    assert result.code == 3
    assert told in result.err


def test_a_set_file_to_begin_with(bench: Bench) -> None:
    assert bench("instrument", "mine.set.toml", "--new").code == 0
    result = bench("instrument", "mine.set.toml", "--lengths-only", "--cores", "1", "--json")
    assert json.loads(result.out)["lengths"][0]["note"] == "C4"
    again = bench("instrument", "mine.set.toml", "--new")
    assert again.code == 3
    assert "exists" in again.err
