"""Places, smooth lengths and straight cords."""

from __future__ import annotations

import functools
import re
from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from barmodel.instrument import (
    Blueprint,
    LengthRule,
    RailRule,
    SetPlan,
    curve,
    draw_blueprint,
    fit_rails,
    held_back,
)
from barmodel.instrument.curve import differences, find_lengths, misfits
from barmodel.instrument.layout import crowded, places, rows
from barmodel.instrument.survey import Survey, registers
from barmodel.instrument.trial import practice_length, try_length
from barmodel.instrument.window import sensible, window
from barmodel.pitch import note_semitone
from tests.instrument.plans import plan, straight_outcomes


@functools.cache
def drawn() -> Blueprint:
    return draw_blueprint(plan())


def test_naturals_keep_their_gap_and_accidentals_lie_over_it() -> None:
    set_plan = plan("C3", "E3")
    at = places(set_plan)
    assert at[[0, 2, 4]] == pytest.approx([0.031, 0.101, 0.171])
    assert at[[1, 3]] == pytest.approx([0.066, 0.136])
    assert [row.tolist() for row in rows(set_plan)] == [[0, 2, 4], [1, 3]]
    assert crowded(set_plan) == ()
    wide = replace(set_plan, widths={24: 0.05, 37: 0.09, 38: 0.05, 39: 0.09, 40: 0.05})
    assert crowded(wide) == ((37, 39),)


def test_windows_close_in_as_more_is_asked() -> None:
    set_plan, note = plan(), note_semitone("C4")
    three = window(set_plan, note)
    thick = window(replace(set_plan, lengths=LengthRule(least_centre=0.0075)), note)
    two = window(replace(set_plan, ratios={24: (1.0, 4.0)}), note, fixed={"fullness": 2.5})
    # a thicker middle wants a longer bar; one mode fewer lets it be longer still
    assert three.shortest < thick.shortest < thick.longest == pytest.approx(three.longest)
    assert two.longest > 1.03 * three.longest
    edge = try_length(set_plan, note, thick.shortest)
    assert edge is not None
    assert edge[0].centre == pytest.approx(0.0075, abs=2e-5)


def test_lengths_are_smooth_inside_their_windows_and_nodes_on_the_line() -> None:
    blueprint = drawn()
    lengths = blueprint.lengths
    assert np.all(lengths.length >= lengths.shortest - 6e-5)  # rounded to a tenth of a millimetre
    assert np.all(lengths.length <= lengths.longest + 6e-5)
    assert np.all(np.diff(lengths.length) < 0.0)
    assert np.abs(np.diff(lengths.length, 2)).max() < 2e-3
    half = lengths.length * (0.5 - lengths.node)
    for row in rows(blueprint.plan):
        x = blueprint.place[row]
        off = half[row] - np.polyval(np.polyfit(x, half[row], 1), x)
        assert np.abs(off).max() < 2e-3


