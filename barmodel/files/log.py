"""The history of a bar: readings, cuts, new aims, cancellations; numbered, never changed."""

from __future__ import annotations

import itertools
from datetime import datetime
from typing import Annotated, Literal, TypeAlias

from pydantic import Field, field_validator, model_validator

from barmodel.files.aim import TargetPart
from barmodel.files.cuts import MOST_CUTS, CutEntry, Line, Millimetres, Record, Size, Sparse, Text
from barmodel.weather import FIBRE_SATURATION_PERCENT

MOST_MODES, MOST_LINES = 12, 1000
"""Modes of a kind, and lines or recordings, of one reading."""
Hertz: TypeAlias = Annotated[float, Field(ge=0.1, lt=1e6, description="[Hz]")]
Seconds: TypeAlias = Annotated[float, Field(ge=0.0, le=1e6, description="[s]")]
Cents: TypeAlias = Annotated[float, Field(ge=0.0, le=1e5, description="[cents]")]
Modes: TypeAlias = Annotated[
    tuple[Hertz | None, ...],
    Field(
        max_length=MOST_MODES,
        fail_fast=True,
        description="modes 1, 2, … in order; null for one not heard [Hz]",
    ),
]


def now() -> str:
    """Present moment with its time zone, to the second, as log entries carry it."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


class LogEntry(Sparse):
    """What all entries share."""

    id: int = Field(default=0, ge=0, description="number from 1; 0 until recorded")
    date: str = Field(default_factory=now, description="ISO 8601 date, or date and time")
    remark: Text | None = None

    @field_validator("date")
    @classmethod
    def _is_a_date(cls, text: str) -> str:
        try:
            datetime.fromisoformat(text)
        except ValueError:
            raise ValueError(f"{text!r} is not a date; write it as 2026-05-31 14:30") from None
        return text


class SourceFile(Record):
    """A recording that a reading came from."""

    name: Line
    sha256: str | None = Field(default=None, pattern="^[0-9a-f]{64}$")


class PartialLine(Sparse):
    """One line found in a recording, named or not."""

    hz: Hertz
    level_db: float | None = None
    decay_s: Seconds | None = None
    standard_error_cents: Cents | None = None


class Reading(LogEntry):
    """Frequencies measured on the bar as it was at this point of the log."""

    kind: Literal["reading"] = "reading"
    hz: Modes = Field(min_length=1, description="bending modes [Hz]")
    standard_error_cents: tuple[Cents | None, ...] = Field(
        default=(),
        max_length=MOST_MODES,
        fail_fast=True,
        description="of each bending mode, as `hz` [cents]",
    )
    torsional_hz: Modes = ()
    lateral_hz: Modes = ()
    partials: tuple[PartialLine, ...] = Field(default=(), max_length=MOST_LINES, fail_fast=True)
    decay_s: tuple[Seconds | None, ...] = Field(
        default=(), max_length=MOST_MODES, fail_fast=True, description="of each bending mode [s]"
    )
    temperature_c: float | None = Field(default=None, ge=-50.0, le=80.0)
    humidity_percent: float | None = Field(default=None, ge=0.0, le=100.0)
    moisture_percent: float | None = Field(
        default=None,
        ge=0.0,
        le=FIBRE_SATURATION_PERCENT,
        description="water in the wood, by the air of the bench that it had settled in [%]",
    )
    strike_at_mm: Millimetres | None = None
    held_at_mm: tuple[Millimetres, ...] = Field(default=(), max_length=MOST_LINES, fail_fast=True)
    sources: tuple[SourceFile, ...] = Field(default=(), max_length=MOST_LINES, fail_fast=True)
    drilled: bool = Field(
        default=False, description="cord holes were drilled since the reading or cut before"
    )

    @model_validator(mode="after")
    def _columns_match(self) -> Reading:
        for name in ("standard_error_cents", "decay_s"):
            column = getattr(self, name)
            if column and len(column) != len(self.hz):
                raise ValueError(f"{name} has {len(column)} values, hz has {len(self.hz)}")
        heard = [value for value in (*self.hz, *self.torsional_hz, *self.lateral_hz) if value]
        if not heard:
            raise ValueError("no mode was heard; give at least one frequency")
        for name in ("hz", "torsional_hz", "lateral_hz"):
            known = [value for value in getattr(self, name) if value is not None]
            if any(low >= high for low, high in itertools.pairwise(known)):
                raise ValueError(f"{name} must ascend, because modes are counted upward")
        return self


class CutMade(LogEntry):
    """Wood removed. Positions count from the left end the bar had before this entry."""

    kind: Literal["cut"] = "cut"
    tool: Line | None = None
    entries: tuple[CutEntry, ...] = Field(min_length=1, max_length=MOST_CUTS, fail_fast=True)
    measured_depth_mm: Size | None = Field(
        default=None,
        description="depth found afterwards; counts instead of the one aimed at [mm]",
    )

    @model_validator(mode="after")
    def _measured_depth_has_one_meaning(self) -> CutMade:
        if self.measured_depth_mm is None:
            return self
        if len(self.entries) != 1 or self.entries[0].shape in ("table", "ends"):
            raise ValueError(
                "measured_depth_mm belongs to an entry with one arch, pocket or groove; "
                "record several cuts one by one, or a measured table"
            )
        return self


class Cancellation(LogEntry):
    """An earlier entry that was a mistake and no longer counts."""

    kind: Literal["cancel"] = "cancel"
    entry: int = Field(ge=1, description="number of the entry that no longer counts")


class NewAim(LogEntry):
    """Another target, which counts from here on until one comes after it, or it is cancelled."""

    kind: Literal["aim"] = "aim"
    target: TargetPart = Field(description="the whole of it, changed or not")


AnyEntry: TypeAlias = Annotated[
    Reading | CutMade | NewAim | Cancellation, Field(discriminator="kind")
]
"""One entry of the log."""
