"""When nothing meets the target: say which limit stops it, and what would work, having tried it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Literal, NoReturn, TypeAlias

import numpy as np

from barmodel.beam import solve_beam
from barmodel.design.aim import Hit
from barmodel.design.correct import ACCEPT, finish
from barmodel.design.limits import LEAST_LEFT
from barmodel.design.record import Design, NoDesignError, Suggestion
from barmodel.design.request import Request
from barmodel.design.search import improve, make_aim, meet, search
from barmodel.errors import BarModelError
from barmodel.pitch import nearest_note
from barmodel.units import MM

Trials: TypeAlias = Iterator[tuple[Request, Suggestion]]

FACTORS = (0.97, 1.03, 0.94, 1.06, 0.90, 1.10, 0.85, 1.15, 0.78, 1.25, 0.68, 1.4)
"""Lengths and thicknesses tried, over the present one, nearest first."""
LOOSER = (0.95, 0.9, 0.85, 0.8, 0.7, 0.6, 0.5)
"""Least thicknesses and drum radii tried, over the present one."""
NOTES = 14
"""Semitones tried up and down."""
FALL, RISE = 6, 30
"""Semitones about the pitch that the ratios alone ask for: where the highest note is sought."""
NEARBY = (0.0, 0.1, -0.1, 0.2, -0.2, 0.4, -0.4)
"""Ratios tried about where the last mode falls by itself."""


def refuse(
    request: Request, hit: Hit, *, nearly: Design | None = None, advise: bool = True
) -> NoReturn:
    """Raise the error that says what stops the design and what would work.

    Parameters
    ----------
    request : Request
    hit : Hit
        The nearest that was reached on the beam.
    nearly : Design, optional
        A design the beam meets but the last model does not.
    advise : bool
        Whether to look for changes that work.
    """
    suggestions = tuple(_suggest(request, hit)) if advise else ()
    error = hit.error if nearly is None else nearly.cents
    ratios = ":".join(f"{ratio:g}" for ratio in request.target.ratios)
    what = f"ratios {ratios}" if request.ratios_only else f"{request.target.note} with {ratios}"
    reached = ", ".join(f"{cents:+.1f}" for cents in error) + " cents"
    if np.abs(error).max() < 0.05:
        reached = "met, but outside a limit"
    if suggestions:
        end = "tried, and it works: " + "; or ".join(item.text for item in suggestions)
    elif not advise:
        end = "no changes were tried"
    else:
        end = (
            "other lengths, thicknesses, notes and ratios were tried and none works; choose "
            "another blank, or loosen the limits"
        )
    message = (
        f"no {request.family} undercut meets {what} on this blank; nearest: {reached}. "
        f"stopped by: {_stopped(request, hit)}. {end}"
    )
    thin = any(text.startswith(LEAST_LEFT) for text in hit.pressed)
    raise NoDesignError(message, suggestions, np.asarray(error)).if_thinner(thin)


def _stopped(request: Request, hit: Hit) -> str:
    parts = list(hit.pressed)
    if request.fixed:
        free = hit.unknowns.size - len(request.fixed)
        parts.append(f"{', '.join(request.fixed)} held by you, which leaves {free} to move")
    return "; ".join(parts) or "no limit: the shapes of this family do not reach it"


def _suggest(request: Request, hit: Hit) -> Iterator[Suggestion]:
    """Find changes that work, one of each kind."""
    for name in request.fixed:
        free = {key: value for key, value in request.fixed.items() if key != name}
        if works(replace(request, fixed=free), hit):
            yield Suggestion("free", name, f"let the {name} go")
    for kinds in (_limits, _lengths, _thicknesses, _notes, _last_ratio, _fewer_ratios):
        found = _first(kinds(request, hit), hit, every=kinds is _fewer_ratios)
        if found is not None:
            yield found


def _first(trials: Trials, hit: Hit, *, every: bool) -> Suggestion | None:
    for changed, suggestion in trials:
        if works(changed, hit, every=every):
            return suggestion
    return None


def works(request: Request, near: Hit, *, every: bool = False) -> bool:
    """Whether a changed request has a design, by the model that was asked for.

    Parameters
    ----------
    request : Request
    near : Hit
        Where the search for the unchanged request ended; tried first.
    every : bool
        Try all starts of the family, not just the most hopeful one.
    """
    try:
        aim = make_aim(request)
        _, _, met = meet(request, aim, starts=None if every else 1, near=near.unknowns)
        if not met:
            return False
        aim, hit, met = meet(request, aim)  # just as the maker will get it when he follows
        if met and request.model != "beam":
            hit = improve(request, aim, hit)
        return met and bool(np.abs(finish(request, aim, hit).cents).max() <= ACCEPT)
    except BarModelError:
        return False


def _whole_mm(value: float, factor: float) -> float:
    """Round away from the present value, to whole millimetres or halves of them. [m]"""
    step = MM if value > 50 * MM else 0.5 * MM
    wanted = value * factor / step
    return step * (math.floor(wanted) if factor < 1.0 else math.ceil(wanted))


def _limits(request: Request, hit: Hit) -> Trials:
    """Loosen what the search leans on: the least thickness, the drum."""
    limits = request.limits
    for name, words, sign in (
        ("keep", "least thickness", LEAST_LEFT),
        ("drum_radius", "drum radius", "the drum radius"),
    ):
        now = getattr(limits, name)
        if now is None or not any(text.startswith(sign) for text in hit.pressed):
            continue
        for factor in LOOSER:
            value = 0.1 * MM * math.floor(now * factor / (0.1 * MM))
            if value > 0.0:
                text = f"{words} {value / MM:.1f} mm instead of {now / MM:g}"
                changed = replace(request, limits=replace(limits, **{name: value}))
                yield changed, Suggestion(name, value, text)


def _lengths(request: Request, hit: Hit) -> Trials:
    yield from _sizes(request, "length")


def _thicknesses(request: Request, hit: Hit) -> Trials:
    yield from _sizes(request, "thickness")


def _sizes(request: Request, name: Literal["length", "thickness"]) -> Trials:
    now = getattr(request.blank, name)
    for factor in FACTORS:
        value = _whole_mm(now, factor)
        text = f"{name} {value / MM:g} mm instead of {now / MM:g}"
        size: dict[str, Any] = {name: value}
        try:
            blank = replace(request.blank, **size)
            yield replace(request, blank=blank), Suggestion(name, value, text)
        except BarModelError:  # no such blank
            continue


def _notes(request: Request, hit: Hit) -> Trials:
    if request.ratios_only:
        return
    target = request.target
    if len(target.ratios) > 1 and hit.error.max() < 0.0:  # all flat at best: the note is too high
        yield from _highest_notes(request)
        return
    base = target.fundamental_hz * 2.0 ** (-target.offset_cents / 1200.0)
    for semitones in (sign * n for n in range(1, NOTES + 1) for sign in (-1, 1)):
        note, _ = nearest_note(base * 2.0 ** (semitones / 12.0), a4_hz=target.a4_hz)
        text = f"note {note} instead of {target.note} on this blank"
        yield replace(request, target=replace(target, note=note)), Suggestion("note", note, text)


def _highest_notes(request: Request) -> Trials:
    """Notes that the beam reaches below one that is too high, the highest first.

    The ratios alone tell a pitch that can be had; from there it goes up until nothing is found.
    """
    target = request.target
    sketch = replace(request, ratios_only=True, model="beam")
    hit, _ = search(sketch, make_aim(sketch))  # near is enough to know where to look
    base = float(hit.modes.hz[0]) * 2.0 ** (-target.offset_cents / 1200.0)
    reached: list[tuple[Request, Suggestion]] = []
    for semitones in range(-FALL, RISE):
        note, _ = nearest_note(base * 2.0 ** (semitones / 12.0), a4_hz=target.a4_hz)
        changed = replace(request, target=replace(target, note=note))
        if changed.target.fundamental_hz >= target.fundamental_hz:
            break
        if works(replace(changed, model="beam"), hit):
            text = f"note {note} on this blank, the highest found"
            reached.append((changed, Suggestion("note", note, text)))
        elif reached:
            break
    yield from reversed(reached)


def _last_ratio(request: Request, hit: Hit) -> Trials:
    """Let the last mode fall where the others put it, then aim there."""
    target = request.target
    fewer = target.ratios[:-1]
    if len(fewer) < (2 if request.ratios_only else 1):
        return
    shorter = replace(request, target=replace(target, ratios=fewer))
    aim = make_aim(shorter)
    hit, met = search(shorter, aim)
    if not met:
        return
    hz = solve_beam(hit.modes.bar, count=len(target.ratios)).hz
    natural = float(hz[-1] / hz[0])
    for last in sorted((round(natural + d, 1) for d in NEARBY), key=lambda r: abs(r - natural)):
        if last > fewer[-1]:
            ratios = (*fewer, last)
            yield _with_ratios(request, ratios, f"ratios {_shown(ratios)}")


def _fewer_ratios(request: Request, hit: Hit) -> Trials:
    """Leave the last ratio out: what the high notes of every set do."""
    ratios = request.target.ratios
    for count in range(len(ratios) - 1, 1 if request.ratios_only else 0, -1):
        kept = ratios[:count]
        text = f"tune only {_shown(kept)}" if count > 1 else "tune the first mode alone"
        yield _with_ratios(request, kept, text)


def _with_ratios(
    request: Request, ratios: tuple[float, ...], text: str
) -> tuple[Request, Suggestion]:
    changed = replace(request, target=replace(request.target, ratios=ratios))
    return changed, Suggestion("ratios", _shown(ratios), text)


def _shown(ratios: tuple[float, ...]) -> str:
    return ":".join(f"{ratio:g}" for ratio in ratios)
