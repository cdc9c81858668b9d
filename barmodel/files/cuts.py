"""Cuts as they stand in files: millimetres, one entry per shape, unknown fields refused."""

from __future__ import annotations

import unicodedata
from typing import Annotated, Any, Literal, TypeAlias

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

from barmodel.undercut.shapes import drum_reach

FARTHEST_MM = 1e5
"""Longer than any plank; beyond it a slip of the pen would drown in rounding. [mm]"""
MOST_CUTS, MOST_POINTS = 1000, 20_000
"""Cuts in a list, and points in a table of depths. Lists are read up to the first thing wrong, or
a file of nothing but wrong things would take gigabytes to complain about."""
Millimetres: TypeAlias = Annotated[
    float, Field(ge=-FARTHEST_MM, le=FARTHEST_MM, description="[mm]")
]
Size: TypeAlias = Annotated[float, Field(gt=0.0, le=FARTHEST_MM, description="above zero [mm]")]
NotNegative: TypeAlias = Annotated[float, Field(ge=0.0, le=FARTHEST_MM)]


def _shown_as_it_is(text: str) -> str:
    """Refuse what steers a terminal or breaks a drawing and is no letter."""
    for letter in text:
        if letter not in "\n\t" and unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp"):
            raise ValueError(f"holds {letter!r}, which is no letter; remove it")
    return text


def _on_one_line(text: str) -> str:
    if "\n" in text or "\t" in text:
        raise ValueError(f"{text!r} does not stand on one line; take the break out")
    return _shown_as_it_is(text)


Text: TypeAlias = Annotated[str, AfterValidator(_shown_as_it_is), Field(max_length=20_000)]
Line: TypeAlias = Annotated[str, AfterValidator(_on_one_line), Field(max_length=1000)]


class Record(BaseModel):
    """What all parts of a file share: fixed fields, real numbers, no change after reading."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, populate_by_name=True
    )


_ALWAYS_WRITTEN = ("kind", "shape")  # they tell the reader what the part is


class Sparse(Record):
    """A part of a file that is written without the fields that say nothing new."""

    @model_serializer(mode="wrap")
    def _leave_out_defaults(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        written: dict[str, Any] = handler(self)
        defaults = {
            field.serialization_alias or field.alias or name: field.get_default()
            for name, field in type(self).model_fields.items()
            if not field.is_required()
        }
        return {
            name: value
            for name, value in written.items()
            if name in _ALWAYS_WRITTEN
            or name not in defaults
            or value not in (defaults[name], _listed(defaults[name]))
        }


def _listed(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


class Cut(Sparse):
    """What every cut may say besides its shape."""

    mirror: bool = Field(default=False, description="the same cut on the other half as well")
    measured_from: Literal["surface", "blank"] = Field(
        default="surface",
        description="depth counts from the present surface or the uncut blank",
    )
    axis_mm: Millimetres | None = Field(
        default=None,
        description="where `mirror` reflects; by default the middle of the bar [mm]",
    )


class ArchCut(Cut):
    """Smooth arch: depth·(1 − |2(x − m)/w|^fullness)."""

    shape: Literal["arch"] = "arch"
    start_mm: Millimetres
    end_mm: Millimetres
    depth_mm: Size
    fullness: float = Field(default=2.0, ge=1.0, le=1e4, description="exponent; 2 is a parabola")


class PocketCut(Cut):
    """Flat floor between walls, or between rounds of `corner_radius_mm`."""

    shape: Literal["pocket"] = "pocket"
    start_mm: Millimetres
    end_mm: Millimetres
    depth_mm: Size
    corner_radius_mm: NotNegative = Field(default=0.0, description="0 for vertical walls [mm]")


class GrooveCut(Cut):
    """Narrow cut about `at_mm`."""

    shape: Literal["groove"] = "groove"
    at_mm: Millimetres
    width_mm: Size | None = Field(
        default=None,
        description="along the bar; of a round groove by default what its drum cuts",
    )
    depth_mm: Size
    section: Literal["flat", "round", "dished"] = "flat"
    radius_mm: Size | None = Field(default=None, description="drum of a round groove [mm]")

    @model_validator(mode="after")
    def _sizes_fit_the_section(self) -> GrooveCut:
        if self.section == "round" and self.radius_mm is None:
            raise ValueError("a round groove needs radius_mm, the radius of its drum")
        if self.section != "round" and self.radius_mm is not None:
            raise ValueError(f"a {self.section} groove takes no radius_mm; say section 'round'")
        if self.section != "round" and self.width_mm is None:
            raise ValueError(f"a {self.section} groove needs width_mm, its length along the bar")
        return self

    @property
    def full_width_mm(self) -> float:
        """Width as given, or as the drum leaves it: 2·√(2RD − D²), at most 2R. [mm]"""
        if self.width_mm is not None:
            return self.width_mm
        radius = self.radius_mm or 0.0
        return 2.0 * float(drum_reach(self.depth_mm, radius))


class TableCut(Cut):
    """Measured or arbitrary depths, straight between the points."""

    shape: Literal["table"] = "table"
    x_mm: tuple[Millimetres, ...] = Field(
        min_length=2,
        max_length=MOST_POINTS,
        fail_fast=True,
        description="increasing positions [mm]",
    )
    depth_mm: tuple[NotNegative, ...] = Field(
        min_length=2, max_length=MOST_POINTS, fail_fast=True, description="depths [mm]"
    )

    @model_validator(mode="after")
    def _columns_match(self) -> TableCut:
        if len(self.x_mm) != len(self.depth_mm):
            raise ValueError(
                f"{len(self.x_mm)} positions but {len(self.depth_mm)} depths; give one for each"
            )
        return self


class EndsCut(Sparse):
    """Shortening: `length_mm` off both ends, or each end by itself."""

    shape: Literal["ends"] = "ends"
    length_mm: Size | None = Field(default=None, description="taken off each end [mm]")
    left_mm: NotNegative | None = Field(default=None, description="taken off the left end [mm]")
    right_mm: NotNegative | None = Field(default=None, description="taken off the right end [mm]")

    @model_validator(mode="after")
    def _one_way_of_saying_it(self) -> EndsCut:
        single = self.left_mm is not None or self.right_mm is not None
        if single == (self.length_mm is not None):
            raise ValueError(
                "say either length_mm (off each end) or left_mm and right_mm, one of both ways"
            )
        if single and not (self.left_mm or 0.0) + (self.right_mm or 0.0) > 0.0:
            raise ValueError("nothing is taken off; give left_mm or right_mm above zero")
        return self

    @property
    def both_mm(self) -> tuple[float, float]:
        """Lengths off the left and the right end. [mm]"""
        if self.length_mm is not None:
            return self.length_mm, self.length_mm
        return self.left_mm or 0.0, self.right_mm or 0.0


UndercutEntry: TypeAlias = Annotated[
    ArchCut | PocketCut | GrooveCut | TableCut, Field(discriminator="shape")
]
"""One cut in the underside."""
CutEntry: TypeAlias = Annotated[
    ArchCut | PocketCut | GrooveCut | TableCut | EndsCut, Field(discriminator="shape")
]
"""One cut in the underside, or a shortening."""
