"""`barmodel fit`."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.options import BarFile, Json, read_frequencies
from barmodel_cli.asked.plausible import Unusual, check_reading, expected_hz
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, print_json, print_table, progress

if TYPE_CHECKING:
    from barmodel.files import BarDocument
    from barmodel.fit import Taps, WoodFit


def run(
    bar_file: BarFile,
    hz: Annotated[
        Any,
        typer.Option(
            "--hz",
            parser=read_frequencies,
            metavar="HZ,HZ,…",
            help="Bending modes 1, 2, … of the uncut bar; - for one not heard. "
            "Without it the readings in the file from before the first cut are used.",
            show_default=False,
        ),
    ] = None,
    torsional: Annotated[
        Any,
        typer.Option(
            "--torsional",
            parser=read_frequencies,
            metavar="HZ,HZ,…",
            help="Torsional modes 1, 2, …",
            show_default=False,
        ),
    ] = None,
    unusual: Unusual = False,
    save: Annotated[
        bool, typer.Option("--save", help="Write the fitted constants into the bar file.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Stiffness of this plank from the pitches of its taps.

    Example: barmodel fit G3 --hz 662.0,1671.1,2935.9 --save
    """
    from barmodel.files import bar_at_start, read_bar_file
    from barmodel.fit import Taps, fit_wood
    from barmodel_cli.shown.blank_text import content_of_blank, notes_of, ring_of, show_blank
    from barmodel_cli.shown.design_cautions import taps_of_blank

    document = read_bar_file(bar_file)
    if hz is None and torsional is None:
        taps = _taps_in_file(document, bar_file)
    else:
        bending = hz
        if hz is None and taps_of_blank(document):  # the torsion beside what the file holds
            bending = _taps_in_file(document, bar_file).bending_hz
        taps = Taps(bending_hz=bending or (), torsional_hz=torsional or ())
    if hz is not None and not unusual:
        check_reading(hz, expected_hz(bar_at_start(document), len(hz)))
    with progress("fitting"):
        found = fit_wood(bar_at_start(document), taps)
        ring, notes = ring_of(document), notes_of(document, found.wood)
    for mode in found.left_out:
        caution(
            f"{mode.replace('bending', 'mode')} was left out: on so short and wide a blank it "
            "mixes with one that bends across the width, and nothing settles with it"
        )
    if save:
        _save(bar_file, found)
    if as_json:
        print_json("fit", _content(found) | content_of_blank(ring, notes))
        return
    _show(found, document)
    show_blank(document, ring, notes)
    designed = document.design is not None
    _tell_next(bar_file, _as_options(hz, torsional), saved=save, designed=designed)


def _taps_in_file(document: BarDocument, path: Path) -> Taps:
    """What the taps of the blank agree on; what one of them says alone is told and left out."""
    from barmodel.errors import InputError
    from barmodel.fit import Taps, agreed
    from barmodel_cli.shown.design_cautions import taps_of_blank

    readings = taps_of_blank(document)
    if not readings:
        raise InputError(
            "the file holds no reading from before the first cut; strike the bar and give its "
            "modes, as --hz 662.0,1671.1,2935.9"
        )
    found = []
    for kind, rows in (
        ("bending", [reading.hz for reading in readings]),
        ("torsional", [reading.torsional_hz for reading in readings]),
    ):
        hz, odd = agreed(rows)
        found.append(hz)
        for one in odd:
            number = readings[one.tap].id
            what = f"{kind} mode {one.mode + 1} in entry {number} ({one.hz:.1f} Hz)"
            if one.alone:
                raise InputError(
                    f"{what} lies {one.cents:+.0f} cents from what another tap of this blank says, "
                    "and nobody can tell which is right; strike it once more, or cancel the one "
                    f"that was a slip: barmodel log {path} --cancel {number}"
                )
            caution(f"{what} lies {one.cents:+.0f} cents from the other taps and was left out")
    return Taps(bending_hz=found[0], torsional_hz=found[1])


def _save(path: Any, found: WoodFit) -> None:
    from barmodel.files import update_bar_file, wood_part

    def change(document: BarDocument) -> BarDocument:
        return document.changed(wood=wood_part(found.wood))

    update_bar_file(path, change)


