from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.bar import Bar
from barmodel.errors import FileError, InputError
from barmodel.files import (
    CutMade,
    EndsCut,
    GrooveCut,
    PocketCut,
    Reading,
    WoodPart,
    bar_as_designed,
    bar_as_is,
    bar_at_start,
    blank_bar,
    design_entries,
    entries_of,
    shapes_of,
    wood_of,
    wood_part,
)
from barmodel.undercut import Arch, Groove, Pocket, Shape, Table
from barmodel.wood import species
from tests.files.samples import CONTRACT, content, document

millimetres = st.integers(1, 399).map(lambda n: n / 1000)


@st.composite
def shapes(draw: Any) -> Shape:
    start, end = sorted(draw(st.lists(millimetres, min_size=2, max_size=2, unique=True)))
    depth = draw(st.integers(1, 150)) * 1e-4
    common = {
        "mirror": draw(st.booleans()),
        "measured_from": draw(st.sampled_from(["surface", "blank"])),
    }
    kind = draw(st.sampled_from("apgrt"))
    if kind == "a":
        fullness = draw(st.sampled_from([1.0, 2.0, 3.7]))
        return Arch(start=start, end=end, depth=depth, fullness=fullness, **common)
    if kind == "p":
        return Pocket(start=start, end=end, depth=depth, **common)
    if kind == "g":
        section = draw(st.sampled_from(["flat", "dished"]))
        return Groove(at=start, width=end, depth=depth, section=section, **common)
    if kind == "r":
        return Groove(at=start, width=end, depth=depth, section="round", radius=0.02, **common)
    return Table(x=(start, end), depth=(0.0, depth), axis=0.2, **common)


@given(st.lists(shapes(), max_size=4))
def test_shapes_survive_the_file(cuts: list[Shape]) -> None:
    entries = entries_of(cuts)
    again = document(design=[entry.model_dump(mode="json") for entry in entries]).design
    assert again is not None
    assert again == entries
    for before, after in zip(cuts, shapes_of(again), strict=True):
        assert type(after) is type(before)
        for name in ("mirror", "measured_from", "axis", *before.parameters):
            old, new = getattr(before, name), getattr(after, name)
            assert new == (pytest.approx(old, abs=1e-9) if isinstance(old, float) else old)


def test_bar_as_is_is_blank_less_undercut_less_cuts() -> None:
    bar = document(undercut=CONTRACT["design"]).with_entries(
        Reading(hz=(300.0,)),
        CutMade(entries=(PocketCut(start_mm=150.0, end_mm=250.0, depth_mm=2.0),)),
    )
    now = bar_as_is(bar)
    middle = np.array([0.2])
    assert blank_bar(bar).profile.thickness(middle) == pytest.approx(22e-3)
    assert bar_at_start(bar).profile.thickness(middle) == pytest.approx(9e-3)
    assert now.profile.thickness(middle) == pytest.approx(7e-3)
    assert bar_as_designed(bar).profile.thickness(middle) == pytest.approx(9e-3)
    assert now.mass < bar_as_designed(bar).mass < blank_bar(bar).mass


def test_shortening_moves_older_cuts_with_the_bar() -> None:
    bar = document(undercut=CONTRACT["design"]).with_entries(
        CutMade(entries=(EndsCut(left_mm=10.0, right_mm=0.0),)),
        CutMade(entries=(GrooveCut(at_mm=190.0, width_mm=10.0, depth_mm=1.0),)),
    )
    now = bar_as_is(bar)
    assert now.blank.length == pytest.approx(0.39)
    assert now.profile.least_thickness()[0] == pytest.approx(8e-3)
    assert now.profile.least_thickness()[1] == pytest.approx(0.19, abs=1e-3)


