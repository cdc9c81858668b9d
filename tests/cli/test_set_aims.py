"""Bars of a set with another aim than its file: told, brought over, made again."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest

from barmodel.files import NewAim, Reading, append_entries, bar_as_is, read_bar_file
from tests.cli.conftest import Bench
from tests.cli.sets import SET

RUN = ("instrument", "try.set.toml", "--cores", "1")
SMALL = SET.replace('"D#4"\n', '"C#4"\n').replace("[room]\n", "")
SMALL = SMALL.replace("temperature_c = 21\nhumidity_percent = 50\n", "")
C4_HZ = 261.6256


def write_set(a4: str = "442") -> None:
    Path("try.set.toml").write_text(SMALL.replace("a4_hz = 442", f"a4_hz = {a4}"))


@pytest.fixture
def tuned(bench: Bench) -> Bench:
    """A set of two bars at A4 = 442, C4 cut as designed and in tune."""
    write_set()
    assert bench(*RUN).code == 0
    for _ in range(2):
        hear("C4", 0.5)
    assert bench("cut", "try/C4", "--designed").code == 0
    for _ in range(2):
        hear("C4", 1.0)
    return bench


def hear(note: str, cents: float, a4: float = 442.0) -> None:
    hz = C4_HZ * a4 / 440 * 2 ** (cents / 1200)
    if note == "C4" and not read_bar_file("try/C4.bar.json").begun:
        hz *= 2.3  # of the blank, made up
    append_entries(f"try/{note}.bar.json", Reading(hz=(hz, 4.0 * hz)))


def rows(name: str) -> dict[str, dict[str, str]]:
    with Path("try", name).open(encoding="utf-8") as file:
        return {row["note"]: row for row in csv.DictReader(file)}


def progress(bench: Bench) -> dict[str, dict[str, Any]]:
    found = bench(*RUN[:2], "--next", "--json")
    assert found.code == 0, found.err
    return {bar["note"]: bar for bar in json.loads(found.out)["bars"]}


def retuned(bench: Bench, hz: float) -> dict[str, Any]:
    Path("heard.csv").write_text(f"note,mode1_hz,mode2_hz\nC4,{hz},{4 * hz}\n")
    found = bench(*RUN, "--retune", "heard.csv", "--json")
    assert found.code == 0, found.err
    answer: dict[str, Any] = json.loads(found.out)
    return answer


def test_a_begun_bar_is_brought_over_by_the_command_that_is_given(tuned: Bench) -> None:
    assert progress(tuned)["C4"]["state"] == "in tune"
    write_set("443")
    command = "barmodel log try/C4.bar.json --a4 443"
    hz = C4_HZ * 442 / 440 * 2 ** (1.0 / 1200)
    before = progress(tuned)["C4"]
    assert (before["state"], before["command"]) == ("other aim", command)
    assert (
        f"C4: it aims at C4 (A4 = 442, 1:4), its set at C4 (A4 = 443, 1:4): {command}"
        in " ".join(tuned(*RUN[:2], "--next").out.split())
    )
    shown = tuned(*RUN[:2], "--next").shown
    assert "run barmodel instrument SETFILE, which designs C#4 anew" in shown
    asked = retuned(tuned, hz)
    assert asked["to_bring_over"] == [command]
    assert asked["bars"][0]["mode1_away_cents"] == pytest.approx(before["cents"][0], abs=0.01)

    told = tuned(*RUN)
    assert re.search(rf"it aims at .* to bring it over, {command};", told.told)
    assert command in tuned("next", "try/C4").told  # the run has told the folder

    assert tuned(*command.split()[1:]).code == 0
    after = progress(tuned)["C4"]
    assert (after["state"], after["command"]) == ("begun", None)
    assert after["cents"] == pytest.approx(before["cents"])
    asked = retuned(tuned, hz)
    assert asked["to_bring_over"] == []
    assert asked["bars"][0]["mode1_away_cents"] == pytest.approx(after["cents"][0], abs=0.01)
    advice = tuned("next", "try/C4", "--json")
    assert "its set" not in advice.told
    now = json.loads(advice.out)
    left = 2 ** (-now["holes"]["shift_cents"][0] / 1200)  # for the holes on the cords
    assert now["target_hz"][0] == pytest.approx(C4_HZ * 443 / 440 * left, abs=1e-3)
    assert now["now_cents"][0] == pytest.approx(after["cents"][0], abs=1.0)  # by all readings
    again = tuned(*RUN)
    assert "its aim is that of the set file" in again.told
    assert "bring it over" not in again.told
    assert float(rows("bars.csv")["C4"]["mode1_target_hz"]) == pytest.approx(263.409, abs=2e-3)


def test_retuning_keeps_what_the_bar_file_keeps(tuned: Bench) -> None:
    hz = C4_HZ * 442 / 440 * 2 ** (60.0 / 1200)
    path = Path("try/C4.bar.json")
    thin = bar_as_is(read_bar_file(path)).profile.least_thickness()[0] * 1e3
    free = retuned(tuned, hz)["bars"][0]
    assert free["least_mm"] < thin - 0.1
    own = round(thin - 0.05, 3)
    path.write_text(path.read_text().replace('"keep_mm": 6.0', f'"keep_mm": {own}'))
    assert read_bar_file(path).keep_mm == own
    assert retuned(tuned, hz)["bars"][0]["least_mm"] >= round(own, 2)


def test_next_names_the_bar_whose_aim_the_set_has_left(tuned: Bench) -> None:
    write_set("443")
    assert tuned(*RUN).code == 0
    assert tuned("cut", "try/C#4", "--designed").code == 0
    hz = C4_HZ * 2 ** (101.0 / 1200) * 443 / 440
    for _ in range(3):
        append_entries("try/C#4.bar.json", Reading(hz=(hz, 4.0 * hz)))
    found = json.loads(tuned("next", "try/C#4", "--json").out)
    assert found["state"] == "finished"
    assert found["next_bar"] == "try/C4.bar.json"
    assert found["next_bar_first"] == "barmodel log try/C4.bar.json --a4 443"
    shown = tuned("next", "try/C#4").shown
    assert "next bar of the set: barmodel log try/C4.bar.json --a4 443, then barmodel next" in shown
    # and of one that is another note by now, that it is missing
    assert tuned("log", "try/C4", "--note", "B3").code == 0
    shown = tuned("next", "try/C#4").shown
    assert "next bar of the set: none" in shown
    assert "to be made again: C4" in shown
    assert "to be made again: C4" in tuned(*RUN[:2], "--next").shown


def test_a_bar_that_became_another_note_is_made_again(tuned: Bench) -> None:
    assert tuned(*RUN).code == 0
    assert set(rows("blanks.csv")) == {"C#4"}
    told = tuned("log", "try/C4", "--note", "B3")
    assert "it has become B3, and the set lacks C4" in told.told
    bar = progress(tuned)["C4"]
    assert bar["state"] == "another note"
    assert "C4: it has become B3" in tuned(*RUN[:2], "--next").shown

    told = tuned(*RUN)
    assert "C4.bar.json has become B3, and the set lacks C4" in told.told
    assert "barmodel log try/C4.bar.json --cancel 6" in told.told
    assert set(rows("blanks.csv")) == {"C4", "C#4"}
    row = rows("bars.csv")["C4"]
    assert row["state"] == "designed"
    assert row["remark"].startswith("to be made again: its file has become B3")
    assert row["node_mm"]
    assert retuned(tuned, 264.0)["bars"][0]["reason"] == "its file has become B3"
    kept = Path("try/C4.bar.json").read_bytes()

    Path("try/C4.bar.json").rename("try/B3-from-C4.bar.json")
    assert tuned(*RUN).code == 0
    assert progress(tuned)["C4"]["state"] == "not begun"
    assert read_bar_file("try/C4.bar.json").log == ()
    assert Path("try/B3-from-C4.bar.json").read_bytes() == kept
    assert tuned("next", "try/B3-from-C4").code == 0
    # it has no place on the cords any more, and can be told of holes by its own file alone
    Path("try/B3.bar.json").write_bytes(kept)
    assert "on the cords of its set" in tuned("log", "try/C4", "--holes", "5").told
    assert tuned("log", "try/B3", "--holes", "5").code == 0

    Path("try/B3-from-C4.bar.json").replace("try/C4.bar.json")
    assert tuned("log", "try/C4", "--cancel", "6").code == 0
    assert "B3" not in tuned(*RUN).told
    assert set(rows("blanks.csv")) == {"C#4"}


def test_a_blank_keeps_the_aim_that_its_maker_gave_it(bench: Bench) -> None:
    write_set()
    assert bench(*RUN).code == 0
    path = Path("try/C4.bar.json")
    at_443 = read_bar_file(path).target.model_copy(update={"a4_hz": 443.0})
    append_entries(path, NewAim(target=at_443))
    before = path.read_bytes()
    told = bench(*RUN)
    assert "to bring it over, barmodel log try/C4.bar.json --a4 442" in told.told
    assert path.read_bytes() == before
    write_set("443")  # the set file comes to the same: the bar follows it, and keeps its log
    assert "bring it over" not in bench(*RUN).told
    document = read_bar_file(path)
    assert document.target.a4_hz == document.begun_for.a4_hz == 443.0
    assert not document.design_is_old
    assert len(document.log) == 1
    assert set(rows("blanks.csv")) == {"C4", "C#4"}


def test_all_begun_bars_are_brought_over_at_once(tuned: Bench) -> None:
    assert tuned("cut", "try/C#4", "--designed").code == 0
    write_set("443")
    told = tuned(*RUN).told
    assert "to bring C4 C#4 over to the set file's aim at once: the same command with" in told
    assert {bar["state"] for bar in progress(tuned).values()} == {"other aim"}
    over = tuned(*RUN, "--bring-over")
    assert over.code == 0
    assert "at once" not in over.told
    for note in ("C4", "C#4"):
        document = read_bar_file(f"try/{note}.bar.json")
        assert document.target.a4_hz == 443.0
        assert document.begun_for.a4_hz == 442.0
        assert isinstance(document.log[-1], NewAim)
    assert {bar["state"] for bar in progress(tuned).values()} == {"begun"}
    before = Path("try/C4.bar.json").read_bytes()
    assert tuned(*RUN, "--bring-over").code == 0  # and not a second time
    assert Path("try/C4.bar.json").read_bytes() == before
    assert (
        tuned("log", "try/C4", "--cancel", str(len(read_bar_file("try/C4.bar.json").log))).code == 0
    )
    assert progress(tuned)["C4"]["state"] == "other aim"


def test_a_bar_not_sawn_yet_with_its_own_aim_is_told_with_its_blank(tuned: Bench) -> None:
    assert tuned("log", "try/C#4", "--a4", "441").code == 0
    assert {"C4", "C#4"} == rows("blanks.csv").keys()  # of the run before either was touched
    found = tuned(*RUN)
    blank = read_bar_file("try/C#4.bar.json").blank
    assert rows("blanks.csv") == {}  # an old list would have C4 sawn again
    assert f"C#4 is not sawn yet, and not in the cut list: by its own file its blank is " \
        f"{blank.length_mm:g} × {blank.width_mm:g}" in found.told  # fmt: skip