def _content(found: WoodFit) -> dict[str, Any]:
    from barmodel.units import GPA

    wood = found.wood
    return {
        "e_long_gpa": wood.e_long / GPA,
        "g_long_thick_gpa": wood.g_long_thick / GPA,
        "g_long_width_gpa": wood.g_long_width / GPA,
        "density_kg_m3": wood.density,
        "constants": found.names,
        "standard_error": dict(zip(found.names, found.standard_error.tolist(), strict=True)),
        "correlation": found.correlation,
        "modes": found.modes,
        "residual_cents": found.residual_cents,
        "unevenness_cents": found.unevenness_cents,
        "leans_on_species": found.prior,
        "left_out": found.left_out,
        "model": found.model,
    }


WORDS = {
    "e_long": "E along the grain",
    "g_long_thick": "G in bending (long–thick)",
    "g_long_width": "G in torsion (long–width)",
}
"""Fitted constants as a maker knows them."""
EVEN_CENTS, UNEVEN_CENTS = 5.0, 15.0
"""Misfit below the first matters to nobody, above the second readings are doubted (own judgement).
[cent]"""


def _as_options(*readings: tuple[float | None, ...] | None) -> str:
    """Readings given by hand, as they were given."""
    words = ""
    for name, row in zip(("--hz", "--torsional"), readings, strict=True):
        if row is not None:
            words += f" {name} {','.join('-' if hz is None else f'{hz:g}' for hz in row)}"
    return words


def _for_torsion(document: BarDocument) -> str:
    """Where to hold and strike the blank for its first torsional mode."""
    from barmodel.files import bar_at_start
    from barmodel.modes import solve
    from barmodel_cli.bench.hear_how import bring_out_in_words

    blank = bar_at_start(document)
    modes = solve(blank, count=4, families=["bending", "torsion"], order="quick")
    return bring_out_in_words(modes, "torsional", 1)


def _show(found: WoodFit, document: BarDocument) -> None:
    from barmodel.units import GPA

    rows = [
        (
            WORDS.get(name, name),
            f"{getattr(found.wood, name) / GPA:.3f}",
            f"{100 * error:.1f}",
            "species and readings" if name in found.prior else "readings",
        )
        for name, error in zip(found.names, found.standard_error, strict=True)
    ]
    print_table(("constant", "GPa", "± %", "known from"), rows)
    print()
    print_table(
        ("mode", "heard − fitted, cents", "reading ±"),
        [
            (mode.replace("bending", "mode"), f"{residual:+.1f}", f"{error:.1f}")
            for mode, residual, error in zip(
                found.modes, found.residual_cents, found.reading_cents, strict=True
            )
        ],
    )
    print(f"\n{_misfit(found, document)}")
    print(f"model: {found.model}")


def _tell_next(path: Path, readings: str, *, saved: bool, designed: bool) -> None:
    if saved:
        print(f"saved: this is now the wood in {path}")
    if saved and designed:
        say(
            f"next: barmodel next {path}, which makes the best of the design that it has; "
            f"barmodel design {path} --save makes another in its place"
        )
    elif saved:
        say(f"next: barmodel design {path} --save")
    else:
        say(f"not saved; next: barmodel fit {path}{readings} --save")


def _misfit(found: WoodFit, document: BarDocument) -> str:
    """Say whether what the fitted constants do not explain matters; steps by own judgement."""
    cents = found.unevenness_cents
    if not math.isfinite(cents):
        return (
            "how well one wood fits cannot be told: there are no more readings than constants; "
            "add mode 3 or a torsional mode"
        )
    text = f"misfit of {cents:.1f} cents beyond reading errors: "
    steps = f" (own judgement: {EVEN_CENTS:g} and {UNEVEN_CENTS:g} cents are the steps)"
    if cents < EVEN_CENTS:
        return f"{text}too little to matter{steps}"
    if "g_long_width" in found.names:
        text += (
            "the plank is uneven, or its stiffness across the grain is unusual, which is fitted to "
            "no mode"
        )
    else:
        text += (
            "the plank is uneven, or a stiffness that was not heard is unusual; hear a torsional "
            f"mode to know: {_for_torsion(document)}, and give it as --torsional HZ if `hear` is "
            "not sure enough of it to record it"
        )
    if cents < UNEVEN_CENTS:
        text += "; usable: expect the first rough cut to be off by about as much, and stop sharp"
    else:
        text += "; check the readings (a mode taken for another?); else stop the rough cut early"
    return text + steps
