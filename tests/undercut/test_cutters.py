"""What each cutter leaves, and what it refuses."""

from __future__ import annotations

import math

import pytest

from barmodel.errors import GeometryError, InputError
from barmodel.undercut import Groove, Pocket, build_profile
from barmodel.undercut.cutters import CUTTERS, Cutter, find_cutter


def removed(cut: Groove | Pocket) -> float:
    """Area of the side view taken from a bar of 400 × 22 mm. [mm²]"""
    return (0.4 * 0.022 - build_profile(0.4, 0.022, (cut,)).integral()) * 1e6


def test_each_kind_removes_the_area_of_its_own_outline() -> None:
    flat = CUTTERS["bit12"].cut(at=0.2, depth=1e-3)
    dish = CUTTERS["scraper20"].cut(at=0.2, depth=1e-3)
    drum = CUTTERS["drum40"].cut(at=0.2, depth=1e-3)
    assert removed(flat) == pytest.approx(12.0, rel=1e-9)
    assert removed(dish) == pytest.approx(10.0, rel=1e-6)  # mean of a raised cosine is one half
    half_angle = math.acos(19.0 / 20.0)  # segment of a circle of 20 mm, 1 mm high
    assert removed(drum) == pytest.approx(
        400.0 * (half_angle - math.sin(half_angle) * math.cos(half_angle)), rel=1e-4
    )


def test_a_drum_moved_along_leaves_a_floor_between_two_arcs() -> None:
    cut = CUTTERS["drum40"].cut(at=0.2, depth=1e-3, width=0.05)
    assert isinstance(cut, Pocket)
    assert cut.corner_radius == pytest.approx(0.02)
    assert cut.extent == pytest.approx((0.175, 0.225))


@pytest.mark.parametrize(
    ("name", "width", "depth", "words"),
    [
        ("bit12", 0.008, 1e-3, "shortest there is 12.00 mm"),
        ("drum40", 0.010, 1e-3, "shortest there is 12.49 mm"),
        ("drum25", None, 0.014, "cut at most 12.5 mm"),
        ("bit12", None, -1e-3, "must be above zero"),
    ],
)
def test_what_a_cutter_cannot_do_is_refused_with_what_it_can(
    name: str, width: float | None, depth: float, words: str
) -> None:
    with pytest.raises(GeometryError, match=words):
        CUTTERS[name].cut(at=0.2, depth=depth, width=width)


@pytest.mark.parametrize("kind", ["bit", "scraper", "drum"])
def test_a_cutter_takes_no_size_of_another_kind(kind) -> None:
    with pytest.raises(InputError, match=f"a {kind} has no "):
        Cutter(name="b", kind=kind, width=0.01, radius=0.005)


def test_cutters_are_found_by_kind_and_size_or_in_the_makers_own_list() -> None:
    assert find_cutter("drum32").radius == pytest.approx(0.016)
    own = {"old faithful": Cutter(name="old faithful", kind="scraper", width=0.03)}
    assert find_cutter("old faithful", own).width == 0.03
    with pytest.raises(InputError, match="drum32 or bit8"):
        find_cutter("chisel")