@pytest.mark.parametrize(("left", "right"), [(0.0, 0.0), (8.0, 8.0), (14.0, 3.0)])
def test_the_design_lies_in_the_bar_as_it_has_been_shortened(left: float, right: float) -> None:
    """Found for the present length, kept from the end of the blank, moved with the bar after."""
    bar = document(design=None)
    if left:
        bar = bar.with_entries(CutMade(entries=(EndsCut(left_mm=left, right_mm=right),)))
    length = bar_as_is(bar).blank.length
    found = (
        Arch(start=0.08, end=length - 0.08, depth=6e-3),
        Groove(at=0.1, width=0.02, depth=2e-3, mirror=True),
    )
    bar = bar.changed(design=design_entries(bar, found))
    designed = bar_as_designed(bar)
    x = np.linspace(0.001, length - 0.001, 57)
    wanted = Bar(blank=designed.blank, undercut=found).profile
    assert designed.profile.thickness(x) == pytest.approx(wanted.thickness(x), abs=1e-9)
    later = bar.with_entries(CutMade(entries=(EndsCut(left_mm=2.0, right_mm=0.0),)))
    moved = bar_as_designed(later).profile.thickness(x[3:-3] - 2e-3)
    assert moved == pytest.approx(wanted.thickness(x[3:-3]), abs=1e-9)


def test_cut_that_reached_the_end_may_stay_after_a_shortening() -> None:
    table = {"shape": "table", "x_mm": [0.0, 400.0], "depth_mm": [1.0, 1.0]}
    bar = document(undercut=[table]).with_entries(CutMade(entries=(EndsCut(length_mm=5.0),)))
    assert bar_as_is(bar).profile.least_thickness()[0] == pytest.approx(21e-3)


def test_measured_depth_counts_instead_of_the_depth_aimed_at() -> None:
    pocket = PocketCut(start_mm=150.0, end_mm=250.0, depth_mm=2.0)
    bar = document().with_entries(CutMade(entries=(pocket,), measured_depth_mm=2.3))
    assert bar_as_is(bar).profile.least_thickness()[0] == pytest.approx(19.7e-3)


@pytest.mark.parametrize(
    ("cut", "told"),
    [
        (PocketCut(start_mm=300.0, end_mm=500.0, depth_mm=2.0), "500"),
        (PocketCut(start_mm=100.0, end_mm=300.0, depth_mm=23.0), "through the bar"),
        (EndsCut(length_mm=250.0), "leaves nothing"),
    ],
)
def test_impossible_cut_is_refused_by_number(cut: Any, told: str) -> None:
    with pytest.raises(FileError, match="G3: log entry 1: ") as caught:
        bar_as_is(document().with_entries(CutMade(entries=(cut,))))
    assert told in str(caught.value)


def test_mass_sets_the_density() -> None:
    weighed = document(blank=CONTRACT["blank"] | {"mass_g": 528.0})
    assert blank_bar(weighed).blank.wood.density == pytest.approx(1000.0)
    assert blank_bar(weighed).mass == pytest.approx(0.528)


def test_species_fills_in_what_is_null_and_marks_it() -> None:
    wood = wood_of(WoodPart(species="padauk", e_long_gpa=11.0))
    table = species("padauk").wood()
    assert wood.density == table.density
    assert wood.e_long == pytest.approx(11e9)
    assert wood.g_long_thick / wood.e_long == pytest.approx(table.g_long_thick / table.e_long)
    assert {"g_long_thick", "e_width"} <= wood.assumed
    assert "e_long" not in wood.assumed


def test_wood_survives_the_file() -> None:
    for name in ("padauk", "6061-T6"):
        wood = species(name).wood()
        again = wood_of(wood_part(wood))
        assert again.assumed == wood.assumed
        assert np.allclose(again.stiffness(), wood.stiffness(), rtol=1e-7)


def test_metal_stays_alike_in_all_directions_when_its_stiffness_is_given() -> None:
    assert wood_of(WoodPart(species="6061-T6", e_long_gpa=60.0)).isotropic


def test_unknown_wood_is_told_with_what_to_give() -> None:
    with pytest.raises(InputError, match="e_long_gpa is not known"):
        wood_of(WoodPart(density_kg_m3=800.0))
    with pytest.raises(InputError, match="padauk"):
        wood_of(WoodPart(species="paduk"))


def test_round_groove_without_width_is_as_wide_as_its_drum_cuts() -> None:
    groove = GrooveCut(at_mm=200.0, depth_mm=1.0, section="round", radius_mm=20.0)
    assert groove.full_width_mm == pytest.approx(2 * (20**2 - 19**2) ** 0.5)


def test_no_design_is_told() -> None:
    with pytest.raises(FileError, match="barmodel design"):
        bar_as_designed(document(design=None))


def test_samples_are_the_agreed_file() -> None:
    assert content() == CONTRACT
