"""A set whose first bars are on the bench: its cords, lengths and planks take notice of them."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from barmodel.files import read_bar_file, set_there
from barmodel.instrument import one
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
    assert "D4.bar.json was shortened by 6 mm since it was designed" in told.err
    row = rows()["D4"]
    assert (row["state"], row["mode1_cents"]) == ("kept", ""), "they were those of its old length"
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


PLANKS = """
[[planks]]
name = "P1"
length_mm = 760
width_mm = 60
thickness_mm = 22
mass_g = 750
[[planks]]
name = "P2"
length_mm = 1500
width_mm = 60
thickness_mm = 22
mass_g = 1500
"""
OF_PLANKS = SET + PLANKS


def blanks() -> dict[str, dict[str, str]]:
    with Path("try/blanks.csv").open(encoding="utf-8") as file:
        return {row["note"]: row for row in csv.DictReader(file)}


def test_bars_say_their_plank_and_keep_its_wood(bench: Bench) -> None:
    Path("try.set.toml").write_text(OF_PLANKS, encoding="utf-8")
    assert bench(*RUN).code == 0
    first = blanks()
    of = {note: row["board"] for note, row in first.items()}
    assert sorted(of.values()).count("P1") <= 2
    note = next(note for note in of if of[note] == "P1")
    path = f"try/{note}.bar.json"
    assert read_bar_file(path).blank.plank == "P1"
    assert bench("cut", f"try/{note}", "--designed").code == 0
    assert ", of plank P1," in bench("log", f"try/{note}").out
    assert json.loads(bench("log", f"try/{note}", "--json").out)["plank"] == "P1"
    paper = json.loads(bench("sheet", f"try/{note}", "--out", "x.pdf", "--json").out)
    assert paper["wood"].endswith(", plank P1")
    # what is still to be sawn lies where it lay
    assert bench(*RUN).code == 0
    assert blanks() == {n: row for n, row in first.items() if n != note}
    # the set file changes, and the begun bar keeps its wood: P1 has room for one more
    text = OF_PLANKS.replace("a4_hz = 442", "a4_hz = 441").replace(
        "length_mm = 1500", "length_mm = 800"
    )
    Path("try.set.toml").write_text(text, encoding="utf-8")
    told = bench(*RUN)
    assert sum(row["board"] == "P1" for row in blanks().values()) == 1
    assert rows()[note]["plank"] == "P1"
    assert read_bar_file(path).blank.plank == "P1"
    assert f"{note}.bar.json has a history" in told.err


def test_planks_that_are_full_of_what_was_sawn_are_told_of(bench: Bench) -> None:
    text = OF_PLANKS.replace("length_mm = 1500", "length_mm = 800")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    assert bench(*RUN).code == 0
    of = {note: row["board"] for note, row in blanks().items()}
    assert sorted(of.values()) == ["P1", "P1", "P2", "P2"]
    for note in (n for n in of if of[n] == "P2"):
        assert bench("cut", f"try/{note}", "--designed").code == 0
    # P1 is sold: nothing is left for its bars, though P2 by its size would have room for them
    text = text[: text.index("[[planks]]")] + text[text.rindex("[[planks]]") :]
    Path("try.set.toml").write_text(text, encoding="utf-8")
    told = bench(*RUN)
    went = " ".join(sorted((n for n in of if of[n] == "P2"), key=list(of).index))
    assert "no plank is left for" in told.err
    assert f"what begun bars took is gone: {went} came out of P2" in told.err.replace("\n", " ")
    assert not any(row["board"] == "P2" for row in blanks().values())


def test_what_a_bar_took_that_became_another_note_is_told(bench: Bench) -> None:
    Path("try.set.toml").write_text(OF_PLANKS, encoding="utf-8")
    assert bench(*RUN).code == 0
    assert bench("cut", "try/C4", "--designed").code == 0
    assert bench("log", "try/C4", "--note", "B3").code == 0
    plank = read_bar_file("try/C4.bar.json").blank.plank
    told = bench(*RUN).told
    assert f"its blank is in the cut list again, which takes {plank} to be whole: look at" in told


def test_bar_files_from_before_they_told_of_planks(bench: Bench) -> None:
    """Neither begun nor untouched do they become bars with a history of their own."""
    Path("try.set.toml").write_text(OF_PLANKS, encoding="utf-8")
    assert bench(*RUN).code == 0
    assert bench("cut", "try/C4", "--designed").code == 0
    told = {path: read_bar_file(path) for path in sorted(Path("try").glob("*.bar.json"))}
    for path, document in told.items():
        text = path.read_text(encoding="utf-8")
        known = f', "plank": "{document.blank.plank}"'
        assert known in text
        path.write_text(text.replace(known, ""), encoding="utf-8")
        assert read_bar_file(path).blank.plank is None
    Path("try/work.json").unlink()  # the hardest case: nothing says that they are the set's own
    again = bench(*RUN)
    assert "history" not in again.err
    assert {path: read_bar_file(path) for path in told} == told


def test_lengths_go_through_bars_that_are_sawn(bench: Bench) -> None:
    free = SET.replace("given_mm", "# given_mm")
    Path("try.set.toml").write_text(free, encoding="utf-8")
    assert bench(*RUN).code == 0
    before = rows()
    hz = json.loads(bench("modes", "try/D4", "--json").out)["bending_hz"]
    heard = ",".join(f"{value:.1f}" for value in hz[:3])
    assert bench("hear", "--into", "try/D4", "--hz", heard).code == 0
    same = {name: text for name, text in content().items() if name != "blanks.csv"}
    assert bench(*RUN).code == 0
    assert "D4" not in blanks()
    assert same.items() <= content().items(), "the set file is as it was"
    # a new pitch, and C4 longer: the others follow, and pay heed to the length of D4
    moved = free.replace("a4_hz = 442", "a4_hz = 438")
    moved = moved.replace("[lengths]", "[lengths]\ngiven_mm = {C4 = 356}")
    Path("try.set.toml").write_text(moved, encoding="utf-8")
    lengths = json.loads(bench("instrument", "try.set.toml", "--lengths-only", "--json").out)
    assert bench(*RUN).code == 0
    after = rows()
    assert after["D4"]["length_mm"] == before["D4"]["length_mm"]
    assert float(after["C4"]["length_mm"]) == 356.0
    assert after["D#4"]["length_mm"] != before["D#4"]["length_mm"]
    assert {row["note"]: row["length_mm"] for row in lengths["lengths"]} == {
        note: pytest.approx(float(row["length_mm"]), abs=0.01) for note, row in after.items()
    }
    # so a blank that was only heard can be the set's bar still, at the new pitch
    assert after["D4"]["state"] == "designed"
    there = read_bar_file("try/D4.bar.json")
    assert there.target.a4_hz == 438.0
    assert len(there.readings) == 1


def test_a_begun_bar_is_told_of_though_the_set_file_has_no_design_for_it(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(one, "ADVISE", False)
    Path("try.set.toml").write_text(SET, encoding="utf-8")
    assert bench(*RUN).code == 0
    assert bench("cut", "try/C4", "--designed").code == 0
    before = Path("try/C4.bar.json").read_bytes()
    text = SET.replace("C4 = [1, 4]", 'C4 = [1, 4, 10]\n"C#4" = [1, 4]').replace("345", "500")
    Path("try.set.toml").write_text(text, encoding="utf-8")
    answer = json.loads(bench(*RUN, "--json").out)
    assert [item["note"] for item in answer["refused"]] == ["C4"]
    row = rows()["C4"]
    assert (row["state"], row["length_mm"]) == ("kept", "345.0")
    assert "though the set file's bar cannot be" in row["remark"]
    assert row["hole_mm"] != ""
    assert float(read_bar_file("try/C4.bar.json").blank.length_mm) == 345.0
    assert Path("try/C4.bar.json").read_bytes() == before
    far = json.loads(bench(*RUN[:2], "--next", "--json").out)
    assert (far["bars"][-1]["note"], far["bars"][-1]["state"]) == ("C4", "other aim")
    assert far["next_bar"] == "try/C4.bar.json"
