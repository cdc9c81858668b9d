"""What a maker should know before he cuts by a design: is it for this wood, for this bar?"""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.design import Design
    from barmodel.files import BarDocument, Reading

FITTED_CENTS = 30.0
"""Taps this far from what the wood in the file foretells say that it was not fitted to them; what
unevenness leaves after a fit is less in any plank worth cutting (own judgement). [cent]"""


def cautions(path: Path, document: BarDocument, design: Design) -> list[str]:
    """All that is to be minded about a design, in the order of its weight."""
    told = [_of_another_wood(path, document), _of_an_uncut_bar(document, design)]
    return [text for text in told if text] + [*design.warnings, *design.modes.warnings]


def taps_of_blank(document: BarDocument) -> list[Reading]:
    """Readings from before the first cut, and before cord holes were drilled."""
    from barmodel.files import Reading

    taps = []
    for entry in document.valid_log:
        if not isinstance(entry, Reading) or entry.drilled:
            break
        taps.append(entry)
    return taps


def _of_another_wood(path: Path, document: BarDocument) -> str | None:
    """The blank was tapped, and the design does not know it."""
    from barmodel.files import bar_at_start
    from barmodel_cli.asked.plausible import expected_hz

    taps = taps_of_blank(document)
    if not taps:
        return None
    heard = taps[-1].hz
    foretold = expected_hz(bar_at_start(document), len(heard))
    away = [
        None if hz is None else 1200.0 * math.log2(hz / want)
        for hz, want in zip(heard, foretold, strict=False)
    ]
    worst = max((abs(cents) for cents in away if cents is not None), default=0.0)
    if worst < FITTED_CENTS and not stiffness_from_table(document):
        return None
    shown = ", ".join("–" if cents is None else f"{cents:+.0f}" for cents in away)
    return (
        f"this blank was tapped (entry {taps[-1].id}: {shown} cents from what the wood in the file "
        "foretells) and its wood is not fitted to that yet; the design will be off by as much: "
        f"barmodel fit {path} --save, then design again"
    )


def stiffness_from_table(document: BarDocument) -> bool:
    """Whether the stiffness along the grain is still the species'."""
    from barmodel.errors import InputError
    from barmodel.units import GPA
    from barmodel.wood import species

    try:
        usual = species(document.wood.species or "").e_long / GPA
    except InputError:
        return False
    stiffness = document.wood.e_long_gpa
    return stiffness is None or math.isclose(stiffness, usual, rel_tol=1e-6)


def _of_an_uncut_bar(document: BarDocument, design: Design) -> str | None:
    """The bar was cut already: what this design is for, and where wood is gone that it keeps."""
    import numpy as np

    from barmodel.files import bar_as_is

    now = bar_as_is(document)
    if not now.undercut:
        return None
    text = (
        "the bar has been cut already; this design is for the uncut blank, and its depths count "
        "from the uncut underside"
    )
    x = np.linspace(0.0, now.blank.length, 401)
    missing = now.profile.depth(x).real - design.bar.profile.depth(x).real
    worst = int(missing.argmax())
    if missing[worst] < 0.05e-3:
        return text
    return (
        f"{text}; at x = {x[worst] * 1e3:.0f} mm the bar is already {missing[worst] * 1e3:.2f} mm "
        f"deeper than it: ask `barmodel next` what can still be done"
    )
