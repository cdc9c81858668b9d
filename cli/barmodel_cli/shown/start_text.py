"""What `barmodel start` tells of the bar it has made."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.asked.plausible import MOST_BY_WEIGHT
from barmodel_cli.exits import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from barmodel.files import BarDocument, WoodPart
    from barmodel.wood import Wood


def tell(path: Path, document: BarDocument, *, tabled: bool, taken: str) -> None:
    """Print sizes, target, wood and what is not known of it; then the next step.

    Parameters
    ----------
    path : Path
    document : BarDocument
    tabled : bool
        Whether the stiffness is the table's.
    taken : str
        The species as the table has it; empty for one of the maker's own.
    """
    from barmodel.files import blank_bar, target_of

    bar = blank_bar(document)
    target = target_of(document.target)
    wood = document.wood
    wanted = ", ".join(f"{hz:.1f}" for hz in target.hz)
    sizes = document.blank.length_mm, document.blank.width_mm, document.blank.thickness_mm
    print(f"{path}: {document.name}, {' × '.join(f'{mm:g}' for mm in sizes)} mm")
    print(f"target: {document.target.note}, {wanted} Hz")
    if document.to_drill is not None:
        print(
            f"cord holes: two of {document.to_drill.diameter_mm:g} mm to come; every command "
            "leaves for them until one of its readings says `hear --drilled`"
        )
    if document.keep_mm is not None:
        print(_about_keep(document, bar.blank.wood))
    head = "with" if taken else "wood:"
    if taken:
        print(f"wood: {taken}")
    print(
        f"{head} E {wood.e_long_gpa:.2f} GPa, {wood.density_kg_m3:.0f} kg/m³, "
        f"mass of the blank {bar.mass * 1e3:.0f} g"
    )
    for text in (
        _about_stiffness(wood) if tabled else None,
        _about_filled(wood.assumed),
        _about_weight(document),
    ):
        if text:
            say(text)
    say(f"next: {_next_step(path, document)}")


def _about_keep(document: BarDocument, wood: Wood) -> str:
    """The least thickness, and whether a bar as thin as that bears hard blows."""
    from barmodel.bar import bears_blows
    from barmodel.units import MM

    keep, bears = document.keep_mm or 0.0, bears_blows(wood) / MM
    text = f"least thickness: {keep:g} mm, which every command keeps"
    if keep < bears:
        text += f"; under {bears:g} mm a hard blow may {'bend' if wood.isotropic else 'break'} it"
    return text


def _about_stiffness(wood: WoodPart) -> str | None:
    """Why E is not the number of the species table."""
    from barmodel.units import GPA
    from barmodel.wood import species

    row = species(wood.species or "")
    quantity = row.quantities["e_long"]
    tabled = quantity.value / GPA
    text = "E is the species' and not this plank's; planks differ by a fifth and more: tap yours"
    if quantity.test != "static bending" or row.metal:
        return None if row.metal else text
    return (
        f"E: the table's {tabled:.2f} GPa was measured by bending slowly under a load, which feels "
        f"shear as well; without shear, as a struck bar has it, × {row.e_long / quantity.value:.2f}"
        f" = {row.e_long / GPA:.2f} GPa\n{text}"
    )


def _about_filled(assumed: Sequence[str]) -> str | None:
    """Constants that nobody measured, in a maker's words."""
    felt = {
        "g_long_thick": "the shear stiffness in bending (moves modes 2 and 3)",
        "g_long_width": "the shear stiffness in torsion (moves torsional modes)",
    }
    named = [words for name, words in felt.items() if name in assumed]
    if set(assumed) - set(felt):
        named.append("the stiffness across the grain (hardly matters to the tuned modes)")
    if not named:
        return None
    return f"filled in by usual ratios, not measured: {'; '.join(named)}"


def _about_weight(document: BarDocument) -> str | None:
    from barmodel.errors import InputError
    from barmodel.files import blank_bar
    from barmodel.wood import species

    if document.blank.mass_g is None:
        return "density is from the table or option; weigh the blank and give --mass to be sure"
    try:
        usual = species(document.wood.species or "").density
    except InputError:
        return None
    density = blank_bar(document).blank.wood.density
    if abs(density / usual - 1.0) <= MOST_BY_WEIGHT:
        return None
    return (
        f"mind: by its weight this blank has {density:.0f} kg/m³, {document.wood.species} usually "
        f"{usual:.0f}; check weight and sizes"
    )


def _next_step(path: Path, document: BarDocument) -> str:
    if document.log:
        return f"barmodel fit {path} --save, so that the design is for the wood that was tapped"
    return (
        f"barmodel design {path}, or first tap the blank to know its own wood: "
        f"barmodel hear STRIKE.wav --into {path}"
    )
