"""Holding and striking, against what is known of a uniform bar."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.errors import InputError
from barmodel.strike import ModeShape, bring_out, expected_amplitudes, torsion_test

X = np.linspace(0.0, 0.4, 201)


def bending(number: int) -> ModeShape:
    """Shape of a uniform free bar (Blevins 1979, Table 8-1)."""
    z = (4.7300407449, 7.8532046241, 10.9956078380)[number - 1]
    s = (np.cosh(z) - np.cos(z)) / (np.sinh(z) - np.sin(z))
    u = z * X / X[-1]
    return ModeShape("bending", number, np.cosh(u) + np.cos(u) - s * (np.sinh(u) + np.sin(u)))


SHAPES = [
    *[bending(n) for n in (1, 2, 3)],
    ModeShape("torsional", 1, np.cos(np.pi * X / X[-1])),
    ModeShape("torsional", 2, np.cos(2 * np.pi * X / X[-1])),
]


def test_mode_two_is_held_at_the_middle() -> None:
    advice = bring_out(X, SHAPES, number=2)
    assert advice.hold == pytest.approx((0.2,), abs=0.002)
    assert advice.amplitude > 3 * max(a for kind, _, a in advice.rivals if kind == "bending")


def test_mode_one_is_held_at_its_nodes() -> None:
    advice = bring_out(X, SHAPES, number=1)
    assert advice.hold == pytest.approx((0.2241575 * 0.4, 0.7758425 * 0.4), abs=0.002)


def test_mode_three_is_held_where_only_it_rests() -> None:
    advice = bring_out(X, SHAPES, number=3)
    assert advice.amplitude > 2 * max(a for kind, _, a in advice.rivals if kind == "bending")


def test_torsion_is_struck_at_the_edge() -> None:
    assert bring_out(X, SHAPES, kind="torsional", number=1).across == "edge"
    change = {(k, n): db for k, n, db in torsion_test(X, SHAPES, strike_at=0.02)}
    assert abs(change["bending", 1]) < 1.0
    assert change["torsional", 1] > 20.0


def test_strike_at_a_node_is_quiet() -> None:
    loud = expected_amplitudes(X, SHAPES, strike_at=0.2)
    assert loud[1] < 0.2 < loud[0]


def test_mirror_image_gives_the_same_amplitudes() -> None:
    left = expected_amplitudes(X, SHAPES, strike_at=0.05, held_at=[0.1])
    right = expected_amplitudes(X, SHAPES, strike_at=0.35, held_at=[0.3])
    assert np.allclose(left, right, atol=1e-6)


def test_unknown_mode_is_refused() -> None:
    with pytest.raises(InputError, match="no vertical motion"):
        bring_out(X, SHAPES, number=9)
