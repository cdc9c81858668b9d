"""Cord holes that are still to be drilled, in what `next` aims at and says."""

from __future__ import annotations

import json

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.bench import Goal
from barmodel.pitch import Target
from barmodel.undercut import Arch
from barmodel.units import MM
from barmodel.wood import species
from barmodel_cli.bench.cords import holes_of
from tests.cli.conftest import Bench

SIZES = ("--length", "260", "--width", "38", "--thickness", "19")
ARCH = Arch(start=10.4 * MM, end=249.6 * MM, depth=11.2 * MM, fullness=8.45)
"""Thin from end to end, as xylophone bars are: a hole has little wood about it."""


@pytest.fixture
def short(bench: Bench) -> Bench:
    """A xylophone bar at home, not yet drilled."""
    return _cut_and_heard(bench, "440.3,1321.5")


def _cut_and_heard(bench: Bench, hz: str) -> Bench:
    wood = ("--wood", "honduran rosewood", "--note", "A4", "--ratios", "1:3")
    assert bench("start", "x", *SIZES, *wood).code == 0
    arch = {"shape": "arch", "start_mm": 10.4, "end_mm": 249.6, "depth_mm": 11.2, "fullness": 8.45}
    (bench.folder / "arch.json").write_text(json.dumps([arch]))
    assert bench("cut", "x", "--entries", "arch.json").code == 0
    for _ in range(3):
        heard = bench("hear", "--into", "x", "--hz", hz, "--unusual")
        assert heard.code == 0, heard.err
    return bench


def test_what_the_holes_take_is_what_the_aim_is_raised_by() -> None:
    blank = Blank(
        length=260 * MM, width=38 * MM, thickness=19 * MM, wood=species("honduran rosewood").wood()
    )
    bar = Bar(blank=blank, undercut=(ARCH,))
    goal = Goal(target=Target("A4", ratios=(1.0, 3.0)))
    holes = holes_of(bar, 2, 6.4)
    assert holes is not None
    assert (holes.cents < -5.0).all()
    aimed = holes.aimed(goal)
    # a bar that is right for the raised aim is right for the old one once it is drilled
    drilled = np.log(aimed.target.hz) + np.log(2.0) * holes.cents / 1200
    assert goal.cents(drilled) == pytest.approx([0.0, 0.0], abs=1e-9)
    wider = holes_of(bar, 2, 7.0)
    assert wider is not None
    assert (wider.cents < holes.cents).all()
    assert holes_of(bar, 2, 9.0) is None


def test_a_finished_bar_is_asked_for_its_holes(short: Bench) -> None:
    found = short("next", "x")
    assert "x, target A4: finished" in found.out
    assert "holes: if they are drilled, all is well; if not, two cord holes" in found.out
    assert "and it is not finished: " in found.out
    assert "barmodel next x.bar.json --holes 6.4" in found.out
    answer = json.loads(short("next", "x", "--holes", "6.4", "--json").out)
    assert answer["state"] != "finished"
    plain = json.loads(short("next", "x", "--json").out)
    left = np.subtract(answer["now_cents"], plain["now_cents"])
    assert left == pytest.approx(answer["holes"]["shift_cents"])
    assert "count from what is left for the holes" in short("next", "x", "--holes", "6.4").out


@pytest.mark.parametrize(
    ("hz", "state", "so"),
    [
        ("445.0,1354.0", "cut", "this cut is too much"),
        ("437.0,1318.0", "can still be saved", "this is too little"),
    ],
)
def test_advice_that_leaves_nothing_for_the_holes_says_so(
    bench: Bench, hz: str, state: str, so: str
) -> None:
    _cut_and_heard(bench, hz)
    found = bench("next", "x")
    assert f"x, target A4: {state}" in found.out
    assert f"and {so}: barmodel next x.bar.json --holes 6.4" in found.out
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
        assert answer["now_cents"] == pytest.approx([-15.4, -37.9], abs=2.0)
        assert answer["state"] == "rescue"
        assert "crack" not in found.out + found.err
        assert shown.count("holes drilled before") == 1
        assert "holes:" not in found.out
        twice = short("next", "x", "--holes", "6.4")
        assert twice.code == 3
        assert "says that they are drilled" in " ".join(twice.err.split())
    else:
        assert "modes 1 and 2 read 4" in found.out
        assert "the bar is cracked" in found.out
        assert "if cord holes were drilled since it was last heard: barmodel log" in found.out
        assert "holes drilled" not in shown


def test_holes_that_no_bar_has_are_refused(short: Bench) -> None:
    for size, told in (("21", "up to 20 mm"), ("9", "too little wood"), ("-3", "above zero")):
        refused = short("next", "x", "--holes", size)
        assert refused.code == 3
        assert told in " ".join(refused.err.replace("│", " ").split())


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
