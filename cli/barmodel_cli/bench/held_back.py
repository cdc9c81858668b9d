"""Whether the bar file's least thickness stands between a bar and its note."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.bench import Advice
    from barmodel_cli.asked.keeping import Least

STATES = ("rescue", "stuck", "lost")
"""Advice that more wood to take might change."""


def held_back(found: Advice, least: Least) -> str:
    """Say it where a bite may not be as deep as usual for the file's sake; empty where it may."""
    from barmodel.bench.pool import SHARE
    from barmodel.units import MM

    if found.state not in STATES or not least.of_file:
        return ""
    thinnest = found.posterior.bar.profile.least_thickness()[0]
    if thinnest - least.keep >= SHARE * thinnest:
        return ""
    return (
        f"it is {thinnest / MM:.2f} mm at its thinnest, which leaves little to take there "
        f"({least.whose})"
    )
