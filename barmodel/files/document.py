"""The bar file: one bar from blank to finished, in the units of the bench."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self, TypeAlias

from pydantic import (
    Field,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

from barmodel.files.aim import TargetPart, same_aim
from barmodel.files.cuts import (
    FARTHEST_MM,
    MOST_CUTS,
    Line,
    NotNegative,
    Record,
    Sparse,
    UndercutEntry,
)
from barmodel.files.log import AnyEntry, Cancellation, CutMade, NewAim, Reading
from barmodel.holes import WIDEST
from barmodel.units import MM

BAR_SCHEMA: Literal["barmodel/bar/1"] = "barmodel/bar/1"
"""What a bar file says it is. The number goes up when an older version could misread the file."""


MOST_ENTRIES = 20_000
"""Log entries that a file may hold."""

Side: TypeAlias = Annotated[float, Field(ge=0.1, le=FARTHEST_MM, description="[mm]")]
Mass: TypeAlias = Annotated[float, Field(ge=1e-3, le=1e9, description="[g]")]
Modulus: TypeAlias = Annotated[float, Field(ge=1e-6, le=1e4, description="[GPa]")]
Turn: TypeAlias = Annotated[float, Field(gt=-60.0, lt=60.0, description="[degrees]")]
Measured: TypeAlias = Literal["e_long", "g_long_thick", "g_long_width"]
Spread: TypeAlias = Annotated[float, Field(ge=0.01, lt=100.0)]
Poisson: TypeAlias = Annotated[float, Field(ge=0.0, le=1e3)]


class BlankPart(Record):
    """The planed piece before any cut."""

    length_mm: Side
    width_mm: Side
    thickness_mm: Side
    mass_g: Mass | None = Field(default=None, description="weighed; sets the density [g]")
    plank: Line | None = Field(default=None, description="name of the plank it was sawn from")

    @model_serializer(mode="wrap")
    def _plank_if_known(self, handler: SerializerFunctionWrapHandler) -> dict[str, Any]:
        written: dict[str, Any] = handler(self)
        if written.get("plank") is None:  # as files were before they told of planks
            written.pop("plank", None)
        return written


class WoodPart(Record):
    """Elastic constants; what is null is filled in from the species, or by ratios to e_long."""

    species: Line | None = None
    density_kg_m3: float | None = Field(default=None, ge=1e-3, le=1e6)
    e_long_gpa: Modulus | None = None
    e_width_gpa: Modulus | None = None
    e_thick_gpa: Modulus | None = None
    g_long_width_gpa: Modulus | None = None
    g_long_thick_gpa: Modulus | None = None
    g_width_thick_gpa: Modulus | None = None
    nu_long_width: Poisson | None = None
    nu_long_thick: Poisson | None = None
    nu_width_thick: Poisson | None = None
    sawn: Literal["flat", "quarter"] = Field(
        default="flat", description="flat: rings lie flat in the bar; quarter: rings stand upright"
    )
    assumed: tuple[str, ...] = Field(
        default=(), max_length=20, fail_fast=True, description="constants filled in, not known"
    )
    spread_percent: dict[Measured, Spread] = Field(
        default_factory=dict,
        description="standard errors of constants known better than by the species, as of a tapped "
        "plank, before any reading of the bar itself [%]",
    )


class HolesPart(Sparse):
    """Cord holes that are to be drilled, and that the tuning leaves for until a reading says so."""

    diameter_mm: NotNegative = Field(le=WIDEST / MM, description="0: there will be none [mm]")
    at_mm: tuple[Side, Side] | None = Field(
        default=None,
        description="where each crosses the middle line, from the left end of the whole blank; at "
        "the nodes of mode 1 where null [mm]",
    )
    angle_degrees: tuple[Turn, Turn] = Field(
        default=(0.0, 0.0),
        description="each out of square, positive when its rear end lies further right",
    )
    noted_after: int = Field(
        default=0,
        ge=0,
        description="log entries there were when this was noted; what was heard before was to "
        "leave nothing for them",
    )

    @model_validator(mode="after")
    def _from_left_to_right(self) -> Self:
        if self.at_mm is not None and self.at_mm[0] >= self.at_mm[1]:
            raise ValueError("at_mm: name the left hole first, and not one place for both")
        return self


def noted_after(document: BarDocument, diameter_mm: float) -> int:
    """For holes that are noted now: how many log entries know nothing of them."""
    there = document.holes or HolesPart(diameter_mm=0.0)
    new = diameter_mm > 0.0 and there.diameter_mm == 0.0
    return len(document.log) if new else there.noted_after


class BarDocument(Record):
    """A bar file. `undercut` is the underside when the file was begun, `design` the one aimed at.

    The field `target` of a file is what the bar was begun for, and is called so here; what it is
    tuned to is the property `target`, which knows the log.
    """

    schema_: Literal["barmodel/bar/1"] = Field(default=BAR_SCHEMA, alias="schema")
    name: Line = Field(min_length=1, max_length=200)
    blank: BlankPart
    wood: WoodPart
    begun_for: TargetPart = Field(
        alias="target", description="at the beginning; an entry `aim` of the log changes it"
    )
    undercut: tuple[UndercutEntry, ...] = Field(default=(), max_length=MOST_CUTS, fail_fast=True)
    design: tuple[UndercutEntry, ...] | None = Field(
        default=None, max_length=MOST_CUTS, fail_fast=True
    )
    design_target: TargetPart | None = Field(
        default=None, description="what `design` was found for, where that is not `target`"
    )
    holes: HolesPart | None = None
    keep_mm: Side | None = Field(
        default=None, description="thickness that must remain wherever it is cut; 2 if null [mm]"
    )
    log: tuple[AnyEntry, ...] = Field(default=(), max_length=MOST_ENTRIES, fail_fast=True)

    @model_validator(mode="after")
    def _log_is_in_order(self) -> Self:
        cancelled: set[int] = set()
        for place, entry in enumerate(self.log, start=1):
            if entry.id != place:
                raise ValueError(
                    f"log entry {place} has id {entry.id}; entries are numbered from 1 "
                    "without gaps and never changed or removed"
                )
            if isinstance(entry, Cancellation):
                self._check_cancellation(entry, cancelled)
                cancelled.add(entry.entry)
        return self

    def _check_cancellation(self, entry: Cancellation, cancelled: set[int]) -> None:
        if not 1 <= entry.entry < entry.id:
            raise ValueError(
                f"entry {entry.entry} cannot be cancelled: the log has entries 1 to {entry.id - 1}"
            )
        if entry.entry in cancelled:
            raise ValueError(f"entry {entry.entry} is cancelled already")
        if isinstance(self.log[entry.entry - 1], Cancellation):
            raise ValueError(
                f"entry {entry.entry} is itself a cancellation; record the entry anew instead"
            )

    @property
    def valid_log(self) -> tuple[Reading | CutMade, ...]:
        """Readings and cuts that count, in order, without what was cancelled."""
        cancelled = self.cancelled
        return tuple(
            entry
            for entry in self.log
            if isinstance(entry, Reading | CutMade) and entry.id not in cancelled
        )

    @property
    def cancelled(self) -> frozenset[int]:
        """Numbers of the entries that no longer count."""
        return frozenset(entry.entry for entry in self.log if isinstance(entry, Cancellation))

    @property
    def aims(self) -> tuple[NewAim, ...]:
        """New aims that count, in order."""
        cancelled = self.cancelled
        return tuple(
            entry for entry in self.log if isinstance(entry, NewAim) and entry.id not in cancelled
        )

    @property
    def target(self) -> TargetPart:
        """What the bar is tuned to: the last aim that counts, or what it was begun for."""
        return self.aims[-1].target if self.aims else self.begun_for

    @property
    def targets(self) -> dict[int, TargetPart]:
        """What it was tuned to when each entry of the log was made, by number."""
        found, target, counts = {}, self.begun_for, {aim.id for aim in self.aims}
        for entry in self.log:
            found[entry.id] = target
            if isinstance(entry, NewAim) and entry.id in counts:
                target = entry.target
        return found

    @property
    def designed_for(self) -> TargetPart:
        """What the design was found for."""
        return self.design_target or self.begun_for

    @property
    def design_is_old(self) -> bool:
        """Whether there is a design, but for another target than counts now."""
        return self.design is not None and not same_aim(self.designed_for, self.target)

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Readings that count, in order."""
        return tuple(entry for entry in self.valid_log if isinstance(entry, Reading))

    @property
    def cuts(self) -> tuple[CutMade, ...]:
        """Cuts that count, in order."""
        return tuple(entry for entry in self.valid_log if isinstance(entry, CutMade))

    @property
    def begun(self) -> bool:
        """Whether the underside was cut; a bar that was only shortened is still a blank."""
        entries = (entry for cut in self.cuts for entry in cut.entries)
        return bool(self.undercut) or any(entry.shape != "ends" for entry in entries)

    @property
    def shaped(self) -> bool:
        """Whether it is known what shape the bar shall have: by a design, or by its cuts."""
        return self.design is not None or self.begun

    @property
    def drilled(self) -> Reading | None:
        """The first reading that says that the cord holes are drilled."""
        return next((reading for reading in self.readings if reading.drilled), None)

    @property
    def to_drill(self) -> HolesPart | None:
        """Cord holes that are still to be drilled, by all that the file tells."""
        none = self.holes is None or self.holes.diameter_mm == 0.0 or self.drilled is not None
        return None if none else self.holes

    def changed(self, **fields: Any) -> BarDocument:
        """Return the document with some fields replaced, checked again."""
        kept = {name: getattr(self, name) for name in type(self).model_fields}
        return BarDocument(**(kept | fields))

    def with_entries(self, *entries: AnyEntry) -> BarDocument:
        """Return the document with entries appended to the log, numbered."""
        first = len(self.log) + 1
        numbered = tuple(
            entry.model_copy(update={"id": first + index}) for index, entry in enumerate(entries)
        )
        return self.changed(log=(*self.log, *numbered))
