"""What a maker says of a whole instrument, in SI; the set file holds the same in millimetres."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np

from barmodel.design import FAMILIES, Limits
from barmodel.errors import InputError
from barmodel.holes import WIDEST
from barmodel.instrument.planks import Plank
from barmodel.instrument.record import fingerprint
from barmodel.pitch import A4_HZ, Target, check_a4, note_of, note_semitone
from barmodel.units import MM
from barmodel.weather import Condition
from barmodel.wood import Wood

MOST_BARS = 97
"""Eight octaves; a longer range is a slip."""
T = TypeVar("T")

ACCIDENTALS = frozenset({1, 3, 6, 8, 10})


def is_accidental(semitone: int) -> bool:
    """Whether a note lies in the rear row."""
    return semitone % 12 in ACCIDENTALS


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthRule:
    """How the lengths of the bars are found.

    Attributes
    ----------
    given : mapping of int to float
        Lengths by semitone that the maker holds; the curve goes through them. [m]
    along : {"notes", "place"}
        Whether lengths run evenly from note to note, or along the row, so that the ends of the
        bars of a row lie in a line.
    least_centre, most_centre : float, optional
        Bounds wished for the centre thickness; what `limits.keep` leaves, and two thirds of the
        stock, by default. [m]
    adjust : float
        How far a length may leave its wish for the sake of straight rails, as a share. [1]
    """

    given: Mapping[int, float] = field(default_factory=dict)
    along: str = "notes"
    least_centre: float | None = None
    most_centre: float | None = None
    adjust: float = 0.3

    def __post_init__(self) -> None:
        if self.along not in ("notes", "place"):
            raise InputError(f"lengths run along {self.along!r}; use notes or place")
        if not 0.0 <= self.adjust <= 0.5:
            raise InputError(f"lengths may be adjusted by {self.adjust:g}; give 0 to 0.5")
        for low, high in itertools.pairwise(sorted(self.given)):
            if self.given[high] >= self.given[low]:
                raise InputError(
                    f"given length of {note_of(high)} ({self.given[high] / MM:g} mm) is not below "
                    f"that of {note_of(low)} ({self.given[low] / MM:g} mm); higher bars are shorter"
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class RailRule:
    """How the bars lie on their cords.

    Attributes
    ----------
    gap : float
        Between neighbouring bars of a row. [m]
    hole_diameter : float
        0 for bars without holes. [m]
    lean : tuple of float
        For naturals and accidentals: share of the narrowing taken by the cord at the player's
        end; 0.5 lets both cords run in alike, 0 leaves that cord square to the bars. [1]
    """

    gap: float = 8.0 * MM
    hole_diameter: float = 6.4 * MM
    lean: tuple[float, float] = (0.5, 0.5)

    def __post_init__(self) -> None:
        if not 0.0 <= self.gap <= 0.1:
            raise InputError(f"gap between bars is {self.gap / MM:g} mm; give 0 to 100 mm")
        if not 0.0 <= self.hole_diameter <= WIDEST:
            raise InputError(
                f"hole of {self.hole_diameter / MM:g} mm; give up to {WIDEST / MM:g} mm"
            )
        if not all(0.0 <= share <= 1.0 for share in self.lean):
            raise InputError("lean of a rail must be 0 to 1; 0.5 lets both cords run in alike")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPlan:
    """A whole instrument, before anything is computed.

    Attributes
    ----------
    name : str
    lowest, highest : int
        Semitones above C0, both included.
    a4_hz : float
    ratios : mapping of int to tuple of float
        Ratios tuned from this semitone up.
    widths : mapping of int to float
        Width from this semitone up. [m]
    stretch : mapping of int to float
        Cents above equal temperament at this semitone, straight between. [cent]
    thickness : float
        Of the planed stock. [m]
    wood : Wood
        Of bars that no plank is named for.
    family : str
    limits : Limits
    clear : bool
        Prefer shapes without torsional or lateral clashes; node lines may become uneven.
    lengths : LengthRule
    rails : RailRule
    room, bench : Condition, optional
        Where it will be played; where the bars are tuned today.
    planks : tuple of Plank
    remarks : tuple of str
        What was found doubtful while the plan was read, such as a plank left out.
    board_length, board_width : float, optional
        Boards the blanks are cut from where no planks are listed. [m]
    kerf, spare : float
        Lost by each saw cut; added to the length of each blank. [m]
    """

    name: str
    lowest: int
    highest: int
    a4_hz: float = A4_HZ
    ratios: Mapping[int, tuple[float, ...]]
    widths: Mapping[int, float]
    stretch: Mapping[int, float] = field(default_factory=dict)
    thickness: float
    wood: Wood
    family: str = "arch"
    limits: Limits = field(default_factory=Limits)
    clear: bool = False
    lengths: LengthRule = field(default_factory=LengthRule)
    rails: RailRule = field(default_factory=RailRule)
    room: Condition | None = None
    bench: Condition | None = None
    planks: tuple[Plank, ...] = ()
    remarks: tuple[str, ...] = ()
    board_length: float | None = None
    board_width: float | None = None
    kerf: float = 3.0 * MM
    spare: float = 10.0 * MM

    def __post_init__(self) -> None:
        check_a4(self.a4_hz)
        if not 0 <= self.highest - self.lowest < MOST_BARS:
            turned = "; were they exchanged?" if self.highest < self.lowest else ""
            raise InputError(
                f"range {note_of(self.lowest)} to {note_of(self.highest)}: the highest note must "
                f"not lie below the lowest, and at most {MOST_BARS} bars make a set{turned}"
            )
        if self.family not in FAMILIES:
            raise InputError(f"family {self.family!r} is unknown; use {', '.join(FAMILIES)}")
        for what, table in (("ratios", self.ratios), ("width", self.widths)):
            if not table or min(table) > self.lowest:
                first = f"; the first entry is for {note_of(min(table))}" if table else ""
                raise InputError(
                    f"{what} of {note_of(self.lowest)} is not given{first}; each entry holds from "
                    "its note upward, so begin at the lowest note"
                )
        if any(not 0.005 <= width <= 0.3 for width in self.widths.values()):
            raise InputError("width of a bar must be 5 to 300 mm")
        if not self.limits.keep < self.thickness:
            raise InputError(
                f"least thickness {self.limits.keep / MM:g} mm is not below the stock's "
                f"{self.thickness / MM:g} mm; nothing could be cut"
            )
        names = [plank.name for plank in self.planks]
        if len(set(names)) != len(names):
            twice = next(name for name in names if names.count(name) > 1)
            raise InputError(f"two planks are called {twice}; give each a name of its own")
        for semitone in self.semitones:  # ratios and pitches that cannot be are refused here
            self.target(semitone)

    @property
    def semitones(self) -> tuple[int, ...]:
        """Every note of the set, from the lowest."""
        return tuple(range(self.lowest, self.highest + 1))

    @property
    def digest(self) -> str:
        """Fingerprint of all that lengths and planks depend on."""
        return fingerprint(replace(self, name="", room=None, bench=None, clear=False, remarks=()))

    def target(self, semitone: int) -> Target:
        """What a bar is tuned to."""
        return Target(
            note=note_of(semitone),
            a4_hz=self.a4_hz,
            ratios=from_note_up(self.ratios, semitone),
            offset_cents=self.stretch_cents(semitone),
        )

    def width(self, semitone: int) -> float:
        """Width of a bar. [m]"""
        return from_note_up(self.widths, semitone)

    def stretch_cents(self, semitone: int) -> float:
        """Stretch at a note: straight between those given, level beyond. [cent]"""
        if not self.stretch:
            return 0.0
        known = sorted(self.stretch)
        return float(np.interp(semitone, known, [self.stretch[note] for note in known]))


def from_note_up(table: Mapping[int, T], semitone: int) -> T:
    """Entry of the highest note that is not above `semitone`."""
    return table[max(note for note in table if note <= semitone)]


def semitones_of(table: Mapping[str, T], what: str) -> dict[int, T]:
    """Turn a table by note names into one by semitones, ascending; errors call it `what`.

    Raises
    ------
    InputError
        If a name is no note, or a note stands twice under two names.
    """
    found: dict[int, T] = {}
    for name, value in table.items():
        semitone = note_semitone(name)
        if semitone in found:
            raise InputError(f"{what}: {name} stands twice, perhaps under two names; keep one")
        found[semitone] = value
    return dict(sorted(found.items()))
