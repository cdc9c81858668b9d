"""Names by ratio alone."""

from __future__ import annotations

import pytest

from barmodel.strike import Partial, name_by_pattern


def lines(*pairs: tuple[float, float], first: float = 200.0) -> list[Partial]:
    return [
        Partial(first * ratio, 0.2, 0.4, level, 0.3 / ratio, 0.001, 40.0) for ratio, level in pairs
    ]


@pytest.mark.parametrize(
    ("ratios", "kind"),
    [
        ((1.0, 2.72, 5.25), "blank"),
        ((1.0, 2.60, 4.74), "blank"),
        ((1.0, 4.01, 9.9), "tuned 1:4:10"),
        ((1.0, 2.99, 5.85), "tuned 1:3:6"),
    ],
)
def test_kinds_of_bar_are_known(ratios: tuple[float, ...], kind: str) -> None:
    found = name_by_pattern(lines(*[(r, -8.0) for r in ratios]))
    assert found.pattern == kind
    assert [m.number for m in found.modes] == [1, 2, 3]
    assert all(m.confidence > 0.8 for m in found.modes)


def test_quiet_mode_one_is_not_overlooked() -> None:
    """4 : 10 : 18.5 looks like a stout blank; the quiet line below tells that it is not."""
    found = name_by_pattern(lines((1.0, -42.0), (4.0, 0.0), (10.0, -6.0), (18.0, -12.0)))
    assert found.modes[0].hz == pytest.approx(200.0)


def test_torsion_between_the_modes_takes_no_name() -> None:
    found = name_by_pattern(lines((1, 0), (1.8, -15), (4.0, -10), (6.3, -25), (9.8, -12)))
    assert [round(m.hz / 200, 1) for m in found.modes] == [1.0, 4.0, 9.8]


def test_torsion_beside_mode_two_forbids_being_sure() -> None:
    found = name_by_pattern(lines((1, 0), (3.87, -12), (4.01, -11), (10.1, -5)))
    assert found.modes[1].confidence < 0.9


def test_one_line_is_never_sure() -> None:
    found = name_by_pattern(lines((1, 0)))
    assert len(found.modes) == 1
    assert found.modes[0].confidence <= 0.6


def test_upper_modes_alone_are_not_called_one_and_two_for_sure() -> None:
    found = name_by_pattern(lines((4.0, 0.0), (10.0, -6.0)))
    assert all(m.confidence < 0.9 for m in found.modes)


def test_nothing_heard_nothing_named() -> None:
    assert name_by_pattern([]).modes == ()
