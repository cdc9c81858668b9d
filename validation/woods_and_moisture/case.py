"""The species table and the moisture formulas against the handbook."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TypeAlias

from barmodel.units import GPA
from barmodel.weather import equilibrium_moisture, property_at_moisture
from barmodel.wood import Quantity, Species, species, species_table
from validation.check import Check, Controls, Tag
from validation.kit.compare import as_printed

TITLE = "Woods, alloys and moisture"
ABOUT = """\
The table's entries beside the numbers they are taken from, copied a second time from the
sources so that a slip of either copy shows; elastic ratios by species; and the handbook's two
formulas for moisture: what it does to stiffness, and how moist wood gets in steady air. The
handbook's bending E includes shear deflection and is raised by a tenth before use; the tabled
value is what is compared. It has no rows for rosewood or padauk."""

COPIED = "a copied number agrees to the last digit"
HANDBOOK = "USDA Wood Handbook, FPL-GTR-282 (2021), "
RATIOS = {  # E_T, E_R, G_LR, G_LT over E_L
    "sugar maple": ("0.065", "0.132", "0.111", "0.063"),
    "black cherry": ("0.086", "0.197", "0.147", "0.097"),
    "black walnut": ("0.056", "0.106", "0.085", "0.062"),
    "yellow birch": ("0.050", "0.078", "0.074", "0.068"),
    "white ash": ("0.080", "0.125", "0.109", "0.077"),
    "honduran mahogany": ("0.064", "0.107", "0.066", "0.086"),
    "douglas fir": ("0.050", "0.068", "0.064", "0.078"),
}
MODULI: dict[str, tuple[str, str, Tag]] = {  # GPa as tabled, source, tag
    "indian rosewood": ("12.27", "Dalbergia latifolia, handbook table 5-5", "published"),
    "honduran rosewood": ("22.0", "Brémaud, Dalbergia stevensonii, in a reprint", "published"),
    "purpleheart": ("15.65", "Peltogyne, FPL fact sheet", "published"),
    "sugar maple": ("12.6", HANDBOOK + "table 5-3a", "published"),
    "black cherry": ("10.3", HANDBOOK + "table 5-3a", "published"),
    "black walnut": ("11.6", HANDBOOK + "table 5-3a", "published"),
    "bubinga": ("17.1", "trade data sheet", "from memory"),
    "wenge": ("17.6", "CIRAD sheet", "from memory"),
    "aluminium 6061-T6": ("68.9", "MMPDS, room temperature", "from memory"),
    "aluminium 7075-T6": ("71.7", "MMPDS, room temperature", "from memory"),
    "aluminium 2024-T3": ("73.1", "MMPDS, room temperature", "from memory"),
}
DENSITIES = {
    "indian rosewood": "849",
    "honduran rosewood": "1025",
    "purpleheart": "833",
    "aluminium 6061-T6": "2700",
    "aluminium 7075-T6": "2810",
    "aluminium 2024-T3": "2780",
}
AIR = ((0.30, "6.2"), (0.50, "9.2"), (0.65, "12.0"), (0.80, "16.0"))  # at 70 °F


RowOf: TypeAlias = Callable[[str, Sequence[str]], str]
"""Whose row of the table is read for a name, among the names of one list."""


def checks() -> list[Check]:
    return [*_ratios(), *_stiffness(), *_densities(), *_moisture(), *_counts(species_table())]


def negative_controls() -> Controls:
    bare = [replace(row, quantities=_unsourced(row.quantities)) for row in species_table()[:10]]
    return {
        "every row read from the next name": [
            *_ratios(_next),
            *_stiffness(_next),
            *_densities(_next),
        ],
        "E 1 % high, the air five degrees warmer": _moisture(stiffer=1.01, warmer=5.0),
        "ten rows left of the table, and no source with them": _counts(bare),
    }


def _next(name: str, names: Sequence[str]) -> str:
    return names[(names.index(name) + 1) % len(names)]


def _itself(name: str, _: Sequence[str]) -> str:
    return name


def _unsourced(quantities: Mapping[str, Quantity]) -> dict[str, Quantity]:
    return {name: replace(quantity, source="") for name, quantity in quantities.items()}


def _ratios(row_of: RowOf = _itself) -> list[Check]:
    found = []
    for name, row in RATIOS.items():
        ratios = species(row_of(name, list(RATIOS))).ratios
        assert ratios is not None
        ours = (ratios.e_t, ratios.e_r, ratios.g_lr, ratios.g_lt)
        found += [
            as_printed(
                f"{name}, {symbol}/E_L",
                printed,
                value,
                unit="",
                source=HANDBOOK + "table 5-1",
                tag="published" if name == "douglas fir" else "from memory",
                tolerance=1e-9,
                reason=COPIED,
            )
            for symbol, printed, value in zip(
                ("E_T", "E_R", "G_LR", "G_LT"), row, ours, strict=True
            )
        ]
    return found


def _stiffness(row_of: RowOf = _itself) -> list[Check]:
    return [
        as_printed(
            f"{name}, E as tabled",
            printed,
            species(row_of(name, list(MODULI))).quantities["e_long"].value / GPA,
            unit="GPa",
            source=source,
            tag=tag,
            tolerance=1e-6,
            reason=COPIED,
        )
        for name, (printed, source, tag) in MODULI.items()
    ]


def _densities(row_of: RowOf = _itself) -> list[Check]:
    return [
        as_printed(
            f"{name}, density",
            printed,
            species(row_of(name, list(DENSITIES))).density,
            unit="kg/m³",
            source=MODULI[name][1],
            tag=MODULI[name][2],
            tolerance=1e-6,
            reason=COPIED,
        )
        for name, printed in DENSITIES.items()
    ]


def _moisture(*, stiffer: float = 1.0, warmer: float = 0.0) -> list[Check]:
    stiffness = as_printed(
        "E of hard maple at 8 %, from 12.6 at 12 % and 10.7 green",
        "13.250",
        property_at_moisture(stiffer * 12.6, 10.7, 8.0),
        unit="GPa",
        source=HANDBOOK + "eq. 5-3, Mp = 25 % (worked by hand)",
        tag="recomputed independently",
    )
    return [
        stiffness,
        *(
            as_printed(
                f"moisture at 70 °F and {100 * humidity:.0f} %",
                printed,
                equilibrium_moisture((70 - 32) / 1.8 + warmer, humidity),
                unit="%",
                source=HANDBOOK + "table 4-2, the handbook's own table of its eq. 4-5",
                tag="from memory",
                tolerance=0.06,
                reason="half a unit of the last digit, and rounding of the formula's constants",
            )
            for humidity, printed in AIR
        ),
    ]


def _counts(table: Sequence[Species]) -> list[Check]:
    metals = sum(row.metal for row in table)
    sourced = sum(bool(q.source) for row in table for q in row.quantities.values())
    numbers = sum(len(row.quantities) for row in table)
    return [
        Check(
            key="numbers in the table without a source",
            expected=0.0,
            computed=float(numbers - sourced),
            tolerance=0.0,
            unit="",
            source="the project's own rule: every number has its source beside it",
            tag="common practice, no source",
            reason="none is allowed",
        ),
        Check(
            key="woods fewer than 14, alloys fewer than 3",
            expected=0.0,
            computed=float(max(14 - len(table) + metals, 0) + max(3 - metals, 0)),
            tolerance=0.0,
            unit="",
            source="the project's own aim",
            tag="common practice, no source",
            reason="none is allowed",
        ),
    ]
