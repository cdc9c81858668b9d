"""Cord holes that are still to be drilled, in what `next` aims at and says."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.bench import Alarm, Goal
from barmodel.files import BarDocument, HolesPart, read_bar_file
from barmodel.pitch import Target, cents
from barmodel.undercut import Arch
from barmodel.units import MM
from barmodel.wood import species
from barmodel_cli.bench.cords import Holes, holes_in
from tests.cli.conftest import Bench

SIZES = ("--length", "260", "--width", "38", "--thickness", "19")
ARCH = Arch(start=10.4 * MM, end=249.6 * MM, depth=11.2 * MM, fullness=8.45)
"""Thin from end to end, as xylophone bars are: a hole has little wood about it."""


@pytest.fixture
def short(bench: Bench) -> Bench:
    """A xylophone bar at home, not yet drilled."""
    return _cut_and_heard(bench, "440.3,1321.5")


def _cut_and_heard(bench: Bench, hz: str, warm: tuple[str, ...] = ()) -> Bench:
    wood = ("--wood", "honduran rosewood", "--note", "A4", "--ratios", "1:3")
    assert bench("start", "x", *SIZES, *wood).code == 0
    arch = {"shape": "arch", "start_mm": 10.4, "end_mm": 249.6, "depth_mm": 11.2, "fullness": 8.45}
    (bench.folder / "arch.json").write_text(json.dumps([arch]))
    assert bench("cut", "x", "--entries", "arch.json").code == 0
    for _ in range(3):
        heard = bench("hear", "--into", "x", "--hz", hz, "--unusual", *warm)
        assert heard.code == 0, heard.err
    return bench


def test_what_the_holes_take_is_what_the_aim_is_raised_by() -> None:
    blank = Blank(
        length=260 * MM, width=38 * MM, thickness=19 * MM, wood=species("honduran rosewood").wood()
    )
    bar = Bar(blank=blank, undercut=(ARCH,))
    goal = Goal(target=Target("A4", ratios=(1.0, 3.0)))
    holes = _through(bar, 6.4)
    assert holes is not None
    assert (holes.cents < -5.0).all()
    aimed = holes.raised(goal)
    # a bar that is right for the raised aim is right for the old one once it is drilled
    drilled = np.log(aimed.target.hz) + np.log(2.0) * holes.cents / 1200
    assert goal.cents(drilled) == pytest.approx([0.0, 0.0], abs=1e-9)
    wider = _through(bar, 7.0)
    assert wider is not None
    assert (wider.cents < holes.cents).all()
    assert _through(bar, 9.0) is None


def _through(bar: Bar, diameter_mm: float, **where: Any) -> Holes | None:
    blank = {"length_mm": 260.0, "width_mm": 38.0, "thickness_mm": 19.0}
    document = BarDocument.model_validate(
        {
            "name": "x",
            "blank": blank,
            "wood": {"species": "honduran rosewood"},
            "target": {"note": "A4", "ratios": (1.0, 3.0)},
            "holes": HolesPart(diameter_mm=diameter_mm, **where),
        }
    )
    return holes_in(document, bar, 2)


def test_holes_beside_the_nodes_do_something_else() -> None:
    wood = species("honduran rosewood").wood()
    bar = Bar(
        blank=Blank(length=260 * MM, width=38 * MM, thickness=19 * MM, wood=wood), undercut=(ARCH,)
    )
    at_nodes, inside = _through(bar, 6.4), _through(bar, 6.4, at_mm=(66.0, 194.0))
    assert at_nodes is not None
    assert inside is not None
    # where the bar bends more, wood beside the hole carries more
    assert inside.cents[0] < at_nodes.cents[0] - 0.2


def test_a_finished_bar_is_asked_for_its_holes(short: Bench) -> None:
    found = short("next", "x")
    assert "x, target A4: finished" in found.out
    (line,) = [one for one in found.out.splitlines() if one.startswith("holes: ")]
    assert line.startswith(
        "holes: it is finished only if its cord holes are drilled; if they are still to come, note "
        "them first, barmodel log x.bar.json --holes 6.4, and ask again (two cord holes of 6.4 mm "
        "will move modes 1 to 2 by -1"
    )
    answer = json.loads(short("next", "x", "--holes", "6.4", "--json").out)
    assert answer["state"] != "finished"
    plain = json.loads(short("next", "x", "--json").out)
    left = np.subtract(answer["now_cents"], plain["now_cents"])
    assert left == pytest.approx(answer["holes"]["shift_cents"])
    once = short("next", "x", "--holes", "6.4").out
    assert "the aim counts with this:" in once
    assert "a tuner must show" not in once  # the aim of the table is the only one
    assert "which is left for them" in once


@pytest.mark.parametrize(
    ("hz", "state", "so"),
    [
        ("445.0,1354.0", "cut", "make this cut only if the cord holes are drilled"),
        ("437.0,1318.0", "can still be saved", "do this only if the cord holes are drilled"),
    ],
)
def test_advice_that_leaves_nothing_for_the_holes_says_so(
    bench: Bench, hz: str, state: str, so: str
) -> None:
    _cut_and_heard(bench, hz)
    found = bench("next", "x")
    assert f"x, target A4: {state}" in found.out
    assert f"holes: {so}; if they are still to come, note them first, barmodel log x" in found.out
    assert so not in bench("next", "x", "--holes", "6.4").out


@pytest.mark.parametrize("drilled", [True, False])
def test_the_fall_by_drilling_is_no_crack_once_it_is_said(short: Bench, drilled: bool) -> None:
    words = ("hear", "--into", "x", "--hz", "436.1,1291.5", "--unusual")
    assert short(*words, *(("--drilled",) if drilled else ())).code == 0
    assert short(*words).code == 0
    found = short("next", "x")
    shown = short("log", "x").out
    if drilled:
        answer = json.loads(short("next", "x", "--json").out)
        heard = [cents(436.1, 440.0), cents(1291.5, 3 * 440.0)]
        assert answer["now_cents"] == pytest.approx(heard, abs=2.0)
        assert answer["state"] == "rescue"
        assert "crack" not in found.out + found.err
        assert shown.count("holes drilled before") == 1
        assert "holes:" not in found.out
        twice = short("next", "x", "--holes", "6.4")
        assert twice.code == 3
        assert "says that they are drilled" in twice.told
    else:
        assert "modes 1 and 2 read 4" in found.out
        assert "the bar is cracked" in found.out
        readings = [entry.id for entry in read_bar_file("x.bar.json").readings][-2:]
        back = ", ".join(f"barmodel log x.bar.json --cancel {number}" for number in readings)
        assert f"if cord holes were drilled since it was last heard: {back}, and" in found.shown
        assert "holes drilled" not in shown


def test_holes_once_noted_are_left_for_everywhere_until_they_are_drilled(short: Bench) -> None:
    away = json.loads(short("next", "x", "--holes", "6.4", "--json").out)
    noted = short("log", "x", "--holes", "6.4")
    takes = -json.loads(short("log", "x", "--json").out)["holes"]["shift_cents"][0]
    assert "two cord holes of 6.4 mm will move modes 1 to 2 by -1" in noted.out
    assert f"a tuner must show {440.0 * 2 ** (takes / 1200):.1f}" in noted.out
    document = read_bar_file(short.folder / "x.bar.json")
    before = len(document.log)
    assert document.holes == HolesPart(diameter_mm=6.4, noted_after=before)
    kept = json.loads(short("next", "x", "--json").out)
    assert kept["now_cents"] == pytest.approx(away["now_cents"], abs=1e-6)
    assert "finished: leave it be" in short("next", "x", "--holes", "0").out
    # a reading that is home for the finished bar is not home yet
    heard = short("hear", "--into", "x", "--hz", "440.3,1321.5")
    assert json.loads(short("sheet", "x", "--hole-diameter", "0", "--json").out)["in_tune"] is True
    assert "from today's aim" in heard.out
    assert "every mode is within" not in heard.out
    answer = json.loads(short("hear", "--bar", "x", "--hz", "440.3,1321.5", "--json").out)
    assert answer["cents_today"][0] == pytest.approx(answer["cents"][0] - takes)
    assert "cents from what it was to be that day" in short("log", "x").out
    tried = short("try", "x", "--at", "130", "--width", "20", "--depth", "0.1")
    assert "which is left for them" in tried.out
    assert "which is left for them" in short("modes", "x").out
    paper = json.loads(short("sheet", "x", "--json").out)
    assert paper["in_tune"] is False
    assert "Hz today, not the target: two cord holes" in paper["today"]
    # drilled, it counts from its target again, and what was heard before keeps its own aim
    drilled = short("hear", "--into", "x", "--hz", "440.3,1321.5", "--drilled", "--unusual")
    assert "it is to be today" not in drilled.out
    entries = json.loads(short("log", "x", "--json").out)["log"]
    assert entries[-1]["cents_that_day"] == pytest.approx(entries[-1]["cents"])
    after = entries[before]
    assert after["cents_that_day"][0] == pytest.approx(after["cents"][0] - takes)
    # nobody knew of holes before they were noted
    assert entries[1]["cents_that_day"][0] == pytest.approx(entries[1]["cents"][0])
    assert "left for them" not in short("next", "x").out
    unknown = short("log", "x", "--cancel", "99", "--holes", "5")
    assert (unknown.code, "cannot be cancelled" in unknown.told) == (3, True)
    # unless that reading was a slip
    assert short("log", "x", "--cancel", str(len(entries))).code == 0
    again = json.loads(short("log", "x", "--json").out)
    assert again["holes"]["shift_cents"][0] == pytest.approx(-takes)
    slip = again["log"][-2]
    assert slip["cents_that_day"][0] == pytest.approx(slip["cents"][0] - takes)
    assert short("hear", "--into", "x", "--hz", "440.3,1321.5", "--drilled", "--unusual").code == 0
    refused = short("log", "x", "--holes", "5")
    assert refused.code == 3
    assert "says that they are drilled" in refused.told


def test_of_short_bars_no_more_is_told_than_can_be(bench: Bench) -> None:
    for name, length, told in (("short", "230", 2), ("long", "245", 3)):
        sizes = ("--length", length, "--width", "40", "--thickness", "20")
        words = ("--wood", "padauk", "--note", "F5", "--holes", "6.4")
        assert bench("start", name, *sizes, *words).code == 0
        blank = json.loads(bench("modes", name, "--json").out)
        assert "holes" not in blank, "what they do to a blank says nothing of the bar"
        assert bench("cut", name, "--at", "115", "--width", "60", "--depth", "6").code == 0
        answer = json.loads(bench("modes", name, "--json").out)
        assert np.count_nonzero(answer["holes"]["shift_cents"]) == told
    assert "mode 3 by what nobody can tell" in bench("modes", "short").out


def test_places_written_by_hand_stay_when_the_size_changes(bench: Bench) -> None:
    bench.start("G3")
    path = bench.folder / "G3.bar.json"
    text = json.loads(path.read_text())
    text["holes"] = {"diameter_mm": 6.4, "at_mm": [88.0, 312.0], "angle_degrees": [-4.0, 3.0]}
    path.write_text(json.dumps(text))
    assert bench("log", "G3", "--holes", "5").code == 0
    part = read_bar_file(path).holes
    assert part == HolesPart(diameter_mm=5.0, at_mm=(88.0, 312.0), angle_degrees=(-4.0, 3.0))
    drawn = json.loads(bench("sheet", "G3", "--json").out)["holes"]
    assert [(hole["x_mm"], hole["angle_degrees"]) for hole in drawn] == [
        (pytest.approx(88.0), -4.0),
        (pytest.approx(312.0), 3.0),
    ]
    text["holes"]["at_mm"] = [312.0, 88.0]
    path.write_text(json.dumps(text))
    assert "name the left hole first" in bench("sheet", "G3").told


def test_a_bar_may_be_begun_with_its_holes(bench: Bench) -> None:
    begun = bench.start("G3", "--holes", "6.4")
    assert "cord holes: two of 6.4 mm to come" in begun.out
    drawn = json.loads(bench("sheet", "G3", "--json").out)
    assert len(drawn["holes"]) == 2  # at the nodes of the bar as it is
    assert bench.start("F3", "--holes", "30").code == 3
    assert not (bench.folder / "F3.bar.json").exists()


def test_holes_that_no_bar_has_are_refused(short: Bench) -> None:
    for size, told in (("21", "up to 20 mm"), ("9", "too little wood"), ("-3", "above zero")):
        refused = short("next", "x", "--holes", size)
        assert refused.code == 3
        assert told in refused.told


def test_a_long_bar_whose_holes_hardly_matter_is_not_nagged(bench: Bench) -> None:
    bench.start("G3", "--tap", "672,1765,3210")
    text = json.loads((bench.folder / "G3.bar.json").read_text())
    text["design"] = [
        {"shape": "arch", "start_mm": 78.0, "end_mm": 322.0, "depth_mm": 13.0, "fullness": 3.0}
    ]
    (bench.folder / "G3.bar.json").write_text(json.dumps(text))
    shown = bench("next", "G3").out
    assert "rough out" in shown
    assert "holes" not in shown


def _hear(bench: Bench, *moved: float, warm: float = 21.0, more: tuple[str, ...] = ()) -> None:
    """Record a reading so many cents from where the bar of `short` was heard."""
    hz = [hz * 2 ** (c / 1200) for hz, c in zip((440.3, 1321.5), moved, strict=True)]
    told = ",".join(f"{value:.3f}" for value in hz)
    heard = bench("hear", "--into", "x", "--hz", told, "--temperature", f"{warm}", *more)
    assert heard.code == 0, heard.err


@pytest.fixture
def noted(bench: Bench) -> Bench:
    """The same, heard warm, and cord holes noted to come."""
    _cut_and_heard(bench, "440.3,1321.5", warm=("--temperature", "21"))
    assert bench("log", "x", "--holes", "6.4").code == 0
    return bench


@pytest.mark.parametrize("times", [1, 2])
def test_holes_drilled_untold_are_named_before_heat_and_cracks(noted: Bench, times: int) -> None:
    foretold = json.loads(noted("log", "x", "--json").out)["holes"]["shift_cents"]
    assert foretold == pytest.approx([-19, -46], abs=1.0)
    for _ in range(times):
        _hear(noted, -17, -44)
    answer = json.loads(noted("next", "x", "--json").out)
    assert answer["state"] == "measure"
    assert answer["reason"].startswith("modes 1 and 2 moved by -17, -44 cents")
    assert "foretold to do (-19.0, -45.6): they are probably drilled" in answer["reason"]
    assert [alarm["text"] for alarm in answer["alarms"]] == [answer["reason"]]
    found = noted("next", "x")
    assert "probably cracked" not in found.out
    cancels = [f"barmodel log x.bar.json --cancel {number}" for number in (5, 6)[:times]]
    assert f"then, if they are drilled: {', '.join(cancels)}, and hear those" in found.out
    # done as it says, the bar is known to be drilled
    for command in cancels:
        assert noted(*command.split()[1:]).code == 0
    _hear(noted, -17, -44, more=("--drilled",))
    after = noted("next", "x")
    assert "though nothing was cut" not in after.out
    assert "crack" not in after.out


@pytest.mark.parametrize("moved", [(-12, -12), (-30, -46), (-17, -60), (-2, -44)])
def test_other_falls_are_not_put_down_to_holes_to_come(
    noted: Bench, moved: tuple[float, float]
) -> None:
    _hear(noted, *moved)
    found = noted("next", "x")
    assert "though nothing was cut" in found.out or "and nothing was cut" in found.out
    assert "they are probably drilled" not in found.out
    assert "or, if cord holes were drilled since it was last heard: " in found.out


def test_a_fall_within_the_accuracy_of_the_estimate_is_by_the_holes() -> None:
    holes = Holes(6.4, np.array([-11.9, -14.7, 0.0]), 2)

    def alarm(*moved: float) -> Alarm:
        return Alarm("warm", 1, (0, 1), -12.0, "", moved=moved, errors=(0.7,) * 3)

    assert holes.explain(alarm(-12.0, -12.1, -30.0))  # of mode 3 nothing was foretold
    assert holes.explain(alarm(-12.0, np.nan, np.nan))
    assert not holes.explain(alarm(np.nan, np.nan, -30.0))
    assert not holes.explain(alarm(-12.0, -9.0, np.nan))
    assert not holes.explain(alarm(-5.0, -14.7, np.nan))
    assert not holes.explain(alarm(12.0, 12.1, np.nan))


def test_a_damp_bar_that_stays_so_leads_out_of_the_alarm(noted: Bench) -> None:
    for _ in range(2):
        _hear(noted, -12, -12)
    found = noted("next", "x")
    assert "fell alike, by 12 cents, and nothing was cut, at the same temperature" in found.out
    (line,) = [one for one in found.out.splitlines() if "it is the damp: " in one]
    for command in line.split("the damp: ")[1].split(", and what")[0].split(", "):
        assert noted(*command.split()[1:]).code == 0
    after = json.loads(noted("next", "x", "--json").out)
    assert after["alarms"] == []
    assert after["state"] != "measure"
