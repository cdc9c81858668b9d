"""From a bar file to the nouns of the library: wood, the bar as it is and as designed."""

from __future__ import annotations

import contextlib
import dataclasses
from collections.abc import Iterator, Sequence
from typing import Any, get_args

from pydantic import ValidationError

from barmodel.bar import Bar, Blank
from barmodel.errors import FileError, InputError
from barmodel.files.convert import entries_of, with_entries_cut
from barmodel.files.cuts import CutEntry, EndsCut, Record, UndercutEntry
from barmodel.files.document import BarDocument, BlankPart, Measured, WoodPart
from barmodel.files.log import CutMade
from barmodel.files.problems import file_error
from barmodel.holes import CordHole, bored
from barmodel.undercut import Shape
from barmodel.units import GPA, GRAM, MM
from barmodel.wood import GENERIC_HARDWOOD, MODULI, POISSON, Species, Wood, from_partial, species


def blank_bar(document: BarDocument) -> Bar:
    """Return the uncut bar: the blank alone.

    Raises
    ------
    FileError
        If size or wood of the blank cannot exist.
    """
    with _part(document, "blank"):
        part = document.blank
        return Bar(
            blank=Blank(
                length=part.length_mm * MM,
                width=part.width_mm * MM,
                thickness=part.thickness_mm * MM,
                wood=wood_of(document.wood, part),
            )
        )


def bar_at_start(document: BarDocument) -> Bar:
    """Return the bar as it was when the file was begun: the blank less `undercut`."""
    bar = blank_bar(document)
    with _part(document, "undercut"):
        return with_entries_cut(bar, document.undercut)


def bar_as_is(document: BarDocument) -> Bar:
    """Return the bar as it is now: the blank less `undercut` less the cuts in the log.

    Raises
    ------
    FileError
        If a cut leaves the bar or goes through it; the message names the log entry.
    """
    bar = bar_at_start(document)
    for cut in document.cuts:
        with _part(document, f"log entry {cut.id}"):
            bar = with_entries_cut(bar, entries_made(cut))
    return bar


def bar_as_designed(document: BarDocument) -> Bar:
    """Return the bar as it is aimed at: the blank less `design`, shortened as it has been since.

    Raises
    ------
    FileError
        If the file holds no design, or one that cannot be cut.
    """
    if document.design is None:
        raise FileError(
            f"{document.name}: has no design yet; find one with: "
            f"barmodel design {document.name}.bar.json --save"
        )
    bar = blank_bar(document)
    with _part(document, "design"):
        bar = with_entries_cut(bar, document.design)
        return with_entries_cut(bar, _ends_cut(document))


def cord_holes(document: BarDocument, bar: Bar, nodes: Sequence[float]) -> tuple[CordHole, ...]:
    """Return the cord holes that a file tells of, half way through the wood left along them.

    Parameters
    ----------
    document : BarDocument
    bar : Bar
        As long as the bar is now.
    nodes : sequence of float
        Of its mode 1: where holes go whose places the file does not tell. [m]

    Returns
    -------
    tuple of CordHole
        Places from the left end of the bar; empty if the file tells of none.
    """
    part = document.holes
    if part is None or part.diameter_mm == 0.0:
        return ()
    places = [float(x) for x in nodes]
    if part.at_mm is not None:
        gone = ends_off(document)[0]
        places = [x * MM - gone for x in part.at_mm]
    return bored(bar, places, part.diameter_mm * MM, part.angle_degrees[: len(places)])


def design_entries(document: BarDocument, undercut: Sequence[Shape]) -> tuple[UndercutEntry, ...]:
    """Return what the file holds of a design for the uncut bar at its present length.

    Places in the file count from the left end of the whole blank, whatever has come off since.

    Parameters
    ----------
    document : BarDocument
        The file, without that design.
    undercut : sequence of Shape
        The design, into the bar as long as it is now.
    """
    left, right = ends_off(document)
    if left != right:  # the middle of the blank is not that of the bar
        middle = (document.blank.length_mm * MM - left - right) / 2
        undercut = [
            dataclasses.replace(cut, axis=middle) if cut.mirror and cut.axis is None else cut
            for cut in undercut
        ]
    return entries_of(cut.shifted(left) for cut in undercut)


def _ends_cut(document: BarDocument) -> list[EndsCut]:
    entries = (entry for cut in document.cuts for entry in cut.entries)
    return [entry for entry in entries if isinstance(entry, EndsCut)]


def ends_off(document: BarDocument) -> tuple[float, float]:
    """Return the length that has come off the left and the right end. [m]"""
    ends = [entry.both_mm for entry in _ends_cut(document)]
    return sum(left for left, _ in ends) * MM, sum(right for _, right in ends) * MM


