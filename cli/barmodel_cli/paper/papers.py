"""From a bar file to what its sheets show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from barmodel_cli.bench.drilling import (
    Drilling,
    Effect,
    effect_of_holes,
    holes_asked,
    said_of_holes,
    said_of_none,
)

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument
    from barmodel.pitch import Target
    from barmodel.sheets import Job, LastReading
    from barmodel_cli.bench.today import Today
    from barmodel_cli.paper.first_cut import FirstCut


def paper_job(
    document: BarDocument,
    kind: Any,
    every: float,
    cutter: float,
    drilling: Drilling,
    today: Today,
    *,
    first: FirstCut | None = None,
) -> tuple[Job, Effect]:
    """Gather what the sheets of a bar show, and what its holes do. Lengths in mm."""
    from datetime import date

    from barmodel.files import bar_as_is, target_of
    from barmodel.modes import solve
    from barmodel.sheets import Job
    from barmodel.units import MM

    now, target = bar_as_is(document), target_of(document.target)
    heard = heard_last(document, today)
    aim, notes = _aim(document, now, kind, heard)
    modes = solve(aim, count=max(3, len(document.target.ratios)), families=("bending",))
    still = tuple(float(x) for x in modes.nodes[0])
    said = () if first is None else first.said
    designed = document.design is not None
    wanted = designed or drilling.at is not None or document.holes is not None
    holes = holes_asked(document, aim, still, drilling) if wanted else ()
    effect = effect_of_holes(aim, modes, holes)
    silent = designed and document.holes is None and document.drilled is None and drilling.as_told
    nodes_now = () if designed else still
    if designed and kind != "blank" and document.begun and now != aim:
        found = solve(now, count=1, families=("bending",), order="quick")
        nodes_now = tuple(float(x) for x in found.nodes[0])
    return Job(
        name=document.name,
        aim=aim,
        now=None if kind == "blank" else now,
        kind=kind,
        target=target,
        wood=wood_on_paper(document, now),
        date=date.today().isoformat(),
        today=today_on_paper(today, target),
        today_hz=tuple(today.hz(target).tolist()) if today else (),
        nodes=still if designed else (),
        nodes_now=nodes_now,
        holes=holes,
        rough=None if first is None else first.bar,
        whole=first is not None or (kind == "blank" and designed and document.begun),
        every=every * MM,
        cutter=cutter * MM,
        designed=designed,
        reading=None if kind == "blank" else heard,
        notes=(
            *notes,
            *said,
            *([said_of_none(aim, modes)] if silent else []),
            *said_of_holes(
                aim,
                holes,
                effect,
                drilling.wood,
                left=today.holes is not None and drilling.at is None,
                tell=document.drilled is None and document.shaped,
            ),
        ),
    ), effect


def wood_on_paper(document: BarDocument, bar: Bar) -> str:
    """What a bar is made of, and of which plank."""
    plank = document.blank.plank
    named = bar.blank.wood.species or ("wood not named" if plank else "")
    return named if plank is None else f"{named}, plank {plank}"


def today_on_paper(today: Today, target: Target) -> str:
    """What the bar is to show at the bench, where that is not its target."""
    if not today:
        return ""
    shown, *why = today.words(target)
    return f"At the bench {shown}, not the target: {'; '.join(why)}."


def heard_last(document: BarDocument, today: Today) -> LastReading | None:
    """The last reading, and whether the bar is in tune by it."""
    import math

    from barmodel.files import Reading, target_of
    from barmodel.sheets import LastReading
    from barmodel_cli.bench.verdict import finished

    if not document.readings:
        return None
    last = document.readings[-1]
    away = today.away_by(last, document, target_of(document.target))
    return LastReading(
        date=str(last.date)[:10],
        hz=tuple(last.hz),
        cents=tuple(None if math.isnan(c) else float(c) for c in away),
        in_tune=finished(away),
        fresh=isinstance(document.valid_log[-1], Reading),
    )


def _aim(
    document: BarDocument, now: Bar, kind: str, heard: LastReading | None
) -> tuple[Bar, tuple[str, ...]]:
    """Return the bar to be drawn: the design, if there is any."""
    from dataclasses import replace

    from barmodel.files import bar_as_designed

    if document.design is None and kind != "remaining":
        if kind == "blank":
            said = "There is no design in the bar file: these sheets show the uncut blank."
            return replace(now, undercut=()), (said,)
        said = "There is no design in the bar file: these sheets show the bar as it is."
        return now, (said,)
    aim = bar_as_designed(document)
    if kind == "remaining" and heard is not None and heard.in_tune and heard.fresh:
        said = (
            f"The bar is in tune by the reading of {heard.date} as it was: cut nothing, unless "
            "`barmodel next`, which weighs all readings, says so."
        )
        return now, (said,)
    if kind != "remaining":
        return aim, ()
    said = (
        "These sheets show what the design has still to lose, and not the next cut: as heard, the "
        "bar may want less. Cut what `barmodel next` says; its paper: next --save CUT.json, then "
        "sheet --entries CUT.json."
    )
    return aim, (*_too_deep(aim, now), *([said] if heard is not None else []))


def _too_deep(aim: Bar, now: Bar) -> tuple[str, ...]:
    """Say where more has been cut than the design wants."""
    import numpy as np

    if abs(aim.blank.length - now.blank.length) > 1e-5:
        return ()
    x = np.linspace(0.0, aim.blank.length, 2001)
    over = aim.profile.thickness(x).real - now.profile.thickness(x).real
    worst = int(np.argmax(over))
    if over[worst] < 5e-5:
        return ()
    return (
        f"The bar is up to {over[worst] * 1e3:.1f} mm thinner than designed (at "
        f"{x[worst] * 1e3:.0f} mm): read it and go on from the reading, not from this design.",
    )
