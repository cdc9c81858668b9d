"""Wood from frequencies: recovered exactly where data suffice, honest where they do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.errors import InputError
from barmodel.fit import Taps, fit_wood
from barmodel.fit.records import heard_in
from barmodel.fit.solve import FitModel, _changed, _predict, _with_wood
from barmodel.modes import solve
from barmodel.wood import Wood, from_partial, species
from validation.wood_fit.case import HZ as EXACT_HZ  # E 18, G 1.125 GPa


def bar_of(wood: Wood) -> Bar:
    return Bar(blank=Blank(length=0.4, width=0.05, thickness=0.024, wood=wood))


@pytest.fixture
def guess() -> Bar:
    return bar_of(from_partial(density=900.0, e_long=15e9))


@pytest.mark.parametrize("count", [3, 4])
def test_exact_frequencies_give_the_wood_to_four_digits(guess: Bar, count: int) -> None:
    found = fit_wood(guess, Taps(bending_hz=EXACT_HZ[:count]), model="plain")
    assert found.wood.e_long == pytest.approx(18.0e9, rel=2e-5)
    assert found.wood.g_long_thick == pytest.approx(1.125e9, rel=2e-5)
    assert found.prior == ()


def test_solid_frequencies_give_all_three_moduli_back(guess: Bar) -> None:
    start = guess.blank.wood
    stiffer = 17.3e9 / start.e_long
    true = replace(
        start,
        e_long=17.3e9,
        e_width=start.e_width * stiffer,
        e_thick=start.e_thick * stiffer,
        g_long_thick=1.1e9,
        g_long_width=1.6e9,
    )
    modes = solve(bar_of(true), count=3)
    found = fit_wood(
        guess,
        Taps(bending_hz=modes.bending_hz.tolist(), torsional_hz=modes.torsional_hz[:1].tolist()),
    )
    for name in ("e_long", "g_long_thick", "g_long_width"):
        assert getattr(found.wood, name) == pytest.approx(getattr(true, name), rel=2e-4)
    assert np.abs(found.residual_cents).max() < 0.05
    assert "g_long_width" not in found.wood.assumed


def test_one_tap_moves_e_and_leans_on_the_species_for_g(guess: Bar) -> None:
    found = fit_wood(guess, Taps(bending_hz=EXACT_HZ[:1]), model="plain")
    assert found.prior == ("e_long", "g_long_thick")
    assert found.standard_error[1] == pytest.approx(0.30, rel=0.02)
    assert found.standard_error[0] < 0.05


def test_an_uneven_plank_shows_in_what_the_model_cannot_explain(guess: Bar) -> None:
    bent = [hz * 2 ** (c / 1200) for hz, c in zip(EXACT_HZ, (8, -8, 8, -8), strict=True)]
    even = fit_wood(guess, Taps(bending_hz=EXACT_HZ), model="plain")
    uneven = fit_wood(guess, Taps(bending_hz=bent), model="plain")
    assert even.unevenness_cents == 0.0
    assert uneven.unevenness_cents > 5.0


def test_standard_errors_follow_the_readings(guess: Bar) -> None:
    coarse = Taps(bending_hz=EXACT_HZ, bending_error_cents=(4.0, 4.0, 4.0, 4.0))
    fine = fit_wood(guess, Taps(bending_hz=EXACT_HZ), model="plain")
    rough = fit_wood(guess, coarse, model="plain")
    assert rough.standard_error == pytest.approx(4.0 * fine.standard_error, rel=1e-3)


def test_taps_that_cannot_be_this_bar_are_refused(guess: Bar) -> None:
    with pytest.raises(InputError, match="which mode"):
        fit_wood(guess, Taps(bending_hz=(33.0, 66.0, 99.0)), model="plain")
    with pytest.raises(InputError, match="above zero"):
        Taps(bending_hz=(None, None))


@pytest.mark.parametrize("model", ["best", "plain"])
def test_slopes_are_those_of_all_that_follows(guess: Bar, model: FitModel) -> None:
    """Constants across the grain follow E in a fit, and the beam feels them."""
    heard = heard_in(Taps(bending_hz=(1.0, 1.0, 1.0)))
    short = replace(guess, blank=replace(guess.blank, length=0.2, width=0.05, thickness=0.022))
    names = ("e_long", "g_long_thick")
    before, slopes = _predict(short, heard, names, model)
    for column in range(2):
        step = 1e-4 * np.eye(2)[column]
        moved = _with_wood(short, _changed(short.blank.wood, names, step))
        after, _ = _predict(moved, heard, names, model)
        assert slopes[:, column] == pytest.approx((after - before) / 1e-4, abs=2e-3)


def test_a_mode_with_which_nothing_settles_is_left_out() -> None:
    """Mode 3 of a short wide blank, where the beam takes two modes in turn for it."""
    blank = Blank(length=0.1867, width=0.048, thickness=0.022, wood=species("padauk").wood())
    taps = Taps(bending_hz=(2439.3, 5554.0, 9062.6))
    found = fit_wood(Bar(blank=blank), taps)
    assert found.left_out == ("bending 3",)
    assert found.modes == ("bending 1", "bending 2")
    two = fit_wood(Bar(blank=blank), replace(taps, bending_hz=(2439.3, 5554.0)))
    assert found.wood.e_long == pytest.approx(two.wood.e_long)
    assert two.left_out == ()
