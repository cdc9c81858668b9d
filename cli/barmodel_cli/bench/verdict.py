"""Whether a reading can be believed, and whether the bar is finished by it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.asked.plausible import check_reading, doubts

if TYPE_CHECKING:
    from barmodel.files import Reading
    from barmodel.undercut.piece import Array
    from barmodel_cli.bench.foretold import Foretold

SURPRISE_CENTS = 100.0
"""Distance from what the last reading and the cuts since let expect that is worth a word: a cut
half a millimetre deeper than written down (own judgement). [cent]"""


def believe(foretold: Foretold, reading: Reading, *, unusual: bool) -> str | None:
    """Compare a reading with the bar; return what is worth a second look.

    Raises
    ------
    BadValue
        If it cannot be of this bar, and nobody says that it is; or if nothing was cut, drilled or
        trimmed since the bar was heard, and none of its modes is where it was.
    """
    carried = foretold.bending_hz
    if not unusual:
        try:
            check_reading(reading.hz, foretold.modes.bending_hz.tolist())
        except BadValue:
            # a bar that was heard before is foretold by that reading as well
            if carried is None or doubts(reading.hz, carried.tolist()):
                raise
    if carried is None:
        return None
    away = {
        k: 1200.0 * math.log2(hz / want)
        for k, (hz, want) in enumerate(zip(reading.hz, carried.tolist(), strict=False))
        if hz is not None
    }
    far = {k: cents for k, cents in away.items() if abs(cents) > SURPRISE_CENTS}
    told = ", ".join(f"mode {k + 1} {cents:+.0f}" for k, cents in far.items())
    same = {k for k in away if foretold.untouched[k]}
    if same and same <= set(far) and not (unusual or reading.drilled):
        raise BadValue(
            f"none of its modes is where this bar had it ({told} cents), and nothing was cut "
            "since: another bar? a cut not recorded? cord holes drilled (--drilled)? or was the "
            "reading before a slip (log --cancel)? Nothing was written; if it is this bar as it "
            "is, add --unusual"
        )
    if not far:
        return None
    return (
        f"{told} cents from what the last reading and the cuts since let expect; strike again, and "
        "check that every cut is written down as it was made"
    )


def finished(cents: Sequence[float] | Array) -> bool:
    """Whether every tuned mode was heard within its tolerance."""
    from barmodel.tolerance import in_tolerance

    return bool(in_tolerance(cents).all())


def limits_in_words(count: int) -> str:
    """The tolerance of the first modes, as +3/−1, +6/−3."""
    from barmodel.tolerance import TOLERANCE_CENTS

    return ", ".join(f"+{high:g}/−{-low:g}" for low, high in TOLERANCE_CENTS[:count])
