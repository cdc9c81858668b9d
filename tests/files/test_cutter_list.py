"""A maker's own cutters: read from TOML, wrong ones named."""

from __future__ import annotations

from pathlib import Path

import pytest

from barmodel.errors import FileError
from barmodel.files import read_cutters

GOOD = """
schema = "barmodel/cutters/1"
[cutters.bigdrum]
kind = "drum"
radius_mm = 32
[cutters.bullnose]
kind = "bit"
width_mm = 9.5
"""


def test_cutters_come_in_metres(tmp_path: Path) -> None:
    path = tmp_path / "cutters.toml"
    path.write_text(GOOD)
    cutters = read_cutters(path)
    assert cutters["bigdrum"].radius == pytest.approx(0.032)
    assert cutters["bullnose"].width == pytest.approx(0.0095)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("32", "-32"), "radius_mm"),
        (("drum", "saw"), "kind"),
        (("radius_mm", "radius_in"), "unknown field"),
        (("cutters/1", "cutters/2"), "schema"),
        (("radius_mm = 32", ""), "radius above zero"),
        (("[cutters.bigdrum]", "[cutters.bigdrum"), "not readable TOML"),
        (("32", "nan"), "radius_mm"),
    ],
)
def test_a_wrong_list_says_what_is_wrong(
    tmp_path: Path, change: tuple[str, str], said: str
) -> None:
    path = tmp_path / "cutters.toml"
    path.write_text(GOOD.replace(*change))
    with pytest.raises(FileError, match=said):
        read_cutters(path)
