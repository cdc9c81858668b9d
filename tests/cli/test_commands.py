from __future__ import annotations

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest

from barmodel.files import CutMade, PocketCut, append_entries, read_bar_file
from barmodel_cli.shown.show import plain
from tests.cli.conftest import Bench


def test_start_writes_a_file_that_stands_by_itself(bench: Bench) -> None:
    result = bench.start("G3", "--length", "15 3/4in", "--a4", "442", "--ratios", "1:4:9.8")
    assert result.code == 0, result.err
    document = read_bar_file("G3.bar.json")
    assert document.name == "G3"
    assert document.blank.length_mm == pytest.approx(400.05)
    assert document.target.ratios == (1.0, 4.0, 9.8)
    assert None not in document.wood.model_dump().values()
    assert "g_long_width" in document.wood.assumed
    assert "next: barmodel design G3.bar.json" in result.err


def test_taps_become_the_first_reading(bench: Bench) -> None:
    assert bench.start("G3", "--tap", "662,-,2936", "--temperature", "21").code == 0
    reading = read_bar_file("G3.bar.json").readings[0]
    assert (reading.id, reading.hz, reading.temperature_c) == (1, (662.0, None, 2936.0), 21.0)


def test_start_does_not_overwrite_unless_forced(bench: Bench) -> None:
    bench.start()
    before = Path("G3.bar.json").read_bytes()
    result = bench.start("G3", "--width", "50")
    assert (result.code, Path("G3.bar.json").read_bytes()) == (3, before)
    assert "--force" in result.err
    assert bench.start("G3", "--width", "50", "--force").code == 0
    assert read_bar_file("G3.bar.json").blank.width_mm == 50.0


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--note", "H9"], "did you mean"),
        (["--note", "Q3"], "did you mean"),
        (["--wood", "paduak"], "did you mean padauk"),
        (["--length", "nan"], "not understood"),
        (["--length", "-400"], "above zero"),
        (["--length", "400,5"], "400.5"),
        (["--length", "0"], "above zero"),
        (["--length", "30"], "length"),
        (["--density", "nan"], "finite"),
        (["--e-long", "-3"], "above zero"),
        (["--e-long", "12,5"], "12.5"),
        (["--mass", "inf"], "finite"),
        (["--a4", "4400"], "tuning frequency"),
        (["--ratios", "4:1"], "start at 1"),
        (["--offset", "9999"], "octave"),
        (["--tap", "-,-"], "no frequency"),
        (["--tap", "900,300"], "ascend"),
        (["--tap", "300", "--humidity", "300"], "--humidity: must be at most"),
    ],
)
def test_bad_values_are_told_and_nothing_is_written(
    bench: Bench, options: list[str], told: str
) -> None:
    result = bench.start("G3", *options)
    assert result.code == 3, result.err
    text = result.told
    assert told in text
    assert "Traceback" not in result.err
    assert list(bench.folder.iterdir()) == []


def test_missing_folder_is_told(bench: Bench) -> None:
    result = bench.start("nowhere/G3")
    assert result.code == 3
    assert "there is no folder nowhere" in result.err.replace(f"{bench.folder}/", "")


def test_modes_of_blank_and_bar(bench: Bench) -> None:
    bench.start()
    uncut = json.loads(bench("modes", "G3", "--blank", "--json", "--model", "beam").out)
    pocket = PocketCut(start_mm=120.0, end_mm=280.0, depth_mm=8.0)
    append_entries("G3.bar.json", CutMade(entries=(pocket,)))
    cut = json.loads(bench("modes", "G3", "--json", "--model", "beam").out)
    assert {"bending_hz", "torsional_hz", "lateral_hz", "cents", "nodes_mm", "model"} <= set(cut)
    assert cut["bending_hz"][0] < 0.8 * uncut["bending_hz"][0]
    away = 1200 * math.log2(cut["bending_hz"][0] / cut["target_hz"][0])
    assert cut["cents"][0] == pytest.approx(away)
    # still points of a uniform free bar, Blevins 1979, table 8-1; shear moves them a little
    assert uncut["nodes_mm"][0] == pytest.approx([0.2242 * 400, 0.7758 * 400], abs=2.0)


def test_modes_table_names_model_and_cents(bench: Bench) -> None:
    bench.start()
    result = bench("modes", "G3", "--model", "beam")
    assert result.code == 0
    assert "mode 1" in result.out
    assert "model: beam" in result.out
    assert all(len(line.rstrip()) <= 100 for line in result.out.splitlines())


@pytest.mark.parametrize("words", [["modes", "none"], ["log", "none"], ["modes", "."]])
def test_missing_bar_file_is_told(bench: Bench, words: list[str]) -> None:
    result = bench(*words)
    assert result.code == 3
    assert "Traceback" not in result.err


def test_design_is_asked_for_when_missing(bench: Bench) -> None:
    bench.start()
    result = bench("modes", "G3", "--designed")
    assert result.code == 3
    assert "barmodel design G3.bar.json --save" in result.err


