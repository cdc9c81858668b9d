"""What a maker asks of a design."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barmodel.bar import Blank, bears_blows
from barmodel.design.arch import ArchFamily
from barmodel.design.family import Family
from barmodel.design.hollows import HollowsFamily
from barmodel.design.limits import Limits
from barmodel.design.steps import StepsFamily
from barmodel.errors import InputError
from barmodel.modes import Model
from barmodel.pitch import Target
from barmodel.units import MM

FAMILIES: dict[str, type[Family]] = {
    family.name: family for family in (ArchFamily, StepsFamily, HollowsFamily)
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """All that a maker asks of a design.

    Attributes
    ----------
    blank : Blank
    target : Target
    family : {"arch", "steps", "hollows"}
    limits : Limits
    fixed : mapping
        Measures of the family held at a value. [m] or [1]
    begin : mapping
        Measures the search starts from and may leave. [m] or [1]
    ratios_only : bool
        Meet the ratios and let the pitch come out as it will.
    model : {"best", "solid", "beam"}
        Which model has the last word.
    """

    blank: Blank
    target: Target
    family: str = "arch"
    limits: Limits = field(default_factory=Limits)
    fixed: Mapping[str, float] = field(default_factory=dict)
    begin: Mapping[str, float] = field(default_factory=dict)
    ratios_only: bool = False
    model: Model = "best"

    def __post_init__(self) -> None:
        if self.family not in FAMILIES:
            raise InputError(f"family {self.family!r} is unknown; use {', '.join(FAMILIES)}")
        if len(self.target.ratios) > 3:
            raise InputError(
                "a design meets one to three ratios; mode 4 cannot be tuned by these families: "
                "shorten the list"
            )
        if self.ratios_only and len(self.target.ratios) < 2:
            raise InputError("one ratio alone leaves nothing to meet; give 1:4 or 1:4:10")
        if self.limits.keep >= self.blank.thickness:
            raise InputError(
                f"least thickness {self.limits.keep / MM:g} mm is not below the blank's "
                f"{self.blank.thickness / MM:g} mm; nothing could be cut"
            ).if_thinner()

    @property
    def caution(self) -> float:
        """Thickness below which the maker is warned. [m]"""
        return bears_blows(self.blank.wood)
