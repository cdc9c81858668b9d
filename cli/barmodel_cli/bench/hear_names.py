"""Which line of a struck bar is which mode, by what is foretold of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument
    from barmodel.modes import ModeSet
    from barmodel.strike import Expected, Hearing, ModeShape, Recording
    from barmodel_cli.bench.foretold import Foretold
    from barmodel_cli.bench.struck import Subject

UNREAD_CENTS, CUT_CENTS, READ_CENTS = 150.0, 80.0, 40.0
"""Error that all predictions share: stiffness from a table; a bar that was read and cut (0.3 mm too
deep in the middle are some 80 cents of mode 1); one that was read only."""
ERRORS_CENTS = {"bending": 25.0, "torsional": 60.0, "lateral": 120.0}
"""Error of one prediction apart from that, per mode number for bending (own judgement)."""
ASSUMED_TORSION_CENTS = 300.0
"""The same for torsion when the long–width shear modulus is a guess (own judgement)."""


def listen(
    recordings: Sequence[Recording],
    subject: Subject | None,
    *,
    strike_at_mm: float | None = None,
    held_at_mm: Sequence[float] = (),
) -> Hearing:
    """Hear the recordings, naming lines by what is foretold of the bar."""
    from barmodel.strike import hear

    if subject is None:
        return hear(recordings)
    guessed = "g_long_width" in subject.document.wood.assumed
    expected = expected_of(subject.foretold, strike_at_mm, held_at_mm, torsion_guessed=guessed)
    return hear(recordings, expected, shared_error_cents=_shared_cents(subject.document))


def _shared_cents(document: BarDocument) -> float:
    if not document.readings:
        sure = document.wood.spread_percent.get("e_long")
        return UNREAD_CENTS if sure is None else max(READ_CENTS, 600.0 * math.log2(1 + sure / 100))
    return CUT_CENTS if document.cuts else READ_CENTS


def shapes_of(modes: ModeSet) -> list[ModeShape]:
    """Shapes of the bending and torsional modes, as the room `strike` takes them."""
    from barmodel.strike import ModeShape

    bending = [ModeShape("bending", k + 1, shape) for k, shape in enumerate(modes.deflection)]
    return bending + [ModeShape("torsional", k + 1, w) for k, w in enumerate(modes.twisting)]


def expected_of(
    foretold: Foretold,
    strike_at_mm: float | None,
    held_at_mm: Sequence[float],
    *,
    torsion_guessed: bool,
) -> list[Expected]:
    """Lines to look for, with how far each may be off and how strong it should be."""
    from barmodel.strike import Expected, expected_amplitudes
    from barmodel.units import MM

    modes = foretold.modes
    shapes = shapes_of(modes)
    known = {"bending": foretold.likely_hz, "torsional": modes.torsional_hz}
    strengths = expected_amplitudes(
        modes.x,
        shapes,
        strike_at=None if strike_at_mm is None else strike_at_mm * MM,
        held_at=[place * MM for place in held_at_mm],
    )
    expected = []
    for shape, strength in zip(shapes, strengths, strict=True):
        error = ERRORS_CENTS[shape.kind]
        if shape.kind == "bending":
            error *= shape.number
        elif torsion_guessed:
            error = ASSUMED_TORSION_CENTS
        hz = float(known[shape.kind][shape.number - 1])
        expected.append(Expected(shape.kind, shape.number, hz, error, float(strength)))
    for index, hz in enumerate(modes.lateral_hz):
        expected.append(Expected("lateral", index + 1, float(hz), ERRORS_CENTS["lateral"], 0.1))
    return expected
