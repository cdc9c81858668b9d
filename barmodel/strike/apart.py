"""A strike unlike the others of its hearing: another bar, or one held otherwise."""

from __future__ import annotations

import math
from collections.abc import Sequence

from barmodel.pitch import cents
from barmodel.strike.records import Caution, Partial, Strike

LEAST = 3
"""Of two strikes none can be told to be the stranger."""
LOUD_DB = -15.0
"""Lines of a strike that are looked at, against its strongest. [dB]"""
NEAR_CENTS = 60.0
"""A line further from all that others share is another line, not the same one shifted. [cent]"""


def about_apart(strikes: Sequence[Strike], partials: Sequence[Partial]) -> list[Caution]:
    """Say which strikes took no part in what the others share.

    Parameters
    ----------
    strikes : sequence of Strike
        All that were joined, with their own lines; one that has steady tones alone is not told.
    partials : sequence of Partial
        The lines of all strikes together.
    """
    shared = [p for p in partials if p.strikes >= 2 and not p.steady]
    used = [s for s in strikes if any(not p.steady for p in s.partials)]
    if len(used) < LEAST or not shared:
        return []
    found = []
    for strike in used:
        top = max(p.level_db for p in strike.partials if not p.steady)
        loud = [p for p in strike.partials if not p.steady and p.level_db > top + LOUD_DB]
        loud.sort(key=lambda p: -p.level_db)
        away = [_away(line, shared, strikes) for line in loud]
        if all(off is None or off != 0.0 for off in away):
            found.append(_told(strike, away[0]))
    # where half of them are strangers nobody knows which
    return found if 2 * len(found) < len(used) else []


def _away(line: Partial, shared: list[Partial], strikes: Sequence[Strike]) -> float | None:
    """Cents from the shared line it was left out of, 0 if it took part, None if there is none."""
    nearest = min(shared, key=lambda p: abs(float(cents(line.hz, p.hz))))
    off = float(cents(line.hz, nearest.hz))
    if abs(off) > NEAR_CENTS:
        return None
    distances = sorted(_distance(strike, nearest.hz) for strike in strikes)
    return 0.0 if abs(off) <= distances[nearest.strikes - 1] else off


def _distance(strike: Strike, hz: float) -> float:
    return min((abs(float(cents(p.hz, hz))) for p in strike.partials), default=math.inf)


def _told(strike: Strike, off_cents: float | None) -> Caution:
    where = f"the strike at {strike.start_s:.1f} s of {strike.file}"
    how = (
        "shares no strong line with the others"
        if off_cents is None
        else f"lies {off_cents:+.1f} cents from the others and was left out"
    )
    return Caution("apart", f"{where} {how}: was it this bar, held as for the others?")
