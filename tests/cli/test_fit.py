"""`barmodel fit`: the wood of a blank from what was heard."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from barmodel.files import bar_at_start, read_bar_file
from barmodel.modes import solve

# modes of the made-up blank of `Bench.start` within a few cents, torsion between the first two


def test_the_wood_is_fitted_from_the_readings_in_the_file(bench, recording: Path) -> None:
    bench.start()
    bench("hear", str(recording), "--into", "G3")
    result = bench("fit", "G3", "--save", "--json")
    assert result.code == 0
    answer = json.loads(result.out)
    assert answer["constants"] == ["e_long", "g_long_thick", "g_long_width"]
    assert max(abs(r) for r in answer["residual_cents"]) < 5.0
    wood = json.loads((bench.folder / "G3.bar.json").read_text())["wood"]
    assert wood["e_long_gpa"] == pytest.approx(answer["e_long_gpa"], rel=1e-5)
    assert "g_long_thick" not in wood["assumed"]
    # Q = π f τ of the made-up ring: 566.8 Hz with 0.25 s, 2718 Hz with 0.05 s
    assert answer["quality_factor"][0] == pytest.approx(445.15, rel=1e-3)
    assert answer["quality_factor"][2] == pytest.approx(426.94, rel=5e-3)
    assert "G3" in [one["note"] for one in answer["notes"]]
    shown = bench("fit", "G3").out
    assert "Q by its ring: 44" in shown
    assert "with 1:4:10 this blank can become, by the beam: " in shown


def test_fit_without_a_reading_says_how_to_get_one(bench) -> None:
    bench.start()
    result = bench("fit", "G3")
    assert result.code == 3
    assert "--hz" in result.err


def test_fit_says_what_it_saved_and_whether_the_plank_is_even(bench) -> None:
    bench.start()
    even = bench("fit", "G3", "--hz", "566.8,1484,2718")
    assert "next: barmodel fit G3.bar.json --hz 566.8,1484,2718 --save" in even.err
    assert "E along the grain" in even.out
    uneven = bench("fit", "G3", "--hz", "566.8,1520,2718", "--save")
    assert "saved: this is now the wood in G3.bar.json" in uneven.out
    assert "next: barmodel design G3.bar.json --save" in uneven.err
    assert "check the readings" in uneven.out
    assert "cannot be told" in bench("fit", "G3", "--hz", "566.8,1484").out


def test_a_misfit_of_an_even_plank_is_not_put_down_to_unevenness_alone(bench) -> None:
    """Of a short wide blank the higher bending modes feel the stiffness in torsion."""
    sizes = ("--length", "220", "--width", "58", "--thickness", "21", "--mass", "210g")
    assert bench("start", "C5", *sizes, "--wood", "padauk", "--note", "C5").code == 0
    blank = bar_at_start(read_bar_file("C5.bar.json"))
    stiff = replace(blank.blank.wood, g_long_width=1.6e9)  # 0.95 by the usual ratios
    true = replace(blank, blank=replace(blank.blank, wood=stiff))
    modes = solve(true, count=4, families=["bending", "torsion"])
    told = ",".join(f"{hz:.2f}" for hz in modes.bending_hz[:4])
    words = ("fit", "C5", "--hz", told)
    alone = bench(*words).out
    assert 5.0 < float(re.findall(r"misfit of (\S+) cents beyond reading errors: ", alone)[0]) < 15
    assert "the plank is uneven, or a stiffness that was not heard is unusual; hear a " in alone
    how = json.loads(bench("hear", "--how", "C5", "--json").out)["advice"][3]
    assert f"strike it at {how['strike_mm']:.0f} mm, at the edge, and give it as --tors" in alone
    known = bench(*words, "--torsional", f"{modes.torsional_hz[0]:.2f}").out
    assert "misfit of 0.0 cents beyond reading errors: too little to matter" in known
    assert "uneven" not in known
    # with torsion heard, what is left is told of what is left
    hz = [hz * 2 ** (c / 1200) for hz, c in zip(modes.bending_hz[:4], (8, -9, 9, -8), strict=True)]
    rest = ("--hz", ",".join(f"{one:.2f}" for one in hz))
    bent = bench("fit", "C5", *rest, "--torsional", f"{modes.torsional_hz[0]:.2f}").out
    assert "the plank is uneven, or its stiffness across the grain is unusual" in bent
    assert "hear a torsional mode" not in bent


def test_fit_swallows_no_slip_among_the_taps(bench) -> None:
    bench.start()
    bench("hear", "--into", "G3", "--hz", "566.8,1484,2718")
    bench("hear", "--into", "G3", "--hz", "567.0,1550,2719", "--unusual")
    torn = bench("fit", "G3", "--save")
    assert torn.code == 3
    assert "bending mode 2 in entry 2 (1550.0 Hz) lies +75 cents" in torn.err
    assert "barmodel log G3.bar.json --cancel 2" in torn.err
    bench("hear", "--into", "G3", "--hz", "566.6,1483,2717")
    sure = bench("fit", "G3")
    assert sure.code == 0
    assert "in entry 2 (1550.0 Hz) lies +76 cents from the other taps and was left out" in sure.err
    assert "too little to matter" in sure.out


def test_fit_refuses_readings_that_cannot_be_of_this_bar(bench) -> None:
    bench.start()
    words = ("fit", "G3", "--hz", "56.68,148.4,271.8", "--save")
    before = (bench.folder / "G3.bar.json").read_bytes()
    assert "did you mean 566.8,1484,2718?" in bench(*words).told
    assert (bench.folder / "G3.bar.json").read_bytes() == before


@pytest.mark.parametrize(("note", "told"), [("G3", False), ("C6", True)])
def test_fit_says_when_the_blank_cannot_become_its_note(bench, note: str, told: bool) -> None:
    sizes = ("--length", "400", "--width", "60", "--thickness", "22", "--wood", "padauk")
    assert bench("start", "x", *sizes, "--note", note).code == 0
    out = bench("fit", "x", "--hz", "562,1472,2700", "--unusual").out
    assert ("is not among them" in out) == told
