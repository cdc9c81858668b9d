"""Which notes a blank of this wood and size can become, by the beam."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import Blank
from barmodel.design.aim import shoot
from barmodel.design.request import Request
from barmodel.design.search import make_aim, search
from barmodel.errors import BarModelError
from barmodel.pitch import Target, note_of, note_semitone
from barmodel.undercut.piece import Array

REACH = 36
"""Semitones that are walked from where the search began."""
DOWN, STRIDE = 20, 3
"""Semitones down over which a first note is sought, and every which. [1]"""
MOST_RATIOS = 3
CLOSE_STEPS = 12
ROUGH_CENTS = 1.0
"""Error of the beam that counts as met; its own is some tens. [cent]"""


@dataclass(frozen=True, slots=True)
class Note:
    """One note the blank can become.

    Attributes
    ----------
    note : str
    semitone : int
        Above C0.
    least : float
        Thickness left where it is thinnest. [m]
    """

    note: str
    semitone: int
    least: float


def notes_for(blank: Blank, target: Target) -> tuple[Note, ...]:
    """Find the notes at which an arch meets the ratios and leaves the bar thick enough.

    Parameters
    ----------
    blank : Blank
    target : Target
        Its ratios (the first three), pitch standard and offset hold for every note.

    Returns
    -------
    tuple of Note
        From low to high, without a gap; empty if there is none.
    """
    target = replace(target, ratios=target.ratios[:MOST_RATIOS])
    request = Request(blank=blank, target=target)
    begun = _begun(request)
    if begun is None:
        return ()
    first, unknowns = begun
    below = list(_walk(request, range(first, first - REACH, -1), unknowns))
    above = list(_walk(request, range(first + 1, first + REACH), unknowns))
    return (*reversed(below), *above)


def _begun(request: Request) -> tuple[int, Array] | None:
    """A note that can be, and the unknowns there.

    Where the first two ratios are met by some arch the pitch comes out as it will; the search
    goes down from there.
    """
    target = request.target
    pair = replace(target, ratios=target.ratios[:2])
    free = replace(request, target=pair, ratios_only=len(pair.ratios) > 1)
    try:
        hit, _met = search(free, make_aim(free))
        away = 12.0 * np.log2(float(np.real(hit.modes.hz[0])) / target.hz[0])
        top = note_semitone(target.note) + int(np.floor(away))
        for semitone in range(top, top - DOWN, -STRIDE):
            wanted = replace(request, target=replace(target, note=note_of(semitone)))
            hit = shoot(make_aim(wanted), hit.unknowns, tolerance=ROUGH_CENTS)
            if hit.met:
                return semitone, hit.unknowns
    except BarModelError:
        return None
    return None


def _walk(request: Request, semitones: Iterable[int], unknowns: Array) -> Iterator[Note]:
    """Go on semitone by semitone until one cannot be, or leaves the bar too thin."""
    for semitone in semitones:
        try:
            target = replace(request.target, note=note_of(semitone))
            aim = make_aim(replace(request, target=target))
            hit = shoot(aim, unknowns, most=CLOSE_STEPS, tolerance=ROUGH_CENTS)
        except BarModelError:
            return
        least = float(np.real(hit.modes.bar.profile.least_thickness()[0]))
        if not hit.met or least < request.caution:
            return
        unknowns = hit.unknowns
        yield Note(note_of(semitone), semitone, least)
