"""A bar that is struck: what is known of it beforehand, and what was heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.bench.today import AS_TARGETED, Today, today_of
from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.pitch import Target
    from barmodel.strike import Hearing, Recording
    from barmodel_cli.bench.foretold import Foretold
    from barmodel_cli.bench.season import Rooms


@dataclass(frozen=True, slots=True, eq=False)
class Subject:
    """The bar that a reading is of.

    Attributes
    ----------
    path : Path
        Its file.
    document : BarDocument
    rooms : Rooms
        Of its set.
    foretold : Foretold
        Where its modes should be.
    """

    path: Path
    document: BarDocument
    rooms: Rooms
    foretold: Foretold

    @classmethod
    def of(cls, path: Path, document: BarDocument, *, count: int, torsion: bool) -> Subject:
        """Look where the modes of a bar should be, `count` bending ones at least."""
        from barmodel_cli.bench.foretold import foretell
        from barmodel_cli.bench.season import rooms_of

        rooms = rooms_of(path)
        water = rooms.water(document)
        return cls(path, document, rooms, foretell(document, water, count=count, torsion=torsion))

    @property
    def lowest_told(self) -> float | None:
        """Mode 1 as foretold of a bar that was cut: no cut deeper than told leaves it higher. [Hz]

        None for a blank.
        """
        return float(self.foretold.likely_hz[0]) if self.document.begun else None

    @property
    def water_percent(self) -> float | None:
        """Water in the wood of the bar today, by the air of the bench. [%]"""
        from barmodel_cli.bench.water import takes_water

        percent = self.rooms.water(self.document)
        return None if percent is None or not takes_water(self.document) else round(percent, 2)

    def today(self, reading: Reading) -> Today:
        """What the bar is to show today, as warm as it was at a reading just made."""
        return today_of(self.document.with_entries(reading), self.path, rooms=self.rooms)

    def as_at_the_bench(self) -> float | None:
        """Temperature of the bench as the set file has it, and say that it is taken. [°C]"""
        if self.rooms.today is None:
            return None
        usual = self.rooms.today.temperature_c
        caution(
            f"no --temperature given: {usual:g} °C is recorded, as the set file says of the bench"
        )
        return usual


@dataclass(frozen=True, slots=True, eq=False)
class Struck:
    """What was heard.

    Attributes
    ----------
    reading : Reading
        As it goes into the log.
    heard : Hearing or None
        None for pitches given by hand.
    recordings : sequence of Recording
    subject : Subject or None
        None where no bar was named.
    today : Today
        What the bar is to show today, as warm as it was now.
    """

    reading: Reading
    heard: Hearing | None = None
    recordings: Sequence[Recording] = ()
    subject: Subject | None = None
    today: Today = AS_TARGETED

    @property
    def document(self) -> BarDocument | None:
        """The bar's file before this reading."""
        return None if self.subject is None else self.subject.document

    @property
    def target(self) -> Target | None:
        """What the bar is tuned to."""
        from barmodel.files import target_of

        return None if self.document is None else target_of(self.document.target)

    @property
    def of_another(self) -> bool:
        """Whether strong lines belong to no mode of this bar."""
        warnings = () if self.heard is None else self.heard.warnings
        return any(warning.code == "other bar" for warning in warnings)


def check_places(
    document: BarDocument, strike_at_mm: float | None, held_at_mm: Sequence[float]
) -> None:
    """Refuse places beside the bar. [mm]"""
    from barmodel.files import bar_as_is
    from barmodel.units import MM

    length = bar_as_is(document).blank.length / MM
    told = [("--strike-at", strike_at_mm), *(("--held-at", place) for place in held_at_mm)]
    for option, place in told:
        if place is not None and not 0.0 <= place <= length:
            raise BadValue(f"{option} {place:g} mm lies off the bar, which is {length:g} mm long")
