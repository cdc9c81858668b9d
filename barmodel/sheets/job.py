"""What a set of sheets is about: everything the pages draw from, in the library's own nouns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import InputError
from barmodel.holes import CordHole, check_hole
from barmodel.pitch import Target
from barmodel.sheets.finer import where_it_bends, where_it_is_cut
from barmodel.sheets.stations import Station, stations, thickness_at
from barmodel.undercut.outline import cut_span, thinnest
from barmodel.undercut.piece import Array
from barmodel.units import MM

SEEN = 2 * MM
"""Wood thicker than this can be seen in a view of full scale. [m]"""

Kind: TypeAlias = Literal["design", "blank", "remaining", "cut"]
KINDS = ("design", "blank", "remaining", "cut")


@dataclass(frozen=True, slots=True, kw_only=True)
class LastReading:
    """What was heard last.

    Attributes
    ----------
    date : str
    hz : tuple of float or None
        Bending modes; None for one not heard. [Hz]
    cents : tuple of float or None
        Above what they are to be that day. [cents]
    in_tune : bool
        Whether every tuned mode was heard within its tolerance.
    fresh : bool
        Whether nothing has been cut since.
    """

    date: str
    hz: tuple[float | None, ...]
    cents: tuple[float | None, ...] = ()
    in_tune: bool = False
    fresh: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One bar, and what its papers shall show.

    Attributes
    ----------
    name : str
        Name of the bar.
    aim : Bar
        The bar as designed, or as it shall be drawn.
    now : Bar, optional
        The bar as it is; needed for `remaining` and `cut`.
    kind : {"design", "blank", "remaining", "cut"}
        The finished underside; marks for an uncut blank; what is left to remove; one cut of
        many, after which `aim` is what is left.
    rough : Bar, optional
        The bar after the first, rough cut, which stops short of the design.
    whole : bool
        Whether the design is not to be cut in one go, even where nobody knows yet where the
        first cut stops.
    trim : (float, float)
        What a cut saws off the left and the right end; `now` and `aim` still have it. [m]
    target : Target, optional
    wood, date : str
        For the title block.
    nodes, nodes_now : tuple of float
        Still points of mode 1 when tuned, and now. [m]
    holes : tuple of CordHole
    every : float
        Distance between stations. [m]
    cutter : float
        Diameter of the router bit the stops are for. [m]
    router : bool
        Whether a router may make it; a drum's or a scraper's cut has no passes.
    designed : bool
        Whether `aim` is a design; otherwise there is nothing to cut.
    reading : LastReading, optional
    lies : str
        How the bar lies in the view from above.
    today : str
        Why a tuner must show something else than the target today; stands on the tuning card.
    today_hz : tuple of float
        What it must show, mode by mode; empty where that is the target. [Hz]
    notes : tuple of str
        Remarks and cautions of the caller, printed with the tables.
    """

    name: str
    aim: Bar
    now: Bar | None = None
    kind: Kind = "design"
    target: Target | None = None
    wood: str = ""
    date: str = ""
    nodes: tuple[float, ...] = ()
    nodes_now: tuple[float, ...] = ()
    holes: tuple[CordHole, ...] = ()
    every: float = 10 * MM
    cutter: float = 12 * MM
    router: bool = True
    designed: bool = True
    rough: Bar | None = None
    whole: bool = False
    trim: tuple[float, float] = (0.0, 0.0)
    reading: LastReading | None = None
    lies: str = "Lower edge: front"
    today: str = ""
    today_hz: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise InputError(f"sheet of kind {self.kind!r} is unknown; use {', '.join(KINDS)}")
        if self.partial:
            if self.now is None:
                raise InputError("sheet of what is to be cut: the bar as it is now is missing")
            if abs(self.now.blank.length - self.aim.blank.length) > 0.01 * MM:
                raise InputError(
                    f"the bar is now {self.now.blank.length / MM:g} mm long, the design "
                    f"{self.aim.blank.length / MM:g} mm; design anew for the trimmed length"
                )
        stations(self.length, self.every)
        if not self.cutter > 0.0:
            raise InputError(f"router bit of {self.cutter / MM:g} mm: give its diameter")
        for hole in self.holes:
            check_hole(self.aim, hole)

    @property
    def partial(self) -> bool:
        """Whether depths count from the surface that is there now."""
        return self.kind in ("remaining", "cut")

    @property
    def stop(self) -> Bar | None:
        """Where the first cut stops, on paper of the whole design."""
        return self.rough if self.kind == "design" else None

    @property
    def length(self) -> float:
        """Length of the bar as it is drawn, before anything is sawn off. [m]"""
        return self.aim.blank.length

    @property
    def places(self) -> tuple[Station, ...]:
        """Stations along the bar."""
        return stations(self.length, self.every, (*self.cut_at, *self._bends_at))

    @property
    def _bends_at(self) -> tuple[float, ...]:
        """Places where the underside bends; a bar in tuning has too many, the cut's own do."""
        if not self.designed or self.is_fine:
            return ()
        return where_it_bends(self.aim.profile, self.every)

    @property
    def is_fine(self) -> bool:
        """Whether so little is to be cut that tenths of a millimetre do not tell it."""
        if not self.partial or self.now is None:
            return False
        x = np.linspace(0.0, self.length, round(self.length / (0.5 * MM)) + 1)
        rest = thickness_at(self.now.profile, x) - thickness_at(self.aim.profile, x)
        return bool(np.abs(rest).max() < SEEN)

    @property
    def cut_at(self) -> tuple[float, ...]:
        """Ends and middles of what one cut takes, from the nearer end. [m]"""
        if self.kind != "cut" or self.now is None:
            return ()
        x = np.linspace(0.0, self.length, round(self.length / (0.5 * MM)) + 1)
        rest = thickness_at(self.now.profile, x) - thickness_at(self.aim.profile, x)
        return where_it_is_cut(x, rest)

    @property
    def span(self) -> tuple[float, float] | None:
        """Where the undercut begins and ends. [m]"""
        return cut_span(self.aim.profile)

    @property
    def in_tune(self) -> bool:
        """Whether the bar was heard in tune and has not been touched since."""
        return self.reading is not None and self.reading.in_tune and self.reading.fresh

    def depths(self) -> Array:
        """Depth to cut at each station, from the surface that is there now. [m]"""
        x = np.array([place.x for place in self.places])
        if self.partial and self.now is not None:
            return thickness_at(self.now.profile, x) - thickness_at(self.aim.profile, x)
        return self.aim.blank.thickness - thickness_at(self.aim.profile, x)

    def thicknesses(self) -> Array:
        """Thickness to be left at each station. [m]"""
        return thickness_at(self.aim.profile, np.array([place.x for place in self.places]))

    def thicknesses_at_stop(self) -> Array:
        """Thickness at each station where the first cut stops, or the aim if it does not. [m]"""
        bar = self.stop or self.aim
        return thickness_at(bar.profile, np.array([place.x for place in self.places]))

    @property
    def thinnest(self) -> tuple[float, float]:
        """Place of the least thickness when done, and that thickness. [m]"""
        return thinnest(self.aim.profile)
