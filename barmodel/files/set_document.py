"""Fields of the set file `NAME.set.toml`: a whole instrument, described by hand.

schema = "barmodel/set/1"
lowest = "F3"
highest = "F6"

[ratios]                 # from this note upward
F3 = [1, 4, 10]
F5 = [1, 4]

[width_mm]               # from this note upward
F3 = 56

[stock]
thickness_mm = 21
wood = {species = "padauk"}
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import BeforeValidator, Field

from barmodel.files.cuts import Line, NotNegative, Record, Size, Text
from barmodel.files.document import Mass, Side, WoodPart
from barmodel.files.log import Hertz
from barmodel.weather import DRIEST

SET_SCHEMA = "barmodel/set/1"

WARMEST = 60.0
"""Rooms are no warmer. [°C]"""
Share: TypeAlias = Annotated[float, Field(ge=0.0, le=1.0)]
ByNote: TypeAlias = Annotated[dict[str, Side], Field(description="by note [mm]")]


class StockPart(Record):
    """What the blanks are made of."""

    thickness_mm: Side = Field(description="as planed [mm]")
    wood: WoodPart
    board_length_mm: Size | None = Field(
        default=None, description="boards, where no planks are listed"
    )
    board_width_mm: Size | None = None
    kerf_mm: NotNegative = Field(default=3.0, description="lost by a saw cut [mm]")
    spare_mm: NotNegative = Field(default=10.0, description="added to the length of a blank [mm]")


class LengthsPart(Record):
    """How lengths are found; all may be left out."""

    given_mm: ByNote = Field(default_factory=dict, description="held; the curve goes through [mm]")
    along: Literal["notes", "place"] = Field(
        default="notes", description="even from note to note, or along the row (ends in a line)"
    )
    least_centre_mm: Side | None = Field(
        default=None, description="wished thickness in the middle [mm]"
    )
    most_centre_mm: Side | None = None
    adjust_percent: float = Field(
        default=30.0,
        ge=0.0,
        le=50.0,
        description="how far rails may pull a length from its wish [%]",
    )


class ShapePart(Record):
    """Which undercut, and what limits it."""

    family: Literal["arch", "steps", "hollows"] = "arch"
    keep_mm: Side | None = Field(
        default=None, description="least thickness; 6 in wood, 4 in metal [mm]"
    )
    clear_ends_mm: Side | None = None
    drum_radius_mm: Side | None = None
    bit_diameter_mm: Side | None = None
    clear: bool = Field(
        default=False, description="prefer shapes without torsional or lateral clashes"
    )


class RailsPart(Record):
    """Cords and holes."""

    gap_mm: NotNegative = Field(default=8.0, description="between bars of a row [mm]")
    hole_diameter_mm: NotNegative = Field(
        default=6.4, description="of the cord holes; 0 if there will be none [mm]"
    )
    lean_naturals: Share = Field(
        default=0.5, description="share of the narrowing at the player's end"
    )
    lean_accidentals: Share = 0.5


def _in_celsius(value: Any) -> Any:
    """Refuse what can only be degrees Fahrenheit, with what it is in °C."""
    if isinstance(value, int | float) and WARMEST < value <= 140.0:
        raise ValueError(
            f"{value:g} °C is no room's; if that is °F, write {(value - 32) / 1.8:.0f}"
        )
    return value


def _in_percent(value: Any) -> Any:
    """Refuse a share, with what it is in percent."""
    if isinstance(value, float) and 0.0 < value < 1.0:
        raise ValueError(f"is in percent: {value:g} is written {100.0 * value:g}")
    return value


def _as_list(value: Any) -> Any:
    """Refuse ratios that are no list, with how they are written."""
    if isinstance(value, str | int | float):
        raise ValueError(f"{value!r} is no list; write ratios as [1, 4, 10]")
    return value


class AirPart(Record):
    """Air in which wood has rested for weeks."""

    temperature_c: Annotated[float, BeforeValidator(_in_celsius)] = Field(ge=-10.0, le=WARMEST)
    humidity_percent: Annotated[float, BeforeValidator(_in_percent)] = Field(
        ge=100.0 * DRIEST, lt=100.0, description="as 50, not 0.5 [%]"
    )


class PlankPart(Record):
    """One plank; its wood by constants, or by taps on the whole planed plank."""

    name: Line = Field(min_length=1)
    length_mm: Side
    width_mm: Side
    thickness_mm: Side
    mass_g: Mass | None = None
    wood: WoodPart = Field(default_factory=WoodPart)
    tap_hz: tuple[Hertz, ...] = Field(
        default=(), description="bending modes 1, 2, … of the plank [Hz]"
    )
    quality_factor: float | None = Field(default=None, gt=0.0, le=1e6)


class SetDocument(Record):
    """A set file."""

    schema_: Literal["barmodel/set/1"] = Field(alias="schema")
    name: Line | None = Field(default=None, description="by default the file's name")
    remark: Text = ""
    lowest: str
    highest: str
    a4_hz: float = 440.0
    ratios: dict[str, Annotated[tuple[float, ...], BeforeValidator(_as_list)]] = Field(
        default_factory=dict, description="tuned from this note upward; 1:4:10 if left out"
    )
    stretch_cents: dict[str, float] = Field(
        default_factory=dict, description="above equal temperament, straight between notes"
    )
    width_mm: ByNote = Field(description="from this note upward [mm]")
    stock: StockPart
    lengths: LengthsPart = Field(default_factory=LengthsPart)
    shape: ShapePart = Field(default_factory=ShapePart)
    rails: RailsPart = Field(default_factory=RailsPart)
    room: AirPart | None = Field(default=None, description="where it will be played")
    bench: AirPart | None = Field(default=None, description="where it is tuned today")
    planks: tuple[PlankPart, ...] = ()
