"""Targets a maker writes down, as makers write them."""

from __future__ import annotations

from barmodel.pitch import Target
from validation.check import Check, Controls

TITLE = "Targets as makers write them"
ABOUT = """\
A maker tuning to A4 = 443 Hz with modes 1 : 4 : 9.8 writes whole hertz on the bar, rounded or
cut off. There is no publication behind these; they are common practice, and bind nothing but
the pitch arithmetic. A third mode of nine to ten times the fundamental is accepted by the same
practice: 9.8 lies inside."""

SOURCE = "common practice, no source: a maker's own list, A4 = 443 Hz, ratios 1 : 4 : 9.8"
ROWS = (  # note, mode, smallest and largest whole hertz in use
    ("D♯3", 1, 156, 157),
    ("D♯3", 2, 626, 626),
    ("D♯3", 3, 1534, 1535),
    ("F♯3", 3, 1825, 1825),
)


def checks() -> list[Check]:
    return _checks(a4_hz=443.0)


def negative_controls() -> Controls:
    return {"A4 at 440 for 443 Hz": _checks(a4_hz=440.0)}


def _checks(a4_hz: float) -> list[Check]:
    found = []
    for note, mode, low, high in ROWS:
        target = Target(note, a4_hz=a4_hz, ratios=(1.0, 4.0, 9.8))
        found.append(
            Check(
                key=f"{note}, mode {mode}",
                expected=(low + high) / 2,
                computed=float(target.hz[mode - 1]),
                tolerance=0.5,
                unit="Hz",
                source=SOURCE,
                tag="common practice, no source",
                reason="whole hertz; where two are in use, anything between them",
            )
        )
    return found
