"""Planks go where they suit, and only as many bars as can be sawn out of them."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from barmodel.errors import InputError
from barmodel.instrument import Piece, Plank, draw_blueprint, lay_out
from barmodel.instrument.assign import NEVER, Suits, assign, blanks, suits, why_none
from barmodel.instrument.cutting import fits
from tests.instrument.plans import plan


def plank(name: str, *, length: float = 1.0, width: float = 0.07, speed: float = 1.0) -> Plank:
    wood = plan().wood
    wood = replace(wood, e_long=wood.e_long * speed**2)
    return Plank(name=name, length=length, width=width, thickness=0.022, wood=wood)


def test_cut_list_keeps_kerfs_and_widths() -> None:
    pieces = [Piece(semitone=i, length=0.3, width=0.06 if i < 4 else 0.05) for i in range(6)]
    sawn = lay_out(pieces, length=0.95, width=0.12, kerf=0.003)
    assert {item.piece.semitone for item in sawn} == set(range(6))
    for board in {item.board for item in sawn}:
        strips = {item.strip: item for item in sawn if item.board == board}
        edges = sorted((item.across, item.across + item.piece.width) for item in strips.values())
        assert edges[-1][1] <= 0.12 + 1e-9
        for low, high in itertools.pairwise(edges):
            assert high[0] - low[1] >= 0.003 - 1e-9
        for strip in strips:
            along = [item for item in sawn if (item.board, item.strip) == (board, strip)]
            assert max(item.piece.width for item in along) == along[0].piece.width
            ends = [item.at for item in along] + [along[-1].at + along[-1].piece.length]
            assert ends[-1] <= 0.95 + 1e-9
            assert min(np.diff(ends)) >= 0.3 - 1e-9
    # three of 0.3 m and two kerfs come out of 0.95 m; a third strip does not fit 0.12 m
    assert len({item.board for item in sawn}) == 2
    with pytest.raises(InputError, match="longer boards"):
        lay_out(pieces, length=0.29, width=0.12, kerf=0.003)


def test_every_bar_gets_the_plank_that_costs_least() -> None:
    set_plan = plan("C3", "D3", planks=(plank("a"), plank("b")))
    cost = np.array([[1.0, 5.0, 9.0], [4.0, 4.0, 1.0]])
    judged = Suits(set_plan.planks, np.full((2, 3), 0.007), cost)
    assert assign(set_plan, np.full(3, 0.4), judged) == {0: 0, 1: 1, 2: 1}


def test_a_plank_gives_no_more_than_can_be_sawn() -> None:
    set_plan = plan("C3", "D#3", planks=(plank("good"), plank("bad", length=2.0)))
    cost = np.array([[1.0, 1.0, 1.0, 1.0], [9.0, 8.0, 7.0, 3.0]])
    lengths = np.full(4, 0.45)
    judged = Suits(set_plan.planks, np.full((2, 4), 0.007), cost)
    chosen = assign(set_plan, lengths, judged)
    # two of 450 mm come out of a metre: those that would lose most elsewhere
    assert chosen == {0: 0, 1: 0, 2: 1, 3: 1}
    pieces = blanks(set_plan, lengths, [0, 1, 2])
    assert not fits(pieces, length=1.0, width=0.07, kerf=0.003)


def test_one_large_plank_gives_what_can_be_sawn_of_it() -> None:
    """Of five octaves more must go than there were rounds once, and then all went."""
    set_plan = plan("C2", "C7", planks=(plank("large", length=1.6, width=0.25),))
    lengths = np.linspace(0.55, 0.19, 61)
    judged = Suits(set_plan.planks, np.full((1, 61), 0.007), np.ones((1, 61)))
    chosen = assign(set_plan, lengths, judged)
    assert len(chosen) >= 20
    pieces = blanks(set_plan, lengths, sorted(chosen))
    assert fits(pieces, length=1.6, width=0.25, kerf=0.003)


def test_a_bar_that_nothing_does_for_gets_none() -> None:
    set_plan = plan("C3", "C#3", planks=(plank("a"),))
    judged = Suits(set_plan.planks, np.full((1, 2), 0.007), np.array([[1.0, NEVER]]))
    assert assign(set_plan, np.full(2, 0.4), judged) == {0: 0}


def test_a_useless_plank_is_told_why() -> None:
    set_plan = plan("C3", "C#3", planks=(plank("any"),))
    lengths = np.array([0.40, 0.39])
    assert "too small" in why_none(set_plan, plank("short", length=0.3), lengths)
    assert "too small" in why_none(set_plan, plank("narrow", width=0.02), lengths)
    thin = replace(plank("thin"), thickness=0.012)
    assert "12 mm thick" in why_none(set_plan, thin, lengths)
    fast = why_none(set_plan, plank("fast", speed=1.3), lengths)
    slow = why_none(set_plan, plank("slow", speed=0.7), lengths)
    assert "longer bars" in fast
    assert "shorter bars" in slow


def test_slow_planks_suit_where_the_middle_is_thin() -> None:
    planks = (plank("fast", speed=1.03), plank("slow", speed=0.97), plank("short", length=0.3))
    set_plan = plan("C3", "D3", planks=planks)
    thin = np.array([0.393, 0.386, 0.379])  # about 5.2 mm in the middle, 5 must remain
    judged = suits(set_plan, thin, ({},) * 3, np.full(3, 0.0052))
    assert judged.cost[1, 0] < judged.cost[0, 0]
    # at the same length and note the middle goes as 1/speed, roughly
    roomy = suits(set_plan, thin * 1.15, ({},) * 3, np.full(3, 0.0064))
    ratio = roomy.centre[1] / roomy.centre[0]
    assert ratio == pytest.approx(np.full(3, 1.03 / 0.97), rel=0.02)
    assert roomy.notes(1).tolist() == [0, 1, 2]
    assert roomy.notes(2).tolist() == []


def test_wood_of_a_bar_is_that_of_its_plank() -> None:
    planks = (plank("P1", length=2.0, speed=1.02),)
    blueprint = draw_blueprint(plan("C4", "D4", planks=planks))
    assert blueprint.plank == {48: "P1", 49: "P1", 50: "P1"}
    assert blueprint.does_for == {"P1": (48, 49, 50)}
    assert blueprint.task(49).request.blank.wood == planks[0].wood
