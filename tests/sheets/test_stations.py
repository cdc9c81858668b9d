"""Figures for the bench: stations, router passes, holes, the scale of the paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.errors import GeometryError, InputError
from barmodel.holes import CordHole
from barmodel.sheets import Paper
from barmodel.sheets.stations import router_passes, stations, thickness_at
from barmodel.sheets.tiles import share_out
from barmodel.undercut import Arch, Pocket
from barmodel.undercut.profile import build_profile
from tests.sheets.bars import SIZES, job_of


@pytest.mark.parametrize("index", range(len(SIZES)))
def test_router_never_goes_below_the_underside(index: int) -> None:
    profile = job_of(index).aim.profile
    passes = router_passes(profile, cutter=0.012)
    assert passes
    for run in passes:
        x = np.linspace(run.first_stop - 0.006, run.last_stop + 0.006, 400)
        x = np.clip(x, run.start + 1e-9, run.end - 1e-9)
        left = profile.thickness(x).real
        assert (profile.stock.real - run.depth > left - 1e-7).all()
        assert run.first_stop - 0.006 == pytest.approx(run.start)


def test_passes_of_steps_reach_the_floors_in_small_bites() -> None:
    cuts = (Pocket(start=0.1, end=0.3, depth=0.007), Pocket(start=0.15, end=0.25, depth=0.004))
    passes = router_passes(build_profile(0.4, 0.022, cuts), cutter=0.012)
    sized = [(run.depth, run.start, run.end) for run in passes if run.to_size]
    assert sized == [(pytest.approx(0.007), pytest.approx(0.1), pytest.approx(0.3)),
                     (pytest.approx(0.011), pytest.approx(0.15), pytest.approx(0.25))]  # fmt: skip
    depths = np.array([0.0, *sorted({run.depth for run in passes})])
    assert np.diff(depths).max() <= 0.003 + 1e-9


def test_passes_over_an_arch_leave_wood_for_the_drum() -> None:
    profile = build_profile(0.4, 0.022, (Arch(start=0.1, end=0.3, depth=0.012),))
    passes = router_passes(profile, cutter=0.012, leave=0.001)
    assert not any(run.to_size for run in passes)
    for run in passes:
        x = np.linspace(run.start, run.end, 200)
        assert (profile.stock.real - run.depth - profile.thickness(x).real).min() > 0.00099


def test_stations_refuse_nonsense() -> None:
    with pytest.raises(InputError, match="5 or 10"):
        stations(0.4, 0.0)


def test_holes_must_stay_in_the_wood() -> None:
    job = job_of(3)
    with pytest.raises(GeometryError, match="breaks out"):
        replace(job, holes=(CordHole(0.2, height=0.011),))
    with pytest.raises(GeometryError, match="leaves the bar"):
        replace(job, holes=(CordHole(0.002, height=0.011),))


def test_remaining_needs_the_present_bar() -> None:
    with pytest.raises(InputError, match="as it is now"):
        replace(job_of(0), kind="remaining", now=None)


def test_printer_scale_undoes_the_printer() -> None:
    assert Paper(printer_scale=0.995).scale * 0.995 == pytest.approx(1.0)
    with pytest.raises(InputError, match="printer scale"):
        Paper(printer_scale=0.5)
    with pytest.raises(InputError, match="a4, a3, letter"):
        Paper("foolscap")


def test_joins_keep_away_from_words() -> None:
    avoid = [(x - 2.2, x + 2.2) for x in range(0, 465, 5)]
    tiles = share_out(460.0, 244.4, avoid=avoid)
    for tile in tiles:
        assert tile.end - tile.start <= 244.4 + 1e-9
        assert not any(low < join < high for join in tile.joins for low, high in avoid)


def test_a_plain_bar_has_one_thickness() -> None:
    """No edge inside: there was once nothing to look through."""
    plain = build_profile(0.4, 0.022, ())
    assert thickness_at(plain, np.array([0.0, 0.1, 0.4])) == pytest.approx([0.022] * 3)


def test_at_a_wall_the_thicker_side_is_told() -> None:
    steps = build_profile(0.4, 0.022, (Pocket(start=0.1, end=0.3, depth=0.007),))
    at = np.array([0.0999, 0.1, 0.1001, 0.3])
    assert thickness_at(steps, at) == pytest.approx([0.022, 0.022, 0.015, 0.022])
