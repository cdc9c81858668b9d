"""The species table: what woods and alloys are like, and where each number comes from.

The numbers live in ``barmodel/data/woods.toml``; this module reads, checks and looks them up.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Literal, cast, get_args

from barmodel.errors import InputError
from barmodel.units import GPA
from barmodel.wood.elastic import Sawn, Wood
from barmodel.wood.fill import GENERIC_HARDWOOD, GrainRatios, from_partial
from barmodel.wood.response import WeatherResponse

Tag = Literal["published", "from memory", "common practice", "own estimate"]
"""How sure the source of a number is; `published` was read, `from memory` was not read again."""
SUFFIXES = {"_gpa": GPA, "_kg_m3": 1.0}
"""Unit at the end of a key in the table, and its factor to SI; other keys keep their unit."""
RATIO_NAMES = ("e_t", "e_r", "g_lr", "g_lt", "g_rt", "nu_lr", "nu_lt", "nu_rt")


@dataclass(frozen=True, slots=True)
class Quantity:
    """One number of the table, in SI unless its name carries a unit: [Pa], [kg/m³], [1].

    Parameters
    ----------
    value : float
        The number used.
    source : str
        Where it comes from.
    tag : {'published', 'from memory', 'common practice', 'own estimate'}
        How sure the source is.
    low, high : float, optional
        Bounds that sources report.
    error : float, optional
        One standard deviation.
    test : str, optional
        How a modulus was measured; `static bending` values include shear deflection.
    """

    value: float
    source: str
    tag: Tag
    low: float | None = None
    high: float | None = None
    error: float | None = None
    test: str | None = None


@dataclass(frozen=True, slots=True)
class Law:
    """Trade restriction of a species, dated because such lists change.

    Parameters
    ----------
    text : str
        What is restricted.
    tag : {'published', 'from memory', 'common practice', 'own estimate'}
        How sure the source is.
    as_of : str
        Year, or date, at which it was so.
    """

    text: str
    tag: Tag
    as_of: str


@dataclass(frozen=True, slots=True)
class Species:
    """A wood or alloy of the table.

    Parameters
    ----------
    name, botanical : str
        Trade name and botanical name (or kind of alloy).
    aliases : tuple of str
        Other names it is found by.
    metal : bool
        Whether it is alike in all directions.
    quantities : mapping of str to Quantity
        Every number, by name: ``density`` [kg/m³], ``e_long`` as tabled, ``g_long_thick``,
        ``e_green`` [Pa], ``poisson_ratio``, ``quality_factor`` [-],
        ``shrinkage_radial_percent``, ``temperature_cents_per_c`` and so on.
    ratios : GrainRatios or None
        Elastic ratios in growth directions; the generic hardwood when the species has no row.
    ratios_source : str
        Where the ratios come from, with their tag.
    law : Law or None
        Trade restriction, if any is known.
    health, note : str
        Cautions for the workshop; what else is worth knowing.
    """

    name: str
    botanical: str
    aliases: tuple[str, ...]
    metal: bool
    quantities: Mapping[str, Quantity]
    ratios: GrainRatios | None
    ratios_source: str
    law: Law | None
    health: str
    note: str

    @property
    def density(self) -> float:
        """Density at about 12 % moisture. [kg/m³]"""
        return self.quantities["density"].value

    @property
    def e_long(self) -> float:
        """Young's modulus along the bar, static bending values raised for shear. [Pa]"""
        tabled = self.quantities["e_long"]
        raised = tabled.test == "static bending"
        return tabled.value * (general()["static_to_long"].value if raised else 1.0)

    @property
    def quality_factor(self) -> float:
        """Resonance quality of the unsupported bar. [-]"""
        return self._quantity("quality_factor").value

    def wood(self, *, sawn: Sawn = "flat") -> Wood:
        """Return the material of a bar, missing constants filled by ratios and marked so.

        Parameters
        ----------
        sawn : {'flat', 'quarter'}
            How the board was sawn; no matter for metal.

        Examples
        --------
        >>> maple = species("hard maple").wood(sawn="quarter")
        >>> maple.species, round(maple.e_long / 1e9, 2)
        ('sugar maple', 13.86)
        """
        if self.ratios is None:
            nu = self.quantities["poisson_ratio"].value
            return Wood.from_isotropic(
                e=self.e_long, nu=nu, density=self.density, species=self.name
            )
        shear = self.quantities.get("g_long_thick")
        return from_partial(
            density=self.density,
            e_long=self.e_long,
            known={"g_long_thick": shear.value} if shear else None,
            ratios=self.ratios,
            sawn=sawn,
            species=self.name,
        )

    def weather(self, *, sawn: Sawn = "flat") -> WeatherResponse:
        """Return how a bar of this species answers to heat and moisture."""
        radial = self._quantity("shrinkage_radial_percent").value
        tangential = self._quantity("shrinkage_tangential_percent").value
        width, thick = (tangential, radial) if sawn == "flat" else (radial, tangential)
        dry, heat = self._quantity("e_dry_ratio"), self._quantity("temperature_cents_per_c")
        ratio = dry.value
        if green := self.quantities.get("e_green"):
            ratio = self.quantities["e_long"].value / green.value
        return WeatherResponse(
            cents_per_c=heat.value,
            cents_per_c_error=heat.error or 0.0,
            takes_water=not self.metal,
            e_dry_ratio=ratio,
            e_dry_ratio_error=dry.error or 0.0,
            intersection_percent=self._quantity("intersection_moisture_percent").value,
            shrink_width_percent=width,
            shrink_thick_percent=thick,
            moisture_relative_error=self._quantity("moisture_relative_error").value,
        )

    def _quantity(self, name: str) -> Quantity:
        """Return the species' own number, or the one that holds for all."""
        return self.quantities.get(name) or general()[name]


