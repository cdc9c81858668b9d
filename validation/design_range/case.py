"""Designs over the whole range of a five-octave set: met, or refused with help that helps."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import Any, TypeAlias

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.beam import solve_beam
from barmodel.design import FAMILIES, NoDesignError, Request, Suggestion, find
from barmodel.errors import BarModelError
from barmodel.modes import Model, solve
from barmodel.pitch import Target, note_of, parse_ratios
from barmodel.units import MM
from barmodel.wood import species
from validation.check import Check, Controls

TITLE = "Designs from C2 to C7"
SLOW = True
ABOUT = """\
Blanks of usual marimba sizes in three woods, 1:4:10 below C5, 1:4 to C6, the first mode alone
above; every family. Each undercut that was found is solved anew, by the beam and by the solid,
and its worst tuned mode is compared with the target. Where a design is refused, every change
that the refusal offers is followed, and must lead to a design. By default every second C and C7 are
taken, at full size every semitone. On these blanks little is refused, so that every family is asked
for C4 on a blank a quarter too long as well, which must be."""

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
LOWEST, C4, C5, C6, HIGHEST = 36, 60, 72, 84, 96
ON_BEAM, BY_SOLID = 0.01, 0.5
LAST_WORD: dict[Model, float] = {"beam": ON_BEAM, "best": BY_SOLID}
Follow: TypeAlias = Callable[[Request, Suggestion], Request]
"""What is done with an offer."""


@dataclass(slots=True)
class Refused:
    """What became of the designs that were refused."""

    times: int = 0
    offers: int = 0
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


def too_long(family: str, model: Model) -> Request:
    """Ask for C4 on a blank a quarter too long, which no undercut can bring so high."""
    request = request_for(C4, WOODS[0], family, model)
    longer = replace(request.blank, length=1.25 * request.blank.length)
    return replace(request, blank=longer)


def unfollowed(request: Request, _: Suggestion) -> Request:
    """Leave everything as it is."""
    return request


def off_target(request: Request, bar: Bar) -> float:
    """Worst tuned mode of an undercut, solved anew. [cent]"""
    count = len(request.target.ratios)
    if request.model == "beam":
        hz = solve_beam(bar, count=count).hz
    else:
        hz = solve(bar, count=count, families=["bending"]).bending_hz
    return float(np.abs(request.target.cents(hz)).max())


def checks(*, full: bool = False) -> list[Check]:
    semitones = sorted({*range(LOWEST, HIGHEST + 1, 1 if full else 24), HIGHEST})
    found: list[Check] = []
    for family, model in product(FAMILIES, LAST_WORD):
        refused = Refused()
        for wood in WOODS:
            worst = []
            for semitone in semitones:
                request = request_for(semitone, wood, family, model)
                if bar := _designed(request, refused):
                    worst.append(off_target(request, bar))
            found.append(_on_target(wood, family, model, max(worst, default=math.nan)))
        _heed(too_long(family, model), _offers(family, model), refused)
        found.append(_helped(family, model, refused))
    return found


def negative_controls() -> Controls:
    deeper, unheeded = [], []
    for family, model in product(FAMILIES, LAST_WORD):
        for wood in WOODS:
            request = request_for(C4, wood, family, model)
            bar = _deeper(find(request, advise=False).bar)
            deeper.append(_on_target(wood, family, model, off_target(request, bar)))
        refused = Refused()
        first = _offers(family, model)[:1]
        _heed(too_long(family, model), first, refused, follow=unfollowed)
        unheeded.append(_helped(family, model, refused))
    return {
        "the first cut of every C4 0.05 mm deeper than designed": deeper,
        "the first offer of each refusal not followed": unheeded,
    }


def _deeper(bar: Bar) -> Bar:
    first, *others = bar.undercut
    return replace(bar, undercut=(first.with_depth(first.deepest + 0.05 * MM), *others))


def _designed(request: Request, refused: Refused) -> Bar | None:
    """Design, or do what the refusal offers."""
    try:
        return find(request).bar
    except NoDesignError as refusal:
        _heed(request, refusal.suggestions, refused)
    return None


def _heed(
    request: Request, offers: Sequence[Suggestion], refused: Refused, *, follow: Follow = followed
) -> None:
    """Follow every offer, and count where that leads nowhere."""
    refused.times += 1
    refused.offers += len(offers)
    refused.helpless += not offers
    for offer in offers:
        try:
            find(follow(request, offer), advise=False)
        except BarModelError:
            refused.helpless += 1


@cache
def _offers(family: str, model: Model) -> tuple[Suggestion, ...]:
    """What is offered to one who asks too much of a blank."""
    try:
        find(too_long(family, model))
    except NoDesignError as refusal:
        return tuple(refusal.suggestions)
    raise AssertionError("a blank a quarter too long was not refused")


def _on_target(wood: str, family: str, model: Model, worst: float) -> Check:
    return Check(
        key=f"{wood}, {family}, {model}: worst tuned mode from target",
        expected=0.0,
        computed=worst,
        tolerance=LAST_WORD[model],
        unit="cent",
        source="ISO 16:1975 and equal temperament, times the ratios asked for",
        tag="published",
        reason="a design on the beam is met to 0.01 cent; the solid's own error to 0.5 cent",
    )


def _helped(family: str, model: Model, refused: Refused) -> Check:
    return Check(
        key=f"{family}, {model}: refusals without help, or with help that fails",
        expected=0.0,
        computed=float(refused.helpless),
        tolerance=0.0,
        unit="",
        source="own rule: an offer has been tried before it is made",
        tag="recomputed independently",
        reason=f"a maker cuts by it; refused {refused.times}, offers followed {refused.offers}",
    )
