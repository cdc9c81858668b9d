"""What to leave a bar at today, so that it is right in the room it will be played in."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeAlias

import typer

from barmodel_cli.asked.options import BadValue, read_number
from barmodel_cli.bench.water import response_of, takes_water, water_today
from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.bench import Belief, Goal
    from barmodel.files import BarDocument, Reading
    from barmodel.weather import Condition, Shift

SLOW_PERCENT = 1.0
"""Distance of the wood from what the air makes of it that is worth a word: a dozen cents. [%]"""
_ASKS = "°C/% humidity, as 21/50; by default as the set file says."
Room: TypeAlias = Annotated[
    str | None,
    typer.Option("--room", metavar="AIR", help=f"Where it will be played: {_ASKS}"),
]
Bench: TypeAlias = Annotated[
    str | None,
    typer.Option("--bench", metavar="AIR", help=f"Today at the bench: {_ASKS}"),
]


@dataclass(frozen=True, slots=True)
class Leave:
    """How far above its target to leave a bar today.

    Attributes
    ----------
    shift : Shift
    today, room : Condition
        State of the bar at the bench, and where it will be played.
    """

    shift: Shift
    today: Condition
    room: Condition

    def aimed(self, goal: Goal, belief: Belief) -> tuple[Goal, Belief]:
        """Aim at the room: readings are brought to its heat, the target is raised for its air."""
        offset = goal.target.offset_cents + self.shift.moisture_cents
        target = replace(goal.target, offset_cents=offset)
        return replace(goal, target=target), replace(belief, reference_c=self.room.temperature_c)

    @property
    def text(self) -> str:
        """One sentence."""
        shift = self.shift
        return (
            f"leave it {shift.cents:+.1f} ± {shift.standard_error:.1f} cents from its target, "
            f"{shift.heat_cents:+.1f} for the heat, {shift.moisture_cents:+.1f} for the moisture: "
            f"here {_state(self.today)}, where it is played {_state(self.room)}"
        )

    @property
    def content(self) -> dict[str, Any]:
        """The same for programs."""
        return {
            "cents": self.shift.cents,
            "standard_error_cents": self.shift.standard_error,
            "heat_cents": self.shift.heat_cents,
            "moisture_cents": self.shift.moisture_cents,
            "today": _plain(self.today),
            "room": _plain(self.room),
        }


def _state(state: Condition) -> str:
    return f"{state.temperature_c:g} °C, {state.moisture_percent:.1f} % water in wood"


def _plain(state: Condition) -> dict[str, float]:
    return {
        "temperature_c": state.temperature_c,
        "moisture_percent": state.moisture_percent,
    }


def read_air(text: str, option: str) -> Condition:
    """Read `21/50` as a bar that has settled at 21 °C and 50 % humidity."""
    from barmodel.errors import InputError
    from barmodel.weather import DRIEST, Condition

    words = [word for word in re.split(r"[/;\s]+|°C|%", text.strip()) if word]
    if len(words) != 2:
        raise BadValue(f"{option} {text!r}: write °C and % humidity, as 21/50")
    temperature, humidity = map(read_number, words)
    if humidity < 100.0 * DRIEST:
        raise BadValue(f"{option} {text!r}: humidity is in percent, as 21/50")
    try:
        return Condition.settled(temperature_c=temperature, relative_humidity=humidity / 100.0)
    except InputError as error:
        raise BadValue(f"{option} {text!r}: {error}") from None


@dataclass(frozen=True, slots=True)
class Rooms:
    """Where a bar will be played, and the state it is in today; None where that is not known."""

    played: Condition | None
    today: Condition | None

    def at(self, reading: Reading) -> Rooms:
        """The same when a reading was made; what was not written down then is as usual."""
        told = reading.moisture_percent
        return self._with(reading, self._settled if told is None else told)

    def now(self, document: BarDocument) -> Rooms:
        """The same today, the bar as warm as when it was last heard."""
        if not document.readings:
            return self
        return self._with(document.readings[-1], self.water(document))

    def water(self, document: BarDocument) -> float | None:
        """Water in a bar today, where anything is known of it. [%]"""
        return water_today(document, self._settled)

    @property
    def _settled(self) -> float | None:
        return None if self.today is None else self.today.moisture_percent

    def _with(self, reading: Reading, moisture_percent: float | None) -> Rooms:
        """The same with a bar as warm as a reading tells, and with as much water as told.

        Wood takes weeks to follow the air, and an hour's humidity says little of its water: it
        has to do where nothing else is known.
        """
        from barmodel.weather import Condition

        warm, humid = reading.temperature_c, reading.humidity_percent
        if warm is None and self.today is not None:
            warm = self.today.temperature_c
        if warm is None:
            return self
        if moisture_percent is not None:
            return replace(self, today=Condition(warm, moisture_percent))
        if humid is None:
            return self
        humid = min(humid, 99.0) / 100.0
        return replace(self, today=Condition.settled(temperature_c=warm, relative_humidity=humid))


def rooms_of(bar_file: Path) -> Rooms:
    """Room and bench of the set a bar belongs to."""
    from barmodel.errors import FileError
    from barmodel.files.set_folder import read_set_folder

    try:
        found = read_set_folder(bar_file.parent)
    except FileError as error:
        caution(f"the rooms of the set are not known: {error}")
        return Rooms(None, None)
    return Rooms(None, None) if found is None else Rooms(found.room, found.bench)


def rooms_today(
    document: BarDocument, rooms: Rooms, room: str | None, bench: str | None, *, told: bool = False
) -> Rooms:
    """Rooms of a bar today, by its set and by what was given on the command line.

    Parameters
    ----------
    document : BarDocument
    rooms : Rooms
        Of its set.
    room, bench : str or None
        As given, before what the set says.
    told : bool
        Whether a word is said where the wood is still far from what the air makes of it.
    """
    if room is not None:
        rooms = replace(rooms, played=read_air(room, "--room"))
    if rooms.played is None and bench is not None:
        raise BadValue("--bench needs --room as well, or a bar in the folder of a set")
    air = rooms.today if bench is None else read_air(bench, "--bench")
    rooms = replace(rooms, today=air)
    water = rooms.water(document)
    if told and air is not None and water is not None and takes_water(document):
        _tell_slow(water, air.moisture_percent)
    if bench is None or air is None or water is None:
        return rooms.now(document)
    return replace(rooms, today=replace(air, moisture_percent=water))


def _tell_slow(water_percent: float, settled_percent: float) -> None:
    """Say that the wood has not followed the air yet, where that is worth a word."""
    if abs(settled_percent - water_percent) < SLOW_PERCENT:
        return
    caution(
        f"its wood is taken to hold {water_percent:.1f} % water, by when it was heard last; in the "
        f"air of the bench it will come to {settled_percent:.1f} % in some weeks, by itself: that "
        "is reckoned with, and nothing is to be cut for it. If the air was written wrongly when it "
        "was heard, cancel those readings and hear it again"
    )


def leave_in(document: BarDocument, rooms: Rooms, *, told: bool) -> Leave | None:
    """Work out what to leave a bar at for its room, by how its species answers."""
    from barmodel.errors import InputError
    from barmodel.weather import offset_to_leave

    if rooms.played is None:
        return None
    if rooms.today is None:
        if told:
            caution("what to leave today is not known: give --bench, as 17/45")
        return None
    try:
        response = response_of(document)
    except InputError as error:
        if told:
            caution(f"what to leave today is not known: {error}")
        return None
    return Leave(offset_to_leave(response, rooms.today, rooms.played), rooms.today, rooms.played)