def test_log_shows_cents_and_cancels(bench: Bench) -> None:
    bench.start("G3", "--tap", "195.998,783.99,-", "--unusual")
    append_entries(
        "G3.bar.json", CutMade(entries=(PocketCut(start_mm=90.0, end_mm=310.0, depth_mm=3.0),))
    )
    shown = bench("log", "G3").out
    assert "0.0  0.0  –" in shown
    assert "pocket" in shown
    result = bench("log", "G3", "--cancel", "2", "--remark", "other bar")
    assert result.code == 0
    assert "cancelled" in result.out
    assert read_bar_file("G3.bar.json").cuts == ()
    again = bench("log", "G3", "--cancel", "2")
    assert again.code == 3
    assert "cancelled already" in again.err
    rows = json.loads(bench("log", "G3", "--json").out)["log"]
    assert [row["counts"] for row in rows] == [True, False, True]


@pytest.mark.parametrize("number", ["0", "-1", "7"])
def test_what_is_not_in_the_log_cannot_be_cancelled(bench: Bench, number: str) -> None:
    bench.start("G3", "--tap", "662")
    before = Path("G3.bar.json").read_bytes()
    assert bench("log", "G3", "--cancel", number).code == 3
    assert Path("G3.bar.json").read_bytes() == before


def test_woods_tell_sources(bench: Bench) -> None:
    assert "Pterocarpus soyauxii" in bench("woods").out
    one = bench("woods", "padauk")
    assert "Forest Products" in one.out
    assert "dust" in one.out
    assert bench("woods", "unobtainium").code == 3


def test_schema_is_json_schema(bench: Bench) -> None:
    bar = json.loads(bench("schema", "bar").out)
    assert bar["additionalProperties"] is False
    assert set(json.loads(bench("schema").out)) >= {"bar", "entries"}
    assert bench("schema", "nothing").code == 3


def test_json_holds_no_nan() -> None:
    mixed = {"a": np.array([1.0, np.nan]), "b": (np.float64(2.0), math.inf), "c": None}
    assert plain(mixed) == {"a": [1.0, None], "b": [2.0, None], "c": None}


def test_a_name_that_woods_share_is_told(bench: Bench) -> None:
    sizes = ("--length", "18 1/8in", "--width", "64", "--thickness", "23", "--note", "C3")
    told = bench("start", "one", *sizes, "--wood", "rosewood").out
    assert "460.375 × 64 × 23 mm" in told
    assert "honduran rosewood (Dalbergia stevensonii)" in told
    assert "indian rosewood or bubinga" in told
    file = json.loads((bench.folder / "one.bar.json").read_text())
    assert file["wood"]["species"] == "honduran rosewood"
    told = bench("start", "two", *sizes, "--wood", "indian-rosewood").out
    assert "taken for" not in told
    assert "indian rosewood (Dalbergia latifolia)" in told
    assert "'rosewood' may be another one: indian rosewood" in bench("woods", "rosewood").out
    detail, table = bench("woods", "indian rosewood").out, bench("woods").out
    assert "12.27" in detail
    assert "E 13.50 GPa, × 1.10" in detail
    assert "13.5" in next(line for line in table.splitlines() if "latifolia" in line)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("hear", "--temperature", "210"), "--temperature 210: in °C no bar on a bench has it"),
        (("hear", "--temperature", "210", "--unusual"), "--temperature: must be at most 80"),
        (("hear", "--humidity", "130"), "--humidity: must be at most 100 (it is 130.0)"),
        (("start", "--temperature", "210"), "--temperature 210: in °C no bar on a bench has it"),
        (("start", "--humidity", "-1"), "--humidity: must be at least 0 (it is -1.0)"),
    ],
)
def test_a_value_beyond_its_limit_names_the_option(
    bench: Bench, words: tuple[str, ...], says: str
) -> None:
    bench.start()
    verb, *rest = words
    if verb == "hear":
        result = bench("hear", "--hz", "617,1616,2957", "--into", "G3", *rest)
    else:
        result = bench.start("other", "--tap", "617,1616,2957", *rest)
    assert result.code == 3
    told = result.told
    assert says in told
    assert "nput should" not in told


def test_the_map_and_its_picture_name_the_same_cut(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from matplotlib.text import Text

    figures = []
    monkeypatch.setattr("barmodel.plots.save_figure", lambda figure, path: figures.append(figure))
    bench.start()
    assert bench("cut", "G3", "--from", "80", "--to", "320", "--depth", "9").code == 0
    computed = json.loads(bench("modes", "G3", "--json").out)["bending_hz"][:3]
    spoken = ",".join(f"{hz:.2f}" for hz in computed)
    assert bench("hear", "--hz", spoken, "--into", "G3").code == 0
    told = bench("map", "G3", "--stations", "30", "--plot", "map.png")
    words = " ".join(text.get_text() for text in figures[0].findobj(Text))
    at, depth = re.findall(r"at (\d+) and \d+ mm, (\d\.\d\d) mm deep", words)[0]
    assert re.search(rf"best single cut .*: at {at} and \d+ mm, {depth} mm deep", told.out)
    assert f"--at {at} --cutter scraper20 --depth {depth}," in told.err
    one = bench("map", "G3", "--stations", "30", "--one-side", "--width", "30")
    assert re.search(r"--at \d+ --cutter scraper20 --width 30 --one-side --depth \d", one.err)


@pytest.mark.parametrize(
    ("word", "label"),
    [("2", "V2"), ("mode 2", "V2"), ("v2", "V2"), ("V2", "V2"), (" la1 ", "La1"), ("T1", "T1"),
     ("x9", "x9")],
)  # fmt: skip
def test_modes_of_the_map_go_by_their_numbers_too(word: str, label: str) -> None:
    from barmodel_cli.commands.map import _label

    assert _label(word) == label
