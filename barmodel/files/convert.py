"""From the entries of a file to the nouns of the library and back: mm ↔ m, GPa ↔ Pa, g ↔ kg."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from pydantic import ValidationError

from barmodel.bar import Bar
from barmodel.errors import GeometryError, InputError
from barmodel.files.cuts import (
    ArchCut,
    CutEntry,
    EndsCut,
    GrooveCut,
    PocketCut,
    TableCut,
    UndercutEntry,
)
from barmodel.files.problems import file_error
from barmodel.undercut import Arch, Groove, Pocket, Shape, Table, check_undercut
from barmodel.units import MM

_DECIMALS = 6  # of a millimetre: a nanometre, far below any rounding that matters

_SHAPES: dict[type[UndercutEntry], type[Shape]] = {
    ArchCut: Arch,
    PocketCut: Pocket,
    GrooveCut: Groove,
    TableCut: Table,
}
"""A field of an entry is the shape's field of the same name, `_mm` saying that it is in mm."""
_ENTRIES = {shape: entry for entry, shape in _SHAPES.items()}


def shape_of(entry: UndercutEntry) -> Shape:
    """Return the shape that an undercut entry describes, in metres.

    Examples
    --------
    >>> shape_of(PocketCut(start_mm=80.0, end_mm=320.0, depth_mm=5.0)).extent
    (0.08, 0.32)
    """
    values: dict[str, Any] = {}
    for name in type(entry).model_fields:
        value = getattr(entry, name)
        if name.endswith("_mm"):
            name, value = name.removesuffix("_mm"), _times(value, MM)
        if name != "shape":
            values[name] = value
    if isinstance(entry, GrooveCut):
        values |= {"width": entry.full_width_mm * MM, "radius": values["radius"] or 0.0}
    return _SHAPES[type(entry)](**values)


def entry_of(shape: Shape) -> UndercutEntry:
    """Return the file entry of a shape, rounded to a nanometre.

    Raises
    ------
    InputError
        If the shape has no place in the file format.
    """
    entry_type = _ENTRIES.get(type(shape))
    if entry_type is None:
        raise InputError(f"a {type(shape).__name__} has no place in a bar file; save it as a table")
    values: dict[str, Any] = {}
    for name in entry_type.model_fields:
        plain = name.removesuffix("_mm")
        if plain == "shape":
            continue
        value = getattr(shape, plain)
        values[name] = _times(value, 1.0 / MM, _DECIMALS) if name != plain else value
    if isinstance(shape, Groove) and shape.section != "round":
        values["radius_mm"] = None
    try:
        return entry_type(**values)
    except ValidationError as error:
        raise file_error("cut", error, entry_type) from None


def _times(value: Any, factor: float, decimals: int | None = None) -> Any:
    """Scale a number, a tuple of numbers or None."""
    if value is None:
        return None
    if isinstance(value, tuple):
        return tuple(_times(item, factor, decimals) for item in value)
    scaled = float(value) * factor
    return scaled if decimals is None else round(scaled, decimals)


def shapes_of(entries: Iterable[UndercutEntry]) -> tuple[Shape, ...]:
    """Shapes of several entries, in order."""
    return tuple(shape_of(entry) for entry in entries)


def entries_of(shapes: Iterable[Shape]) -> tuple[UndercutEntry, ...]:
    """File entries of several shapes, in order."""
    return tuple(entry_of(shape) for shape in shapes)


def with_entries_cut(bar: Bar, entries: Sequence[CutEntry]) -> Bar:
    """Return the bar after further cuts and shortenings, applied in order.

    Parameters
    ----------
    bar : Bar
    entries : sequence of cut entry
        As the bar file holds them, positions from the left end as it then is.

    Raises
    ------
    GeometryError
        If a cut lies outside the bar as it then is, or goes through it.
    """
    for entry in entries:
        if isinstance(entry, EndsCut):
            left, right = entry.both_mm
            if (left + right) * MM >= bar.blank.length:
                raise GeometryError(
                    f"ends: {left + right:g} mm off a bar of {bar.blank.length / MM:g} mm "
                    "leaves nothing; check the length taken off"
                )
            bar = bar.trimmed(left=left * MM, right=right * MM)
        else:
            bar = _cut(bar, shape_of(entry))
    return bar


def _cut(bar: Bar, shape: Shape) -> Bar:
    # each cut is judged against the bar it was made in: after a shortening, older cuts may
    # rightly reach beyond the new ends
    check_undercut(bar.blank.length, bar.blank.thickness, (shape,), keep=0.0)
    after = bar.with_cuts(shape)
    after.profile.require_wood()
    return after
