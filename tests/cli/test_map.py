"""What `map` says of the best single cut is what `try` says of it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from barmodel.cutmap import cut_map
from barmodel.cutmap.onecut import one_cut
from barmodel.files import bar_as_is, read_bar_file
from barmodel.tolerance import TOLERANCE_CENTS
from barmodel.undercut.cutters import CUTTERS
from tests.cli.conftest import Bench
from tests.cli.test_keep import command_in

ARCH = {"shape": "arch", "start_mm": 84.3, "end_mm": 215.7, "depth_mm": 12.86, "fullness": 3.73}
"""Leaves 8 mm, so that light cuts and deep ones differ by a fifth."""


@pytest.fixture
def thin(bench: Bench) -> Bench:
    """A bar with its arch cut, 41, 24 and 8 cents sharp by ear."""
    wood = ("--mass", "255", "--wood", "padauk", "--e-long", "13.33", "--g-long-thick", "1.51")
    size = ("--length", "300", "--width", "52", "--thickness", "21", "--keep", "6")
    aim = ("--note", "F4", "--ratios", "1:4:9.8")
    assert bench("start", "F4", *size, *wood, *aim).code == 0
    Path("arch.json").write_text(json.dumps([ARCH]))
    assert bench("cut", "F4", "--entries", "arch.json").code == 0
    assert bench("hear", "--hz", "357.55,1416.34,3437.85", "--into", "F4").code == 0
    return bench


def tried(bench: Bench, *words: str) -> np.ndarray:
    """Cents of each mode after a cut, by `try`."""
    found = bench("try", *words, "--json")
    assert found.code == 0, found.err
    return np.array(json.loads(found.out)["expected_cents"])


LOWEST = [low for low, _ in TOLERANCE_CENTS[:3]]


@pytest.mark.parametrize(
    "more",
    [(), ("--one-side",), ("--cutter", "drum40"), ("--modes", "V1"), ("--depth", "0.4")],
    ids=" ".join,
)
def test_the_best_cut_is_what_try_says_of_it(thin: Bench, more: tuple[str, ...]) -> None:
    words = ("map", "F4", "--stations", "40", *more)
    best = json.loads(thin(*words, "--json").out)["best"]
    told = thin(*words)
    _, *step = command_in(told.err)
    then = tried(thin, *step)
    assert (then >= LOWEST).all()  # also of modes that are not on the map
    assert then == pytest.approx(best["cents_then"], abs=0.02)
    row = ", ".join(f"{round(cents):+d}" for cents in then)
    assert f"the tuned modes stand at about {row} cents (+41, +24, +8 now)" in told.shown
    assert "flat" not in thin("try", *step).err


def test_the_light_cut_of_it_would_go_too_deep(thin: Bench) -> None:
    """The case bites: the depth that light cuts let expect leaves two modes flat."""
    bar = bar_as_is(read_bar_file("F4.bar.json"))
    light = cut_map(bar, CUTTERS["scraper20"], count=60)
    single = one_cut(light.cents_per_mm, np.array([40.8, 23.9, 7.8]), TOLERANCE_CENTS[:3])
    place, depth = light.x[single.best], single.depth_mm[single.best]
    then = tried(thin, "F4", "--at", f"{place * 1e3:.0f}", "--cutter", "scraper20",
                 "--depth", f"{depth:.2f}")  # fmt: skip
    assert (then[:2] < LOWEST[:2]).all()
    best = json.loads(thin("map", "F4", "--json").out)["best"]
    assert best["at_mm"] == pytest.approx(1e3 * place, abs=0.5)
    assert 0.6 * depth < best["depth_mm"] < 0.95 * depth


def test_a_bar_cut_since_it_was_heard_is_to_be_heard_first(thin: Bench) -> None:
    words = ("map", "F4", "--stations", "12")
    assert "heard" not in thin(*words).told
    assert thin("cut", "F4", "--at", "129", "--cutter", "scraper20", "--depth", "0.1").code == 0
    told = thin(*words).told
    assert (
        "this bar was not heard since the last cut: its cents carry on over one cut whose depth "
        "nobody measured; listen again first" in told
    )
    assert "next: barmodel hear STRIKE.wav --into F4.bar.json" in told
    assert "barmodel try" not in told
    measured = ("--depth", "0.1", "--measured-depth", "0.11")
    assert thin("cut", "F4", "--at", "120", "--cutter", "scraper20", *measured).code == 0
    assert "over 2 cuts, 1 of them measured; listen again first" in thin(*words).told
    assert thin("hear", "--hz", "353,1407,-", "--into", "F4").code == 0
    some = thin(*words).told
    assert "mode 3 was not heard since the last cut: its cents carry on over 2 cuts" in some
    assert "next: barmodel try F4.bar.json" in some


def test_a_bar_never_heard_is_computed(bench: Bench) -> None:
    bench.start()
    assert "heard" not in bench("map", "G3", "--stations", "12").told  # nothing was cut either
    assert bench("cut", "G3", "--at", "200", "--cutter", "drum40", "--depth", "1").code == 0
    told = bench("map", "G3", "--stations", "12").told
    assert "never heard: its cents are computed, over one cut whose depth nobody measured" in told


def test_text_and_picture_name_one_strongest_place(
    thin: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of a mirrored pair the left one, in both."""
    figures = []
    monkeypatch.setattr("barmodel.plots.save_figure", lambda figure, path: figures.append(figure))
    words = ("map", "F4", "--plot", "map.png")
    strongest = json.loads(thin(*words, "--json").out)["strongest_mm"]
    assert max(strongest) <= 150.0
    said = [text.get_text() for text in figures[0].texts]
    for at in strongest:
        assert any(text.startswith(f"strongest at {at:.0f} mm:") for text in said)