def entries_made(cut: CutMade) -> tuple[CutEntry, ...]:
    """Entries of a cut as they were found to be, with the measured depth where there is one."""
    if cut.measured_depth_mm is None:
        return cut.entries
    return (cut.entries[0].model_copy(update={"depth_mm": cut.measured_depth_mm}),)


def wood_of(part: WoodPart, blank: BlankPart | None = None) -> Wood:
    """Return the wood that a file states, missing constants filled in.

    Parameters
    ----------
    part : WoodPart
        Constants known and not known.
    blank : BlankPart, optional
        Its mass, when weighed, sets the density.

    Raises
    ------
    InputError
        If neither constants nor species tell density and E along the grain.
    """
    known: dict[str, Any] = {
        name: value for name in MODULI if (value := _si(part, name)) is not None
    }
    known |= {name: value for name in POISSON if (value := getattr(part, name)) is not None}
    row = _species_row(part)
    density = _density(part, blank, row)
    if row is not None and row.metal:
        if set(known) == {"e_long"}:  # alike in all directions: the other moduli follow
            known = {name: value * known["e_long"] / row.e_long for name, value in _moduli(row)}
        known |= {"density": density or row.density, "assumed": frozenset(part.assumed)}
        return dataclasses.replace(row.wood(), spread=_spread(part), **known)
    e_long = known.pop("e_long", None if row is None else row.e_long)
    if e_long is None or density is None:
        lacking = "e_long_gpa" if e_long is None else "density_kg_m3 (or the mass of the blank)"
        raise InputError(f"wood: {lacking} is not known; give it, or a species of `barmodel woods`")
    if row is not None and "g_long_thick" in row.quantities and not _shears(known):
        ratio = row.quantities["g_long_thick"].value / row.e_long
        known["g_long_thick"] = ratio * e_long
    wood = from_partial(
        density=density,
        e_long=e_long,
        known=known,
        ratios=GENERIC_HARDWOOD if row is None or row.ratios is None else row.ratios,
        sawn=part.sawn,
        species=part.species,
    )
    filled = wood.assumed | set(part.assumed)
    return dataclasses.replace(wood, assumed=filled, spread=_spread(part))


def wood_part(wood: Wood) -> WoodPart:
    """Return the file's form of a wood, every constant written out."""
    values: dict[str, Any] = {
        f"{name}_gpa": float(f"{getattr(wood, name) / GPA:.8g}") for name in MODULI
    }
    values |= {name: getattr(wood, name) for name in POISSON}
    errors = dict(wood.spread)
    values |= {"species": wood.species, "sawn": wood.sawn}
    values["density_kg_m3"] = float(f"{wood.density:.8g}")
    try:
        return WoodPart(
            **values,
            assumed=tuple(sorted(wood.assumed)),
            spread_percent={
                name: float(f"{100.0 * errors[name]:.4g}")
                for name in get_args(Measured)
                if name in errors
            },
        )
    except ValidationError as error:
        raise file_error("wood", error, WoodPart) from None


def _spread(part: WoodPart) -> tuple[tuple[str, float], ...]:
    return tuple(sorted((name, value / 100.0) for name, value in part.spread_percent.items()))


def _moduli(row: Species) -> list[tuple[str, float]]:
    wood = row.wood()
    return [(name, getattr(wood, name)) for name in MODULI]


def _shears(known: dict[str, Any]) -> bool:
    return any(name.startswith("g_") for name in known)


def _si(part: Record, name: str) -> float | None:
    value: float | None = getattr(part, f"{name}_gpa")
    return None if value is None else value * GPA


def _species_row(part: WoodPart) -> Species | None:
    """Row of the species table; not needed, and then free to be any name, where E is given."""
    if part.species is None:
        return None
    try:
        return species(part.species)
    except InputError:
        if part.e_long_gpa is not None:
            return None
        raise


def _density(part: WoodPart, blank: BlankPart | None, row: Species | None) -> float | None:
    if blank is not None and blank.mass_g is not None:
        volume = blank.length_mm * blank.width_mm * blank.thickness_mm * MM**3
        return blank.mass_g * GRAM / volume
    if part.density_kg_m3 is not None:
        return part.density_kg_m3
    return None if row is None else row.density


@contextlib.contextmanager
def _part(document: BarDocument, part: str) -> Iterator[None]:
    """Say which bar and which part of its file an error is about."""
    try:
        yield
    except FileError:
        raise
    except InputError as error:
        raise FileError(f"{document.name}: {part}: {error}") from None
