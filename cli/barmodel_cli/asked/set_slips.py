"""Values in a set file that no set has, each with the slip that is likely behind it.

Ranges and rules are this project's own judgement, those of single bars wherever there are such;
`--unusual` takes a value all the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.asked.plausible import (
    COLDEST_C,
    LENGTHS,
    SIZES,
    STIFFNESS,
    WARMEST_C,
    Range,
    is_metal,
    odd_ratios,
    odd_weight,
    outside,
    usual_density,
)

if TYPE_CHECKING:
    from barmodel.files.document import WoodPart
    from barmodel.files.set_document import PlankPart, SetDocument

LOWEST, HIGHEST = "C2", "E8"
"""From the bottom of a contrabass marimba to the top of a glockenspiel (own judgement)."""
OF_PLANK = {
    "length_mm": Range(150.0, 6000.0, "mm", LENGTHS),
    "width_mm": Range(20.0, 1000.0, "mm", LENGTHS),
    "thickness_mm": Range(4.0, 120.0, "mm", LENGTHS),
}
TAPS = Range(5.0, 8000.0, "Hz", ((1000.0, "{0:g} kHz"),))
KEEP = Range(1.5, 25.0, "mm", LENGTHS)
SMALL = {
    "shape.clear_ends_mm": Range(1.0, 200.0, "mm", LENGTHS),
    "shape.drum_radius_mm": Range(4.0, 300.0, "mm", LENGTHS),
    "shape.bit_diameter_mm": Range(2.0, 60.0, "mm", LENGTHS),
    "lengths.least_centre_mm": KEEP,
    "lengths.most_centre_mm": Range(2.0, 60.0, "mm", LENGTHS),
    "rails.gap_mm": Range(1.5, 60.0, "mm", LENGTHS),
    "rails.hole_diameter_mm": Range(1.5, 20.0, "mm", LENGTHS),
    "stock.kerf_mm": Range(0.4, 15.0, "mm", LENGTHS),
    "stock.spare_mm": Range(1.0, 150.0, "mm", LENGTHS),
    "stock.board_length_mm": OF_PLANK["length_mm"],
    "stock.board_width_mm": OF_PLANK["width_mm"],
}
"""Sizes beside those of the bars; 0 is none, where a set file may say so."""
MOST_TOLD = 6


def check_set(document: SetDocument, file_name: str) -> None:
    """Refuse a set file with values that no set has.

    Raises
    ------
    BadValue
        Naming each field, what is usual, and the likely slip.
    """
    told = list(_odd(document))
    if not told:
        return
    more = f"; and {len(told) - MOST_TOLD} more" if len(told) > MOST_TOLD else ""
    raise BadValue(
        f"{file_name}: {'; '.join(told[:MOST_TOLD])}{more} (ranges by own judgement). If it is "
        "really so, add --unusual"
    )


def _odd(document: SetDocument) -> Iterator[str]:
    yield from _odd_range(document)
    for note, ratios in document.ratios.items():
        if text := odd_ratios(f"ratios.{note}", ratios, write="[{}]"):
            yield text
    stock = document.stock
    yield from _each("width_mm", document.width_mm, SIZES["--width"])
    yield from _each("lengths.given_mm", document.lengths.given_mm, SIZES["--length"])
    yield from _told(outside("stock.thickness_mm", stock.thickness_mm, SIZES["--thickness"]))
    yield from _odd_wood("stock.wood", stock.wood, stock.wood)
    yield from _odd_keep(document)
    for name, usual in SMALL.items():
        part, field = name.split(".")
        value = getattr(getattr(document, part), field)
        if value:
            yield from _told(outside(name, value, usual))
    for plank in document.planks:
        yield from _odd_plank(plank, stock.wood)
    for room in ("room", "bench"):
        air = getattr(document, room)
        if air is not None and not COLDEST_C <= air.temperature_c <= WARMEST_C:
            meant = (air.temperature_c - 32.0) / 1.8
            slip = f"; if that is °F, write {meant:.0f}" if COLDEST_C <= meant <= WARMEST_C else ""
            yield (
                f"{room}.temperature_c is {air.temperature_c:g}, and no bench is outside "
                f"{COLDEST_C:g} to {WARMEST_C:g} °C{slip}"
            )


def _told(text: str | None) -> Iterator[str]:
    if text:
        yield text


def _each(what: str, table: Mapping[str, float], usual: Range) -> Iterator[str]:
    for note, value in table.items():
        yield from _told(outside(f"{what}.{note}", value, usual))


def _odd_range(document: SetDocument) -> Iterator[str]:
    from barmodel.errors import InputError
    from barmodel.pitch import note_semitone

    for end, name in (("lowest", document.lowest), ("highest", document.highest)):
        try:
            note = note_semitone(name)
        except InputError:  # told by the reading, with the names it could be
            return
        if not note_semitone(LOWEST) <= note <= note_semitone(HIGHEST):
            yield (
                f"{end} is {name}, outside the {LOWEST} to {HIGHEST} of bars; C4 is middle C, "
                "which others write c' or c1"
            )


def _odd_keep(document: SetDocument) -> Iterator[str]:
    keep, stock = document.shape.keep_mm, document.stock.thickness_mm
    if keep is None:
        return
    if keep >= stock:
        meant = next((keep / by for by in (10.0, 100.0) if KEEP.low <= keep / by < stock), None)
        slip = "" if meant is None else f"; did you mean {meant:g} mm?"
        yield (
            f"shape.keep_mm is {keep:g} mm, not below the {stock:g} mm of the stock, so that "
            f"nothing could be cut{slip}"
        )
        return
    yield from _told(outside("shape.keep_mm", keep, KEEP))


def _odd_wood(what: str, wood: WoodPart, stock: WoodPart) -> Iterator[str]:
    usual = usual_density(is_metal(wood.species or stock.species))
    if wood.density_kg_m3 is not None:
        yield from _told(outside(f"{what}.density_kg_m3", wood.density_kg_m3, usual))
    if wood.e_long_gpa is not None:
        yield from _told(outside(f"{what}.e_long_gpa", wood.e_long_gpa, STIFFNESS))


def _odd_plank(plank: PlankPart, stock: WoodPart) -> Iterator[str]:
    what = f"plank {plank.name}"
    sizes = [getattr(plank, name) for name in OF_PLANK]
    found = [
        text
        for (name, usual), value in zip(OF_PLANK.items(), sizes, strict=True)
        if (text := outside(f"{what}: {name}", value, usual))
    ]
    yield from found
    if plank.mass_g is not None and not found:
        volume = sizes[0] * sizes[1] * sizes[2] * 1e-9
        usual = usual_density(is_metal(plank.wood.species or stock.species))
        yield from _told(odd_weight(f"{what}: mass_g", plank.mass_g, volume, usual))
    yield from _odd_wood(f"{what}: wood", plank.wood, stock)
    for number, hz in enumerate(plank.tap_hz, start=1):
        yield from _told(outside(f"{what}: tap {number}", hz, TAPS))
