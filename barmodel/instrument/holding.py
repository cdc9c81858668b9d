"""Which bars hold the others back, and why their lengths cannot give way.

Lengths that would lie straighter are often barred by a few notes: three modes that want a short
bar, a drum that does not fit into a high one. Naming them tells a maker what to change.
"""

from __future__ import annotations

from collections.abc import Iterator

from barmodel.design import Request
from barmodel.design.search import make_aim, search
from barmodel.errors import BarModelError
from barmodel.instrument.blueprint import Blueprint
from barmodel.instrument.trial import request_for, trial_of
from barmodel.instrument.window import room_left, thickest_centre, thinnest_centre
from barmodel.pitch import note_of
from barmodel.units import MM

AT = 0.2 * MM
"""Distance from a bound at which a length counts as held by it. [m]"""
BEYOND = 0.03
"""How far past the bound is looked for the reason, as a share of the length. [1]"""


def held_back(blueprint: Blueprint) -> tuple[str, ...]:
    """Say which bars stand at the edge of what suits them, and what bars the way beyond.

    Parameters
    ----------
    blueprint : Blueprint

    Returns
    -------
    tuple of str
        One for each run of bars with the same reason, as "A6 to C7 no shorter: the drum radius".
    """
    told: dict[str, list[int]] = {}
    for semitone, way in _at_bounds(blueprint):
        told.setdefault(f"no {way}: {_reason(blueprint, semitone, way)}", []).append(semitone)
    return tuple(
        f"{_spoken(notes)} {text}{_at_change(blueprint, notes)}" for text, notes in told.items()
    )


def _at_change(blueprint: Blueprint, notes: list[int]) -> str:
    """A change of the ratios beside these bars, which bends the curve of lengths on both sides."""
    plan = blueprint.plan
    for lower in sorted({n + d for n in notes for d in (-1, 0)} & set(plan.semitones[:-1])):
        if plan.target(lower).ratios != plan.target(lower + 1).ratios:
            pair = f"{note_of(lower)} and {note_of(lower + 1)}"
            return (
                f"; the ratios change between {pair}, and lengths must suit both: move the change, "
                "or let it go"
            )
    return ""


def _at_bounds(blueprint: Blueprint) -> Iterator[tuple[int, str]]:
    lengths, plan = blueprint.lengths, blueprint.plan
    for i, semitone in enumerate(plan.semitones):
        if lengths.length[i] - lengths.shortest[i] < AT:
            yield semitone, "shorter"
        if lengths.longest[i] - lengths.length[i] < AT:
            yield semitone, "longer"


def _reason(blueprint: Blueprint, semitone: int, way: str) -> str:
    """Search a little past the bound, and say what it comes to or runs into."""
    plan, i = blueprint.plan, semitone - blueprint.plan.lowest
    if semitone in plan.lengths.given:
        return "its length is given"
    if semitone in blueprint.held_sawn:
        return "it is sawn"
    factor = 1.0 - BEYOND if way == "shorter" else 1.0 + BEYOND
    length = float(blueprint.lengths.length[i]) * factor
    request = request_for(
        plan,
        semitone,
        length,
        wood=blueprint.wood(semitone),
        fixed=blueprint.held[i],
        begin=blueprint.begin[i],
    )
    return _met_or_not(blueprint, request)


def _met_or_not(blueprint: Blueprint, request: Request) -> str:
    plan = blueprint.plan
    modes = len(request.target.ratios)
    asked = "one mode" if modes == 1 else f"{modes} modes"
    try:
        aim = make_aim(request)
        hit, met = search(request, aim)
    except BarModelError as error:
        return str(error)
    if not met:
        limits = " and ".join(hit.pressed) or "no undercut of this family"
        return f"{asked} would press on {limits}"
    room = room_left(plan, trial_of(aim, hit))
    names = (
        f"its middle would be thinner than {thinnest_centre(plan) / MM:.1f} mm",
        f"its middle would be thicker than {thickest_centre(plan) / MM:.1f} mm",
        f"{asked} would make its arch a box",
        f"{asked} would make its arch a notch",
    )
    worst = min(range(len(room)), key=lambda k: room[k])
    return names[worst] if room[worst] < 0.0 else "as far as lengths may be adjusted"


def _spoken(notes: list[int]) -> str:
    """Name notes, runs of neighbours by their ends."""
    runs: list[list[int]] = []
    for note in notes:
        if runs and note == runs[-1][-1] + 1:
            runs[-1].append(note)
        else:
            runs.append([note])
    return ", ".join(
        note_of(run[0]) if len(run) == 1 else f"{note_of(run[0])} to {note_of(run[-1])}"
        for run in runs
    )
