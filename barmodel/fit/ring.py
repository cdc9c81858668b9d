"""How long a blank rings: its quality factor from decay times."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

from barmodel.fit.agree import Row


def quality(taps: Sequence[tuple[Row, Row]]) -> tuple[float | None, ...]:
    """Take Q = π f τ of each mode, the amplitude falling as exp(−t/τ); medians over the taps.

    Parameters
    ----------
    taps : sequence of (frequencies, decay times)
        Of modes 1, 2, … of each tap; None for what was not heard. [Hz], [s]

    Returns
    -------
    tuple of float or None
        [1]

    Examples
    --------
    A bar of 220 Hz whose amplitude falls to 1/e in 0.2 s:

    >>> [round(q) for q in quality([((220.0,), (0.2,))])]
    [138]
    """
    found: list[float | None] = []
    for mode in range(max((len(decay) for _hz, decay in taps), default=0)):
        values = [
            math.pi * f * tau
            for hz, decay in taps
            if mode < min(len(hz), len(decay))
            and (f := hz[mode]) is not None
            and (tau := decay[mode]) is not None
        ]
        found.append(median(values) if values else None)
    return tuple(found)
