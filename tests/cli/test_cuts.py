"""The commands `map`, `try` and `cut`."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from barmodel.files import read_bar_file, target_of
from tests.cli.conftest import Bench


def test_cut_records_what_was_said_with_tool_and_measured_depth(cut_bench: Bench) -> None:
    words = ("--at", "200", "--cutter", "drum40", "--depth", "0.3", "--measured-depth", "0.35")
    result = cut_bench("cut", "G3", *words, "--date", "2026-05-31 14:30", "--remark", "edge")
    assert result.code == 0, result.err
    assert "entry 2" in result.out
    pocket, drum = read_bar_file("G3.bar.json").cuts
    assert pocket.entries[0].model_dump()["depth_mm"] == 5.0
    entry = drum.entries[0].model_dump()
    assert (entry["section"], entry["radius_mm"]) == ("round", 20.0)
    assert "mirror" not in entry  # it is in the middle of the bar
    assert "width_mm" not in entry  # follows from the depth, the measured one too
    assert (drum.tool, drum.measured_depth_mm, drum.remark) == ("drum40", 0.35, "edge")
    assert drum.date.startswith("2026-05-31")


def test_try_tells_before_after_and_shift_and_records_nothing(cut_bench: Bench) -> None:
    before = Path("G3.bar.json").read_bytes()
    result = cut_bench("try", "G3", "--at", "150", "--width", "12", "--depth", "0.3", "--json")
    answer = json.loads(result.out)
    assert answer["shift_cents"][1] < answer["shift_cents"][2] < 0.0
    assert answer["after_hz"][0] < answer["before_hz"][0]
    assert answer["cut"][0]["mirror"] is True
    assert answer["model"] == "solid"
    assert Path("G3.bar.json").read_bytes() == before


def test_a_cut_can_be_told_by_the_thickness_that_remains(cut_bench: Bench) -> None:
    """A maker has callipers at hand, and no depth gauge."""
    bench = cut_bench
    assert bench.start("new").code == 0
    words = ("cut", "new", "--from", "80", "--to", "320", "--depth", "13")
    assert bench(*words, "--remains", "8.7").code == 0
    (cut,) = read_bar_file(bench.folder / "new.bar.json").cuts
    assert cut.measured_depth_mm == pytest.approx(13.3, abs=1e-3)
    # on the floor of another cut, and over its edge: what is left at the thinnest place counts
    assert bench("cut", "new", "--at", "200", "--width", "20", "--depth", "0.5",
                 "--remains", "8.1").code == 0  # fmt: skip
    assert read_bar_file(bench.folder / "new.bar.json").cuts[1].measured_depth_mm == 0.6
    for options, told in (
        (("--remains", "8.7"), "no more than that without the cut"),
        (("--remains", "8", "--measured-depth", "0.2"), "give one of them"),
    ):
        refused = bench("cut", "new", "--at", "200", "--width", "20", "--depth", "0.5", *options)
        assert refused.code == 3
        assert told in refused.told


def test_parts_of_a_cut_are_measured_one_by_one(cut_bench: Bench) -> None:
    bench = cut_bench
    assert bench.start("new").code == 0
    pockets = [
        {"shape": "pocket", "start_mm": a, "end_mm": 400 - a, "depth_mm": d}
        for a, d in ((90, 4.0), (120, 4.5))
    ]
    file = bench.folder / "cut.json"
    file.write_text(json.dumps({"schema": "barmodel/cut/1", "bar": "new", "log_entries": 0,
                                "entries": pockets}))  # fmt: skip
    whole = bench("cut", "new", "--entries", str(file), "--remains", "13.4")
    assert whole.code == 3
    assert "record them one by one, in their order, with --part 1 --remains" in whole.told
    for part, left in ((1, "17.9"), (2, "13.4")):
        words = ("cut", "new", "--entries", str(file), "--part", str(part), "--remains", left)
        found = bench(*words)
        assert found.code == 0, found.err
        assert "was made before" not in found.err
    depths = [cut.measured_depth_mm for cut in read_bar_file(bench.folder / "new.bar.json").cuts]
    assert depths == pytest.approx([4.1, 4.5])
    assert bench("cut", "new", "--entries", str(file), "--part", "3").code == 3
    assert "say --designed or --entries" in bench("cut", "new", "--at", "200", "--part", "1").told


def test_a_recipe_ends_with_the_commands_that_record_it(cut_bench: Bench) -> None:
    found = cut_bench("map", "G3", "--lower", "V2", "--by", "3", "--stations", "24")
    assert found.code == 0, found.err
    told = [line for line in found.err.splitlines() if line.startswith("barmodel cut")]
    assert told
    for line in told:
        assert cut_bench(*line.split()[1:]).code == 0


def test_one_side_does_about_half_and_ends_raise(cut_bench: Bench) -> None:
    words = ("try", "G3", "--at", "150", "--cutter", "scraper20", "--depth", "0.1", "--json")
    pair = json.loads(cut_bench(*words).out)["shift_cents"][0]
    one = json.loads(cut_bench(*words, "--one-side").out)["shift_cents"][0]
    assert one == pytest.approx(pair / 2, rel=0.005)
    ends = json.loads(cut_bench("try", "G3", "--ends", "1.0", "--json").out)
    assert min(ends["shift_cents"]) > 3.0


def test_the_design_is_cut_whole_or_in_part(bench: Bench) -> None:
    bench.start()
    text = json.loads(Path("G3.bar.json").read_text())
    text["design"] = [
        {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 9.0, "fullness": 3.0},
        {"shape": "groove", "at_mm": 200.0, "width_mm": 20.0, "depth_mm": 1.0},
    ]
    Path("G3.bar.json").write_text(json.dumps(text))
    assert bench("cut", "G3", "--designed", "--part", "1").code == 0
    assert [e.shape for e in read_bar_file("G3.bar.json").cuts[0].entries] == ["arch"]
    assert "has 2 entries" in bench("cut", "G3", "--designed", "--part", "3").told


def test_entries_of_a_file_are_cut_as_they_stand(bench: Bench) -> None:
    bench.start()
    entries = '[{"shape": "groove", "at_mm": 150, "width_mm": 12, "depth_mm": 0.5}]'
    Path("more.json").write_text(entries)
    assert bench("cut", "G3", "--entries", "more.json").code == 0
    assert read_bar_file("G3.bar.json").cuts[0].entries[0].model_dump()["at_mm"] == 150.0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--at", "500", "--width", "12", "--depth", "1"], "nearest place"),
        (["--at", "200", "--width", "12", "--depth", "18"], "deepest possible there is 15.00 mm"),
        (["--at", "200", "--cutter", "bit12", "--width", "5", "--depth", "1"], "shortest"),
        (["--at", "200", "--cutter", "drum0", "--depth", "1"], "not known"),
        (["--at", "200", "--depth", "1"], "how long"),
        (["--at", "200", "--width", "12"], "how deep"),
        (["--from", "200", "--depth", "1"], "belong together"),
        (["--from", "300", "--to", "200", "--depth", "1"], "not before"),
        (["--ends", "390"], "at most"),
        ([], "say a cut"),
    ],
)
def test_bad_cuts_are_refused_with_what_would_do(
    cut_bench: Bench, words: list[str], told: str
) -> None:
    before = Path("G3.bar.json").read_bytes()
    for verb in ("cut", "try"):
        result = cut_bench(verb, "G3", *words)
        assert result.code == 3, result
        assert told in result.told
    assert Path("G3.bar.json").read_bytes() == before


def test_map_gives_table_json_csv_picture_and_recipe(cut_bench: Bench) -> None:
    more = ("--csv", "map.csv", "--plot", "map.svg", "--stations", "30")
    result = cut_bench("map", "G3", "--cutter", "file10", *more)
    assert result.code == 0, result.err
    assert "no effect" in result.out
    assert "\nmode 1 " in result.out
    assert "\nV1" not in result.out
    rows = Path("map.csv").read_text().splitlines()
    assert rows[0] == "x_mm,V1_cents_per_mm,V2_cents_per_mm,V3_cents_per_mm"
    assert len(rows) == 31
    assert Path("map.svg").stat().st_size > 5000
    words = ("--json", "--stations", "30", "--lower", "V1", "--by", "5")
    answer = json.loads(cut_bench("map", "G3", *words).out)
    assert [len(row) for row in answer["cents_per_mm"]] == [30, 30, 30]
    assert len(answer["x_mm"]) == 30
    assert answer["cutter"] == "scraper20"
    assert answer["recipe"]["shift_cents"][0] == pytest.approx(-5.0, rel=0.03)
    assert "belong together" in cut_bench("map", "G3", "--lower", "V1").told


def test_map_explains_itself_and_names_the_next_step(cut_bench: Bench) -> None:
    computed = json.loads(cut_bench("modes", "G3", "--json").out)["bending_hz"][:3]
    spoken = ",".join(f"{hz:.2f}" for hz in computed)
    assert cut_bench("hear", "--hz", spoken, "--into", "G3").code == 0
    result = cut_bench("map", "G3", "--stations", "30")
    shown = result.shown
    for word in (
        "scraper20 (a dish 20 mm long)", "nearer than 10 mm to the middle the pair runs into one",
        "strongest: a cut there lowers the mode most", "best single cut (▼ in the picture): at",
    ):  # fmt: skip
        assert word in shown
    command = result.err[result.err.index("barmodel try") :].split(",")[0].split()[1:]
    assert cut_bench(*command).code == 0  # it can be tried as it stands
    alone = cut_bench("map", "G3", "--stations", "30", "--one-side").out
    assert "runs into one" not in " ".join(alone.split())


def test_a_recipe_that_cannot_be_had_gets_an_offer_that_makes_sense(cut_bench: Bench) -> None:
    ask = ("map", "G3", "--stations", "30", "--lower", "V1", "--by")
    refused = cut_bench(*ask, "32")
    assert refused.code == 4
    assert "--deepest" in refused.err
    assert 5.0 < float(refused.err.split("ask for ")[1].split()[0]) < 32.0
    shown = cut_bench(*ask, "5").out
    first = shown.split("least cuts")[1].splitlines()[3].split()
    assert first[1] == "and"
    assert float(first[0]) + float(first[2]) == pytest.approx(400.0)


def test_own_cutters_beside_the_bar_file_are_known(bench) -> None:
    bench.start()
    (bench.folder / "cutters.toml").write_text(
        'schema = "barmodel/cutters/1"\n[cutters.bigdrum]\nkind = "drum"\nradius_mm = 32\n'
    )
    result = bench("try", "G3", "--at", "150", "--depth", "1", "--cutter", "bigdrum", "--json")
    assert result.code == 0
    (cut,) = json.loads(result.out)["cut"]
    assert cut["radius_mm"] == pytest.approx(32.0)
    (bench.folder / "cutters.toml").unlink()
    assert bench("try", "G3", "--at", "150", "--depth", "1", "--cutter", "bigdrum").code == 3


def test_a_value_that_cannot_be_recorded_is_named(bench: Bench) -> None:
    bench.start()
    long = bench("cut", "G3", "--ends", "1000m")
    assert long.code == 3
    assert "--ends: length_mm: " in long.told
    undated = bench("cut", "G3", "--at", "200", "--width", "9", "--depth", "1", "--date", "May")
    assert undated.code == 3
    assert "this cut: date: 'May' is not a date" in undated.told


def test_the_map_starts_from_the_ear_also_after_a_cut(bench: Bench) -> None:
    """What was heard flat and trimmed since is still flat, whatever the computed bar says."""
    bench.start()
    target = target_of(read_bar_file("G3.bar.json").target)
    heard = target.hz * 2.0 ** (np.array([900.0, 400.0, -50.0]) / 1200)
    spoken = ",".join(f"{hz:.3f}" for hz in heard)
    assert bench("hear", "--hz", spoken, "--into", "G3", "--unusual").code == 0
    before = json.loads(bench("map", "G3", "--json").out)["cents"]
    assert before == pytest.approx([900.0, 400.0, -50.0], abs=0.5)
    assert bench("cut", "G3", "--ends", "1.0").code == 0
    rise = np.subtract(json.loads(bench("map", "G3", "--json").out)["cents"], before)
    assert ((rise > 2.0) & (rise < 20.0)).all()


def test_the_same_cut_again_is_recorded_with_a_caution(cut_bench: Bench) -> None:
    words = ("cut", "G3", "--at", "150", "--cutter", "scraper20", "--depth", "0.3")
    assert "recorded twice" not in cut_bench(*words).err
    again = cut_bench(*words)
    assert again.code == 0
    assert "mind: like entry 2, and nothing was heard between; recorded twice?" in again.err
    assert "barmodel log G3.bar.json --cancel 3" in again.err
    assert cut_bench("log", "G3", "--cancel", "3").code == 0
    # deeper than the wood allows: the same question comes before the way round
    deep = ("cut", "G3", "--at", "200", "--width", "12", "--depth", "9")
    assert cut_bench(*deep).code == 0
    refused = cut_bench(*deep)
    assert refused.code == 3
    assert "like entry 5, with no reading between: recorded already?" in refused.told


def test_a_cut_after_a_reading_is_no_twin(cut_bench: Bench) -> None:
    words = ("cut", "G3", "--at", "150", "--cutter", "scraper20", "--depth", "0.3")
    cut_bench(*words)
    heard = cut_bench("hear", "--hz", "430,1300,2500", "--into", "G3", "--unusual")
    assert heard.code == 0, heard.err
    assert "recorded twice" not in cut_bench(*words).err


def test_to_record_a_cut_no_solver_is_loaded(cut_bench: Bench) -> None:
    code = (
        "import sys; from barmodel_cli.app import call; "
        "call(['cut', 'G3', '--at', '150', '--width', '12', '--depth', '0.3']); "
        "print([name for name in ('scipy', 'barmodel.solid', 'barmodel.modes') "
        "if name in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.splitlines()[-1] == "[]"


def test_sizes_and_both_halves_are_explained_where_they_are_asked_for(cut_bench: Bench) -> None:
    for verb in ("cut", "try", "next"):
        told = cut_bench(verb, "-h").shown
        assert "drum40 are 12 and 40 mm across (diameters)" in told
        if verb != "next":
            assert "the other half gets the same cut, mirrored, unless --one-side" in told
    tried = cut_bench("try", "G3", "--at", "60", "--width", "12", "--depth", "0.3").out
    assert tried.startswith("tried: flat cut at 60 and 340 mm, 12 mm long")


def test_the_help_says_what_a_dish_is(bench: Bench) -> None:
    assert "a dish, a drum an arc: deepest in the middle" in bench("cut", "-h").shown
