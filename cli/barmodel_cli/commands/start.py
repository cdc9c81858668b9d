"""`barmodel start`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.keeping import check_keep, with_keep
from barmodel_cli.asked.options import (
    BadValue,
    bar_name,
    choice_option,
    length_option,
    made,
    new_bar_path,
    number_option,
    read_frequencies,
)
from barmodel_cli.asked.plausible import (
    Unusual,
    check_blank,
    check_reading,
    check_temperature,
    expected_hz,
    is_metal,
    out_of_reach,
    read_density,
    read_mass_g,
)
from barmodel_cli.shown.show import caution
from barmodel_cli.shown.start_text import tell

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading, WoodPart

WOOD, TARGET, TAPS = "Wood", "Target", "Taps of the blank"


class Sawn(StrEnum):
    """How the board was sawn."""

    FLAT = "flat"
    QUARTER = "quarter"


def _gpa(what: str) -> Any:
    return number_option(help=f"{what}. [GPa]", panel=WOOD, positive=True)


def run(
    bar_file: Annotated[
        Path,
        typer.Argument(
            metavar="BARFILE",
            parser=new_bar_path,
            help="File to make; G3 makes G3.bar.json.",
            show_default=False,
        ),
    ],
    length: Annotated[float, length_option("--length", help="Length along the grain.")],
    width: Annotated[float, length_option("--width", help="Width.")],
    thickness: Annotated[float, length_option("--thickness", help="Thickness of the blank.")],
    note: Annotated[
        str, typer.Option("--note", help="Note to tune to: C3, D#3, Eb4.", rich_help_panel=TARGET)
    ],
    wood: Annotated[
        str | None,
        typer.Option("--wood", help="Species of `barmodel woods`.", rich_help_panel=WOOD),
    ] = None,
    density: Annotated[
        float | None,
        typer.Option(
            parser=read_density,
            metavar="KG/M³",
            help="Density in kg/m³: 745, or 0.745g/cm3 where written so.",
            rich_help_panel=WOOD,
        ),
    ] = None,
    mass: Annotated[
        float | None,
        typer.Option(
            parser=read_mass_g,
            metavar="GRAMS",
            help="Weight of the blank in grams: 320, or 0.32kg, 11.3oz where written so; "
            "sets the density.",
            rich_help_panel=WOOD,
        ),
    ] = None,
    orientation: Annotated[
        Sawn,
        choice_option(
            Sawn,
            "--orientation",
            help="flat: rings lie flat in the bar; quarter: they stand upright.",
            panel=WOOD,
        ),
    ] = Sawn.FLAT,
    e_long: Annotated[float | None, _gpa("Young's modulus along the grain")] = None,
    e_width: Annotated[float | None, _gpa("Young's modulus across the width")] = None,
    e_thick: Annotated[float | None, _gpa("Young's modulus through the thickness")] = None,
    g_long_width: Annotated[float | None, _gpa("Shear modulus long–width, felt in torsion")] = None,
    g_long_thick: Annotated[float | None, _gpa("Shear modulus long–thick, felt in bending")] = None,
    g_width_thick: Annotated[float | None, _gpa("Shear modulus width–thick")] = None,
    a4: Annotated[float, number_option(help="Pitch of A4. [Hz]", panel=TARGET)] = 440.0,
    ratios: Annotated[
        str, typer.Option(help="Tuned modes over the first, 1:4:10.", rich_help_panel=TARGET)
    ] = "1:4:10",
    offset: Annotated[
        float, number_option(help="Cents by which to tune sharp (+) or flat (−).", panel=TARGET)
    ] = 0.0,
    tap: Annotated[
        str | None,
        typer.Option(
            metavar="HZ,HZ,…",
            help="Bending modes of the blank as tapped: 662,1671,-; stored as first reading.",
            rich_help_panel=TAPS,
        ),
    ] = None,
    temperature: Annotated[
        float | None, number_option(help="Temperature at the taps. [°C]", panel=TAPS)
    ] = None,
    humidity: Annotated[
        float | None, number_option(help="Relative humidity at the taps. [%]", panel=TAPS)
    ] = None,
    holes: Annotated[
        float | None,
        length_option(
            "--holes",
            help="Diameter of the cord holes it will get, as 6.4: every command leaves for them "
            "until they are drilled.",
            panel=TARGET,
        ),
    ] = None,
    keep: Annotated[
        float | None,
        length_option(
            "--keep",
            help="Thickness that must remain wherever it is cut, as 6: every command keeps it. "
            "2 mm without it.",
            panel=TARGET,
        ),
    ] = None,
    unusual: Unusual = False,
    force: Annotated[bool, typer.Option("--force", help="Replace an existing file.")] = False,
) -> None:
    """Make a bar file from the size of a blank, its wood and the note it is to become.

    Constants of the wood that are not given are filled in from the species, or by the ratios of a
    generic hardwood, and marked so in the file.

    Example: barmodel start G3 --length 412 --width 62 --thickness 22 --wood padauk --note G3
    """
    from barmodel.files import BlankPart, WoodPart, blank_bar, write_bar_file
    from barmodel.pitch import Target, parse_ratios
    from barmodel_cli.bench.cords import with_holes

    if tap is None and (temperature is not None or humidity is not None):
        raise BadValue("--temperature and --humidity are those of the taps; give --tap as well")
    if density is not None and mass is not None:
        raise BadValue("--density and --mass are two ways to say one thing; give one of them")
    target = Target(note, a4, parse_ratios(ratios), offset)
    sizes = {"--length": length, "--width": width, "--thickness": thickness}
    sides = {f"{name[2:]}_mm": _size(name, value) for name, value in sizes.items()}
    blank = made("blank", BlankPart, **sides, mass_g=mass)
    if wood is None and e_long is None:
        raise BadValue(
            "the wood is not told; give --wood SPECIES, or --e-long and --density (or --mass)"
        )
    wood, taken = _species_meant(wood)
    check_temperature(temperature, unusual=unusual)
    if not unusual:
        check_blank(
            sizes,
            density=density,
            mass_g=mass,
            e_long=e_long,
            metal=is_metal(wood),
            ratios=target.ratios,
        )
    check_keep(keep, thickness, unusual=unusual)
    given = made(
        "wood",
        WoodPart,
        species=wood,
        density_kg_m3=density,
        e_long_gpa=e_long,
        e_width_gpa=e_width,
        e_thick_gpa=e_thick,
        g_long_width_gpa=g_long_width,
        g_long_thick_gpa=g_long_thick,
        g_width_thick_gpa=g_width_thick,
        sawn=orientation.value,
    )
    taps = None if tap is None else _taps(tap, temperature, humidity)
    document = _document(bar_name(bar_file), blank, given, target, taps)
    if holes is not None:
        document = with_holes(document, holes)
    if keep is not None:
        document = with_keep(document, keep)
    count = len(target.ratios) if taps is None else max(len(target.ratios), len(taps.hz))
    rings = expected_hz(blank_bar(document), count)
    if taps is not None and not unusual:
        check_reading(taps.hz, rings)
    write_bar_file(bar_file, document, overwrite=force)
    if told := out_of_reach(target, rings, () if taps is None else taps.hz):
        caution(told)
    tell(bar_file, document, tabled=e_long is None, taken=taken)


def _size(option: str, value: float) -> float:
    if value <= 0.0:
        raise BadValue(f"{option}: {value:g} mm is not above zero")
    return value


def _taps(tap: str, temperature: float | None, humidity: float | None) -> Reading:
    from barmodel.files import Reading

    air = {"temperature_c": temperature, "humidity_percent": humidity}
    return made("--tap", Reading, hz=read_frequencies(tap), remark="taps of the blank", **air)


def _document(name: str, blank: Any, given: WoodPart, target: Any, taps: Any) -> BarDocument:
    """Put the parts together, every constant written out so that the file stands by itself."""
    from barmodel.files import BarDocument, blank_bar, target_part, wood_of, wood_part

    wood = wood_of(given, blank)
    document = made(
        "bar file",
        BarDocument,
        name=name,
        blank=blank,
        wood=wood_part(wood),
        target=target_part(target),
    )
    blank_bar(document)  # refuses sizes that cannot be
    return document if taps is None else document.with_entries(taps)


def _species_meant(wood: str | None) -> tuple[str | None, str]:
    """Name of a wood as the table has it, and what was taken for a name that others share."""
    from barmodel.errors import InputError
    from barmodel.wood import others_called, species

    try:
        found = None if wood is None else species(wood)
    except InputError:  # of the maker's own, if its constants are given
        return wood, ""
    if wood is None or found is None:
        return None, ""
    told = f"{found.name} ({found.botanical})"
    others = [other.name for other in others_called(wood)]
    if others:
        told += f", which {wood!r} was taken for; if it is {' or '.join(others)}, say --wood so"
    return found.name, told
