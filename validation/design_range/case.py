"""Designs over the whole range of a five-octave set: met, or refused with help that helps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from barmodel.bar import Blank
from barmodel.beam import solve_beam
from barmodel.design import FAMILIES, NoDesignError, Request, Suggestion, find
from barmodel.errors import BarModelError
from barmodel.modes import Model, solve
from barmodel.pitch import Target, note_of, parse_ratios
from barmodel.units import MM
from barmodel.wood import species
from validation.check import Check

TITLE = "Designs from C2 to C7"
SLOW = True
ABOUT = """\
Blanks of usual marimba sizes in three woods, 1:4:10 below C5, 1:4 to C6, the first mode alone
above; every family. Each undercut that was found is solved anew, by the beam and by the solid,
and its worst tuned mode is compared with the target. Where a design is refused, every change
that the refusal offers is followed, and must lead to a design. By default every second C and C7 are
taken, at full size every semitone. The negative control makes one design 0.05 mm deeper."""

WOODS = ("honduran rosewood", "padauk", "sugar maple")
SIZES = {
    36: (575.0, 76.0, 23.5),
    45: (495.0, 67.0, 23.5),
    48: (467.0, 63.0, 23.5),
    60: (372.0, 53.0, 22.0),
    72: (290.0, 46.0, 22.0),
    84: (227.0, 42.0, 22.0),
    96: (187.0, 39.5, 22.0),
}
"""Length, width, thickness by semitone: middles of usual ranges (from memory). [mm]"""
LOWEST, HIGHEST, C5, C6 = 36, 96, 72, 84
ON_BEAM, BY_SOLID = 0.01, 0.5
LAST_WORD: dict[Model, float] = {"beam": ON_BEAM, "best": BY_SOLID}
SOURCE = "ISO 16:1975 and equal temperament, times the ratios asked for"


@dataclass(slots=True)
class Tally:
    """Worst of a wood and family."""

    met: int = 0
    refused: int = 0
    worst: float = 0.0
    helpless: int = 0


def request_for(semitone: int, wood: str, family: str, model: Model) -> Request:
    """Ask for the design of one note on its blank."""
    known = sorted(SIZES)
    length, width, thickness = (
        float(np.interp(semitone, known, [SIZES[k][i] for k in known])) for i in range(3)
    )
    blank = Blank(
        length=round(length) * MM,
        width=round(width) * MM,
        thickness=thickness * MM,
        wood=species(wood).wood(),
    )
    ratios = (1.0, 4.0, 10.0) if semitone < C5 else (1.0, 4.0) if semitone <= C6 else (1.0,)
    note = note_of(semitone - 12)
    target = Target(note, ratios=ratios)
    return Request(blank=blank, target=target, family=family, model=model)


def followed(request: Request, offer: Suggestion) -> Request:
    """Do as a suggestion says."""
    value = offer.value
    changed: dict[str, Any] = {offer.change: value}
    if offer.change in ("length", "thickness"):
        return replace(request, blank=replace(request.blank, **changed))
    if offer.change in ("keep", "drum_radius"):
        return replace(request, limits=replace(request.limits, **changed))
    if offer.change == "note":
        return replace(request, target=replace(request.target, note=str(value)))
    if offer.change == "ratios":
        ratios = parse_ratios(str(value))
        return replace(request, target=replace(request.target, ratios=ratios))
    fixed = {name: held for name, held in request.fixed.items() if name != value}
    return replace(request, fixed=fixed)


def try_one(request: Request, tally: Tally) -> None:
    """Design, or follow what the refusal offers."""
    try:
        design = find(request)
    except NoDesignError as refusal:
        tally.refused += 1
        tally.helpless += not refusal.suggestions
        for offer in refusal.suggestions:
            try:
                find(followed(request, offer), advise=False)
            except BarModelError:
                tally.helpless += 1
        return
    tally.met += 1
    count = len(request.target.ratios)
    if request.model == "beam":
        hz = solve_beam(design.bar, count=count).hz
    else:
        hz = solve(design.bar, count=count, families=["bending"]).bending_hz
    tally.worst = max(tally.worst, float(np.abs(request.target.cents(hz)).max()))


def checks(*, full: bool = False) -> list[Check]:
    semitones = sorted({*range(LOWEST, HIGHEST + 1, 1 if full else 24), HIGHEST})
    found: list[Check] = []
    for wood in WOODS:
        for family in FAMILIES:
            for model, tolerance in LAST_WORD.items():
                tally = Tally()
                for semitone in semitones:
                    try_one(request_for(semitone, wood, family, model), tally)
                found += _judged(f"{wood}, {family}, {model}", tally, tolerance)
    return found


def _judged(name: str, tally: Tally, tolerance: float) -> Iterator[Check]:
    yield Check(
        key=f"{name}: worst tuned mode from target",
        expected=0.0,
        computed=tally.worst if tally.met else float("nan"),
        tolerance=tolerance,
        unit="cent",
        source=SOURCE,
        tag="published",
        reason="a design on the beam is met to 0.01 cent; the solid's own error to 0.5 cent",
    )
    yield Check(
        key=f"{name}: refusals without help, or with help that fails",
        expected=0.0,
        computed=float(tally.helpless),
        tolerance=0.0,
        unit="",
        source="own rule: an offer has been tried before it is made",
        tag="recomputed independently",
        reason="a maker cuts by it",
    )


def negative_control() -> list[Check]:
    """One arch and one stair, 0.05 mm deeper than designed."""
    found: list[Check] = []
    for family in ("arch", "steps"):
        request = request_for(60, WOODS[0], family, "beam")
        design = find(request)
        first = design.bar.undercut[0]
        deeper = first.with_depth(first.deepest + 0.05 * MM)
        bar = replace(design.bar, undercut=(deeper, *design.bar.undercut[1:]))
        error = request.target.cents(solve_beam(bar, count=3).hz)
        tally = Tally(met=1, worst=float(np.abs(error).max()))
        found += _judged(family, tally, BY_SOLID)
    return found