class Easy:
    """A survey in which every length suits and nodes lie at a fifth."""

    def __init__(self, set_plan: SetPlan) -> None:
        self.plan = set_plan

    def bounds(self, *, room: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        wish = 0.5 * 2.0 ** (-np.arange(len(self.plan.semitones)) / 24)  # bends more than a cord
        return wish * (1 - room), wish, wish * (1 + room)

    def nodes(self, lengths: np.ndarray) -> np.ndarray:
        return np.full(lengths.size, 0.2)

    centres = nodes


def test_rails_pull_lengths_from_their_wish_within_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    def found(adjust: float, along: str = "notes") -> tuple[float, float]:
        set_plan = plan("C2", "C6", lengths=LengthRule(adjust=adjust, along=along))
        lengths = find_lengths(cast("Survey", Easy(set_plan)))
        moved = np.abs(lengths.length / lengths.wish - 1.0).max()
        assert moved < adjust + 5e-4  # rounded to a tenth of a millimetre
        row, at = rows(set_plan)[0], places(set_plan)
        half = 0.3 * lengths.length[row]
        off = half - np.polyval(np.polyfit(at[row], half, 1), at[row])
        bend = np.diff(lengths.length[row], 2) if along == "place" else np.diff(lengths.length, 2)
        return float(np.abs(off).max()), float(np.abs(bend).max())

    stiff, free, in_line = found(0.001), found(0.2), found(0.2, "place")
    assert stiff[0] > 4e-3
    assert max(free[0], in_line[0]) < 1.5e-3
    assert max(free[1], in_line[1]) < 2e-3
    monkeypatch.setattr(curve, "PRESSES", 0)  # pressing stops where misfits are small enough
    assert found(0.2, "place")[0] < found(0.2)[0]  # no zigzag of E-F and B-C is left


def test_lengths_of_the_maker_are_held() -> None:
    given = {note_semitone("C3"): 0.45, note_semitone("C5"): 0.28}
    blueprint = draw_blueprint(plan(lengths=LengthRule(given=given)))
    assert blueprint.lengths.length[[0, -1]] == pytest.approx([0.45, 0.28], abs=1e-9)
    assert np.abs(np.diff(blueprint.lengths.length, 2)).max() < 2e-3


def test_measures_held_run_on_from_the_register_below() -> None:
    blueprint = drawn()
    three, two = registers(blueprint.plan)[:2]
    first = two[0] - blueprint.plan.lowest
    assert all(not blueprint.held[note - blueprint.plan.lowest] for note in three)
    last = try_length(blueprint.plan, three[-1], float(blueprint.lengths.length[first - 1]))
    assert last is not None
    held = [blueprint.held[note - blueprint.plan.lowest]["fullness"] for note in two]
    assert held[0] == pytest.approx(last[0].measures["fullness"], abs=0.3)
    assert held[-1] == 2.5
    assert np.abs(np.diff(held)).max() < 0.3


def test_differences_of_parabolas() -> None:
    at = np.array([0.0, 1.0, 2.5, 3.0, 5.0])
    assert differences(at, 3) @ (3 + 2 * at - at**2) == pytest.approx(np.zeros(2), abs=1e-12)
    assert differences(at, 3) @ at**3 == pytest.approx([6.0, 6.0])
    assert differences(at, 2) @ (3 + 2 * at - at**2) == pytest.approx([-2.0, -2.0, -2.0])
    assert differences(at[:2], 3).shape == (0, 2)


def test_nodes_on_a_line_have_no_misfit_and_holes_follow_the_cord() -> None:
    set_plan = plan("C3", "C4", rails=RailRule(lean=(0.5, 0.0)))
    at = places(set_plan)
    lengths = np.linspace(0.45, 0.35, at.size)
    half = 0.14 - 0.05 * at
    rails = fit_rails(set_plan, lengths, at, straight_outcomes(set_plan, lengths, half))
    naturals, accidentals = rails.rails
    assert max(naturals.worst, accidentals.worst) < 1e-9
    assert (naturals.player_slope, naturals.far_slope) == pytest.approx((0.05, -0.05))
    assert (accidentals.player_slope, accidentals.far_slope) == pytest.approx((0.0, -0.1))
    player, far = rails.holes[set_plan.lowest]
    assert player.middle == pytest.approx(lengths[0] / 2 - half[0])
    # the cord is straight from bar to bar: out of one at the treble edge, into the next natural
    gap, width = set_plan.rails.gap, set_plan.width(set_plan.lowest)
    y = [lengths[i] / 2 for i in (0, 2)]
    here = player.treble_edge - y[0]
    there = rails.holes[set_plan.lowest + 2][0].bass_edge - y[1]
    assert there - here == pytest.approx(0.05 * gap)
    assert player.treble_edge - player.bass_edge == pytest.approx(0.05 * width)
    assert far.angle_degrees == pytest.approx(player.angle_degrees)
    assert any("mirrored" in text for text in rails.warnings)
    assert any("different angles" in text for text in rails.warnings)


def test_a_bar_off_the_line_is_named_and_its_motion_told() -> None:
    set_plan = plan("C3", "C4")
    at = places(set_plan)
    lengths = np.full(at.size, 0.4)
    half = np.full(at.size, 0.12)
    half[4] += 5e-3
    rails = fit_rails(set_plan, lengths, at, straight_outcomes(set_plan, lengths, half))
    hole = rails.holes[set_plan.semitones[4]][0]
    # a node nearer the end than the cord: the hole lies towards the middle
    assert 3e-3 < hole.misfit < 5e-3
    assert hole.motion == pytest.approx(9.5 * hole.misfit)
    assert any("E3" in text and "2 mm" in text for text in rails.warnings)
    assert not any("mirrored" in text for text in rails.warnings)


def test_the_edge_of_a_window_is_found_where_practice_has_none() -> None:
    """Three modes at A4: practice is too long for them, and the longest lies just below."""
    set_plan, note = plan(ratios={24: (1.0, 4.0, 10.0)}), note_semitone("A4")
    found = window(set_plan, note)
    practice = practice_length(note, wood=set_plan.wood, thickness=set_plan.thickness)
    assert try_length(set_plan, note, practice) is None
    assert found.longest < practice
    inside, beyond = (try_length(set_plan, note, f * found.longest) for f in (1.0, 1.05))
    assert inside is not None
    assert sensible(set_plan, inside[0])
    assert beyond is None or not sensible(set_plan, beyond[0])


def test_what_holds_lengths_back_is_named() -> None:
    """Three modes up to C5, which want it short, in the middle of a row of long bars."""
    hard = plan("C3", "C6", ratios={24: (1.0, 4.0, 10.0), note_semitone("C#5"): (1.0,)})
    blueprint = draw_blueprint(hard)
    told = held_back(blueprint)
    (at_change,) = [text for text in told if re.match(r".*C5 no longer: 3 modes would", text)]
    assert "the ratios change between C5 and C#5" in at_change
    assert not any("ratios change" in text for text in told if "C5" not in text)
    free = [i for i, n in enumerate(hard.semitones) if n not in range(58, 62)]
    lengths = blueprint.lengths
    assert lengths.longest[free[5]] - lengths.length[free[5]] > 1e-3


def test_pressing_brings_the_worst_misfit_down_without_jumps() -> None:
    """A survey that bars one bar from being long: the others come to meet it."""

    class Barred(Easy):
        def bounds(self, *, room: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
            low, wish, high = super().bounds(room=room)
            high[24] = 0.92 * wish[24]
            return low, np.minimum(wish, high), high

    set_plan = plan("C2", "C6", lengths=LengthRule(adjust=0.2))
    survey = cast("Survey", Barred(set_plan))
    pressed = find_lengths(survey)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(curve, "PRESSES", 0)
        plain = find_lengths(survey)
    off = [misfits(set_plan, found.length, found.node).max() for found in (plain, pressed)]
    assert off[1] < 2e-3 < off[0]
    assert np.abs(np.diff(pressed.length, 2)).max() < 2e-3