def species(name: str) -> Species:
    """Find a wood or alloy by its name, botanical name or an alias.

    Parameters
    ----------
    name : str
        Case, hyphens and underscores do not matter.

    Raises
    ------
    InputError
        If nothing is known by that name; the nearest names are offered.

    Examples
    --------
    >>> species("Pterocarpus soyauxii").name
    'padauk'
    """
    names = _names()
    key = _plain(name)
    if key in names:
        return names[key]
    near = difflib.get_close_matches(key, names, n=6, cutoff=0.6)
    offers = list(dict.fromkeys(names[hit].name for hit in near))[:3]
    hint = f"did you mean {', '.join(offers)}?" if offers else "run woods for the whole table."
    raise InputError(
        f"species {name!r} is not in the table; {hint} "
        "For another wood give its density and stiffness instead"
    )


@cache
def species_table() -> tuple[Species, ...]:
    """Return every wood and alloy, in the order of the table."""
    table = _table()
    sources = table["sources"]
    return tuple(_species(row, sources, table["general"]) for row in table["species"])


@cache
def general() -> Mapping[str, Quantity]:
    """Numbers that hold for all woods: spread, static-to-long factor, default responses."""
    table = _table()
    rows = {key: row for key, row in table["general"].items() if isinstance(row, dict)}
    return MappingProxyType(_quantities(rows, table["sources"]))


@cache
def _table() -> dict[str, Any]:
    """Read the table from the package's data."""
    text = resources.files("barmodel").joinpath("data/woods.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def _names() -> dict[str, Species]:
    """Every name that finds a species, in plain form."""
    found: dict[str, Species] = {}
    for item in species_table():
        for name in (item.name, item.botanical, *item.aliases):
            found.setdefault(_plain(name), item)
    return found


def _plain(name: str) -> str:
    """Bring a name into the form in which names are compared."""
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


def _species(row: dict[str, Any], sources: dict[str, str], everyone: dict[str, Any]) -> Species:
    """Make one record from its row of the table."""
    metal = bool(row.get("metal", False))
    tables = {k: v for k, v in row.items() if isinstance(v, dict) and k not in ("ratios", "law")}
    given: dict[str, Any] | None = row.get("ratios")
    ratios = None if metal else GENERIC_HARDWOOD
    told = "alike in all directions" if metal else "generic hardwood, mean of six handbook rows"
    if given:
        # the handbook has no G_RT for some species: the generic ratio stands in
        known = {name: given.get(name, getattr(GENERIC_HARDWOOD, name)) for name in RATIO_NAMES}
        ratios = GrainRatios(**known)
        stand_in = "" if "g_rt" in given else ", g_rt of the generic hardwood"
        told = f"{sources.get(given['source'], given['source'])} ({given['tag']}){stand_in}"
    dust = everyone["health_metal" if metal else "health"]
    return Species(
        name=row["name"],
        botanical=row["botanical"],
        aliases=tuple(row.get("aliases", ())),
        metal=metal,
        quantities=MappingProxyType(_quantities(tables, sources)),
        ratios=ratios,
        ratios_source=told,
        law=Law(**row["law"]) if "law" in row else None,
        health=f"{row['health']} {dust}" if "health" in row else dust,
        note=row.get("note", ""),
    )


def _quantities(rows: dict[str, Any], sources: dict[str, str]) -> dict[str, Quantity]:
    """Make quantities in SI from the small tables of a row."""
    found: dict[str, Quantity] = {}
    for key, row in rows.items():
        suffix = next((end for end in SUFFIXES if key.endswith(end)), "")
        factor = SUFFIXES.get(suffix, 1.0)
        numbers = {
            name: row[name] * factor for name in ("value", "low", "high", "error") if name in row
        }
        if row["tag"] not in get_args(Tag):
            raise InputError(f"woods table: {key} has the unknown tag {row['tag']!r}")
        found[key.removesuffix(suffix)] = Quantity(
            **numbers,
            source=sources.get(row["source"], row["source"]),
            tag=cast("Tag", row["tag"]),
            test=row.get("test"),
        )
    return found
