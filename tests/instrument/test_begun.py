"""Lengths and planks of a set whose first bars are sawn."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from barmodel.instrument import (
    Begun,
    Blueprint,
    LengthRule,
    Lengths,
    Plank,
    SetPlan,
    held_back,
    saw,
)
from barmodel.instrument.assign import NEVER, Suits, assign
from barmodel.instrument.curve import find_lengths
from barmodel.instrument.layout import places
from barmodel.instrument.survey import Survey
from tests.instrument.plans import plan
from tests.instrument.test_layout import Easy
from tests.instrument.test_planks import plank

FREE = plan("C2", "C6", lengths=LengthRule(adjust=0.2))


class Wide(Easy):
    """The same, within bounds that do not grow with the room."""

    def bounds(self, *, room: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        low, wish, high = super().bounds(room=min(room, 0.2))
        return low, wish, high


SURVEY = cast("Survey", Wide(FREE))


def test_bars_sawn_as_the_curve_had_them_move_nothing() -> None:
    before = find_lengths(SURVEY)
    notes = FREE.semitones
    sawn = {notes[i]: float(before.length[i]) for i in (3, 10, 11, 30)}
    then = find_lengths(SURVEY, sawn=sawn)
    assert [then.length[i] for i in (3, 10, 11, 30)] == list(sawn.values())
    assert np.abs(then.length - before.length).max() < 0.5e-3
    assert then.wish == pytest.approx(before.wish)


def test_the_curve_goes_through_a_bar_that_was_shortened() -> None:
    before = find_lengths(SURVEY)
    short = float(before.length[10]) - 5e-3
    then = find_lengths(SURVEY, sawn={FREE.semitones[10]: short})
    assert then.length[10] == short
    fell = before.length - then.length
    assert np.all(fell[[9, 11]] > 2e-3), "its neighbours come to meet it"
    assert abs(fell[40]) < 1e-3, "those far away do not"
    assert np.abs(np.diff(then.length, 2)).max() < 2e-3
    given = replace(FREE, lengths=LengthRule(adjust=0.2, given={FREE.semitones[10]: 0.371}))
    held = find_lengths(cast("Survey", Wide(given)), sawn={FREE.semitones[10]: short})
    assert held.length[10] == 0.371, "what the set file says comes first"


def test_a_bar_sawn_as_no_bar_of_its_note_can_be_is_left_alone() -> None:
    before = find_lengths(SURVEY)
    note = FREE.semitones[10]
    then = find_lengths(SURVEY, sawn={note: 0.7 * float(before.length[10])})
    assert then.length.tolist() == before.length.tolist()


def blueprint(set_plan: SetPlan, lengths: np.ndarray) -> Blueprint:
    n = lengths.size
    found = Lengths(lengths, lengths, lengths - 1e-6, lengths + 1e-6, np.full(n, 0.22), np.ones(n))
    return Blueprint(set_plan, found, places(set_plan), ({},) * n, ({},) * n, ())


def test_what_holds_a_sawn_bar_is_told_and_what_is_astray() -> None:
    set_plan = plan("C3", "D3")
    lengths = np.array([0.40, 0.39, 0.38])
    drawn = replace(
        blueprint(set_plan, lengths), sawn={set_plan.lowest: 0.40, set_plan.highest: 0.30}
    )
    assert drawn.held_sawn == (set_plan.lowest,)
    (told,) = drawn.doubts
    assert told.startswith("D3 is sawn to 300.0 mm, and no bar of its note is sound")
    assert any(text == "C3 no shorter: it is sawn" for text in held_back(drawn))


def of_plank(name: str, length: float) -> Begun:
    return Begun(length=length, blank_length=length, blank_width=0.062, plank=name)


def test_wood_of_bars_that_were_begun_is_not_given_out_again() -> None:
    """A metre of a good plank gives two bars; the bar that took one of them leaves one place."""
    set_plan = plan("C3", "D#3", planks=(plank("good"), plank("bad", length=2.0)))
    low = set_plan.lowest
    cost = np.array([[1.0, 1.0, 1.0, NEVER], [9.0, 8.0, 7.0, 1.0]])
    lengths = np.full(4, 0.45)
    judged = Suits(set_plan.planks, np.full((2, 4), 0.007), cost)
    assert assign(set_plan, lengths, judged) == {0: 0, 1: 0, 2: 1, 3: 1}
    # D#3, that nobody would cut from it now, was; and C3 came from the bad one
    begun = {low + 3: of_plank("good", 0.45), low: of_plank("bad", 0.45)}
    assert assign(set_plan, lengths, judged, begun) == {0: 1, 1: 0, 2: 1, 3: 0}
    # a longer blank, or a plank that is not listed any more
    begun = {low + 3: of_plank("good", 0.60), low: of_plank("sold", 0.45)}
    assert assign(set_plan, lengths, judged, begun) == {1: 1, 2: 1, 3: 0}
    full = {low + 3: of_plank("good", 0.45), low: of_plank("good", 0.45)}
    assert assign(set_plan, lengths, judged, full) == {0: 0, 1: 1, 2: 1, 3: 0}


def with_planks(*planks: Plank) -> tuple[Blueprint, int]:
    set_plan = plan("C3", "D#3", planks=planks)
    lengths = np.array([0.45, 0.44, 0.43, 0.42])
    names = {set_plan.lowest + i: planks[0].name for i in range(3)}
    every = {planks[0].name: set_plan.semitones}
    return replace(blueprint(set_plan, lengths), plank=names, does_for=every), set_plan.lowest


def test_what_is_still_to_be_sawn_keeps_its_place_in_the_plank() -> None:
    drawn, low = with_planks(plank("P1", length=1.5))
    (first, second, third), told = saw(drawn)
    assert "no plank is left for D#3: these 1 of 4" in told[0]
    begun = {low: of_plank("P1", 0.45)}
    then, told = saw(drawn, without=begun, begun=begun)
    assert then == (second, third)
    assert "what begun bars took is gone: C3 came out of P1" in told[0]
    assert len(told) == 1
    # a list made since does not know where it lay
    anew, told = saw(replace(drawn, sawn={low: 0.45}), without=begun, begun=begun)
    assert {item.piece.semitone for item in anew} == {low + 1, low + 2}
    assert "P1: C3 came out of it before this cut list" in told[0]
    assert first.piece.semitone == low
    # by its assignment, if its file does not say so; and as it was sawn, if it does
    unsaid = {low: of_plank("", 0.45)}
    assert saw(drawn, without=unsaid, begun=unsaid)[0] == (second, third)
    longer = {low: of_plank("P1", 0.46)}
    assert saw(drawn, without=longer, begun=longer)[0][0].at == pytest.approx(second.at + 0.01)


def test_a_plank_that_cannot_have_given_it_all_is_told_of() -> None:
    drawn, low = with_planks(plank("P1", length=1.0))  # as it was cut down in the set file since
    begun = {low: of_plank("P1", 0.45)}
    sawn, told = saw(drawn, without=begun, begun=begun)
    assert sawn == ()
    assert "P1: C3 C#3 D3 do not all come out of it" in told[0]
    assert "before anything was sawn from it" in told[0]


def test_boards_keep_a_place_for_bars_that_came_out_of_them() -> None:
    set_plan = plan("C3", "D#3", board_length=1.0, board_width=0.2)
    drawn = blueprint(set_plan, np.array([0.45, 0.44, 0.43, 0.42]))
    low = set_plan.lowest
    every, _ = saw(drawn)
    begun = {low: of_plank("", 0.45)}
    assert saw(drawn, without=begun, begun=begun)[0] == every[1:]
    earlier = replace(drawn, sawn={low: 0.45})
    assert saw(earlier, without=begun, begun=begun)[0][0].at == 0.0
    other = {low: of_plank("", 0.40)}  # sawn otherwise, and so from somewhere else
    assert saw(drawn, without=other, begun=other)[0][0].at == 0.0
