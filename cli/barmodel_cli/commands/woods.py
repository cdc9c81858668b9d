"""`barmodel woods`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.options import Json
from barmodel_cli.exits import say
from barmodel_cli.shown.show import print_json, print_table

if TYPE_CHECKING:
    from barmodel.wood import Quantity, Species

GIGA = 1e9


def run(
    name: Annotated[
        str, typer.Argument(metavar="[SPECIES]", help="One wood in full, with its sources.")
    ] = "",
    as_json: Json = False,
) -> None:
    """Woods and alloys, their constants and where each number is from.

    Planks of one species differ by a fifth and more: tap your own (barmodel fit).

    Example: barmodel woods padauk
    """
    from barmodel.wood import species, species_table

    chosen = (species(name),) if name else species_table()
    if as_json:
        print_json("woods", {"woods": [_content(item) for item in chosen]})
    elif name:
        _show_one(chosen[0], name)
    else:
        _show_table(chosen)


def _show_table(chosen: tuple[Species, ...]) -> None:
    rows = []
    for item in chosen:
        wood = item.wood()
        quantity = item.quantities["e_long"]
        rows.append(
            (
                item.name,
                item.botanical,
                f"{item.density:.0f}",
                f"{item.e_long / GIGA:.1f}",
                f"{wood.g_long_thick / GIGA:.2f}",
                f"{item.quality_factor:.0f}",
                quantity.tag,
            )
        )
    columns = ("species", "botanical", "kg/m³", "E GPa", "G GPa", "Q", "E is")
    print_table(columns, rows)
    print("\nE along the grain, G long–thick, flat sawn. Sources: barmodel woods SPECIES")
    say("next: barmodel start NAME --wood SPECIES --length … --width … --thickness … --note …")


def _show_one(item: Species, asked: str) -> None:
    from barmodel.wood import others_called

    print(f"{item.name} ({item.botanical})")
    if others := others_called(asked):
        print(f"{asked!r} may be another one: {', '.join(other.name for other in others)}")
    if item.aliases:
        print(f"also: {', '.join(item.aliases)}")
    rows = [
        (name.replace("_", " "), _value_text(name, q), q.tag, q.source)
        for name, q in item.quantities.items()
    ]
    print_table(("quantity", "value", "standing", "source"), rows)
    raised = item.e_long / item.quantities["e_long"].value
    if raised > 1.0:
        print(
            f"\na struck bar has E {item.e_long / GIGA:.2f} GPa, × {raised:.2f}: bending slowly "
            "under a load feels shear as well; the table of all woods and `start` take that"
        )
    print(f"\nratios between directions: {item.ratios_source}")
    if item.law:
        print(f"law: {item.law.text} (as of {item.law.as_of}, {item.law.tag}; check before buying)")
    print(f"health: {item.health}")
    if item.note:
        print(f"note: {item.note}")
    word = f"'{item.name}'" if " " in item.name else item.name
    say(f"next: barmodel start NAME --wood {word} --length … --width … --thickness … --note …")


def _value_text(name: str, quantity: Quantity) -> str:
    scale, unit = 1.0, ""
    if name == "density":
        unit = " kg/m³"
    elif name.startswith(("e_long", "e_green", "g_")):
        scale, unit = GIGA, " GPa"
    text = f"{quantity.value / scale:g}{unit}"
    if quantity.low is not None and quantity.high is not None:
        text += f" ({quantity.low / scale:g} to {quantity.high / scale:g})"
    return text + (f", {quantity.test}" if quantity.test else "")


def _content(item: Species) -> dict[str, Any]:
    from barmodel.files import wood_part

    constants = wood_part(item.wood()).model_dump(exclude={"species", "sawn"})
    return {
        "species": item.name,
        "botanical": item.botanical,
        "aliases": item.aliases,
        "metal": item.metal,
        **constants,
        "quality_factor": item.quality_factor,
        "sources": {
            name: {"source": quantity.source, "standing": quantity.tag}
            for name, quantity in item.quantities.items()
        },
        "ratios_source": item.ratios_source,
        "law": None if item.law is None else item.law.text,
        "health": item.health,
        "note": item.note,
    }
