"""Cords that are drawn for bars as they are on the bench."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.instrument import RailRule, Rails, SetPlan, Standing, fit_rails
from barmodel.instrument.layout import places
from tests.instrument.plans import plan, straight_outcomes

LEAN = RailRule(lean=(0.3, 0.3))


def fitted(standing: dict[int, Standing] | None = None) -> tuple[SetPlan, Rails]:
    """Ten naturals and accidentals whose nodes lie up to a millimetre off a straight cord."""
    set_plan = plan("C3", "B3", rails=LEAN)
    at = places(set_plan)
    lengths = np.linspace(0.45, 0.36, at.size)
    half = 0.14 - 0.05 * at + 1e-3 * np.sin(np.arange(at.size) * 2.0)
    outcomes = straight_outcomes(set_plan, lengths, half)
    return set_plan, fit_rails(set_plan, lengths, at, outcomes, standing)


NOTE = 40
"""E3, a natural."""
LONG = float(np.linspace(0.45, 0.36, 12)[4])


def drilled(inward: float = 0.0, *, player: float = 0.0) -> Standing:
    """E3, drilled where its cords ran, or so far off; one end apart may be off as well."""
    one, other = fitted()[1].holes[NOTE]
    holes = (
        replace(one, middle=one.middle + inward + player, node=float("nan")),
        replace(other, middle=other.middle + inward, node=float("nan")),
    )
    return Standing(length=LONG, drilled=holes)


def test_a_bar_drilled_where_its_cord_ran_moves_nothing() -> None:
    plain, then = fitted()[1], fitted({NOTE: drilled()})[1]
    assert then.rails[0].slope == pytest.approx(plain.rails[0].slope, abs=1e-9)
    assert then.rails[0].at_bass == pytest.approx(plain.rails[0].at_bass, abs=1e-9)
    for note, holes in plain.holes.items():
        assert then.holes[note][0].middle == pytest.approx(holes[0].middle, abs=1e-9)
    assert then.warnings == plain.warnings


def test_cords_are_drawn_through_holes_that_are_drilled() -> None:
    plain, then = fitted()[1], fitted({NOTE: drilled(1e-3)})[1]
    at = places(fitted()[0])[NOTE - 36]
    moved = plain.rails[0].half(at) - then.rails[0].half(at)
    assert 0.8e-3 < moved < 1e-3
    assert then.rails[1] == plain.rails[1], "the other row has cords of its own"
    # the holes of that bar are told as they are, beside the node they should have met
    hole = then.holes[NOTE][0]
    assert hole.middle == pytest.approx(plain.holes[NOTE][0].middle + 1e-3)
    assert hole.node == pytest.approx(plain.holes[NOTE][0].node)
    assert hole.motion == pytest.approx(9.5 * abs(hole.misfit))
    assert then.warnings == plain.warnings
    # a bar slides along itself: as much off at one end alone is half of it
    one_end = fitted({NOTE: drilled(player=1e-3)})[1].rails[0].half(at)
    assert plain.rails[0].half(at) - one_end == pytest.approx(moved / 2)


def test_no_other_bar_is_spoiled_for_a_bar_drilled_badly() -> None:
    plain, then = fitted()[1], fitted({NOTE: drilled(6e-3)})[1]
    others = [abs(then.holes[note][0].misfit) for note in then.rails[0].semitones if note != NOTE]
    assert max(others) == pytest.approx(1.9e-3)
    at = places(fitted()[0])[NOTE - 36]
    moved = plain.rails[0].half(at) - then.rails[0].half(at)
    assert 0.5e-3 < moved < 3e-3
    (told,) = [text for text in then.warnings if "off the straight cord" in text]
    assert f"off the straight cord: E3 {6.0 - 1e3 * moved:.1f} mm too near its middle" in told
    assert then.rails[0].worst == pytest.approx(6e-3 - moved)


def test_neighbours_drilled_badly_turn_no_cord() -> None:
    """Two bars side by side, one too far in and one too far out, name each other."""
    set_plan, plain = fitted()
    one, other = plain.holes[NOTE + 1]
    beside = Standing(
        length=float(np.linspace(0.45, 0.36, 12)[5]),
        drilled=(
            replace(one, middle=one.middle - 2e-3),
            replace(other, middle=other.middle - 2e-3),
        ),
    )
    then = fitted({NOTE: drilled(2e-3), NOTE + 1: beside})[1]
    turned = then.rails[0].slope - plain.rails[0].slope
    assert abs(turned) < 0.6 * 4e-3 / 0.07, "not from hole to hole"
    (told,) = [text for text in then.warnings if "drilled lie off" in text]
    assert "E3" in told
    assert "too near its middle, F3" in told
    assert told.count("too near its ends") == 1
    assert set_plan.semitones[5] == NOTE + 1


def test_a_bar_of_other_length_counts_with_its_own_nodes() -> None:
    plain = fitted()[1]
    nodes = (0.2 * (LONG - 0.02), 0.8 * (LONG - 0.02))
    then = fitted({NOTE: Standing(length=LONG - 0.02, nodes=nodes, node_slope=8.0)})[1]
    at = places(fitted()[0])[NOTE - 36]
    player, far = then.holes[NOTE]
    assert player.node == pytest.approx(nodes[0])
    assert LONG - 0.02 - player.middle - far.middle == pytest.approx(2 * then.rails[0].half(at))
    assert then.rails[0].at_bass != plain.rails[0].at_bass
    # more off one end than off the other: both holes go along
    skewed = fitted({NOTE: Standing(length=LONG - 0.02, nodes=(nodes[0] + 4e-3, nodes[1] + 4e-3))})
    holes = skewed[1].holes[NOTE]
    assert holes[0].middle == pytest.approx(player.middle + 4e-3)
    assert holes[1].middle == pytest.approx(far.middle - 4e-3)


def test_a_bar_without_nodes_of_its_own_has_those_of_its_design_drawn_out() -> None:
    plain = fitted()[1]
    then = fitted({NOTE: Standing(length=1.02 * LONG)})[1]
    assert then.holes[NOTE][0].node == pytest.approx(1.02 * plain.holes[NOTE][0].node)
