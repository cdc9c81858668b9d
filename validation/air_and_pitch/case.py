"""Pitch arithmetic, the speed of sound, and a tube."""

from __future__ import annotations

from typing import Any

from barmodel.air import speed_of_sound, tube_hz, tube_length
from barmodel.pitch import Target, cents, note_hz
from validation.check import Check, Controls
from validation.kit.compare import as_printed

TITLE = "Pitch and air"
ABOUT = """\
Equal temperament about ISO 16's A4 = 440 Hz, intervals in cents, the speed of sound of ISO
9613-1 and the quarter-wave tube."""

ISO_16 = "ISO 16:1975, A4 = 440 Hz; equal temperament by definition"
CENTS = "definition, 1200·log2 of the ratio"
NOTES = (("C3", "130.81278"), ("F3", "174.61412"), ("A2", "110"), ("C7", "2093.00452"))
RATIOS = (
    ((1.0, 4.0, 10.0), ("0", "2400", "3986.314")),
    ((1.0, 3.0, 6.0), ("0", "1901.955", "3101.955")),
)
ISO_9613 = "ISO 9613-1:1993, annex A: c = 343.2·√((t + 273.15)/293.15)"
SPEEDS = ((0.0, "331.286"), (25.0, "346.114"))
TUBE = (
    "c/(4(L + 0.6 r)) by hand; a worked example met in reading, its address not kept: L 1.5 m, "
    "r 0.02 m, c 340 m/s"
)
WARMING = ISO_9613 + ", worked by hand from 20 to 21 °C"


def checks() -> list[Check]:
    return [*_pitch(a4_hz=440.0), *_air(warmer=0.0)]


def negative_controls() -> Controls:
    return {
        "A4 a thousandth of a hertz high": _pitch(a4_hz=440.001),
        "air two tenths of a degree warmer": _air(warmer=0.2),
    }


def _pitch(a4_hz: float) -> list[Check]:
    found = [
        as_printed(
            note,
            printed,
            note_hz(note, a4_hz=a4_hz),
            unit="Hz",
            source=ISO_16,
            tag="recomputed independently",
            tolerance=6e-6,
            reason="the last digit of the table, 5 in 10⁶ Hz",
        )
        for note, printed in NOTES
    ]
    for ratios, row in RATIOS:
        hz = Target("C3", a4_hz=a4_hz, ratios=ratios).hz
        found += [
            as_printed(
                f"{ratios[k]:g} times C3 above C3 at 440",
                printed,
                cents(float(hz[k]), note_hz("C3")),
                unit="cent",
                source=CENTS,
                tag="recomputed independently",
                tolerance=6e-4,
                reason="half a unit of the last printed digit",
            )
            for k, printed in enumerate(row)
            if k
        ]
    return found


def _air(warmer: float) -> list[Check]:
    found = [
        as_printed(
            f"speed of sound at {celsius:g} °C",
            printed,
            speed_of_sound(celsius + warmer),
            unit="m/s",
            source=ISO_9613,
            tag="published",
        )
        for celsius, printed in SPEEDS
    ]
    # the temperature at which ISO's formula gives the book's 340 m/s
    celsius = 293.15 * (340 / 343.2) ** 2 - 273.15 + warmer
    hz = tube_hz(1.5, radius=0.02, temperature_c=celsius, end_correction=0.6)
    back = tube_length(56.22, radius=0.02, temperature_c=celsius, end_correction=0.6)
    degree = cents(speed_of_sound(21.0 + warmer), speed_of_sound(20.0))
    common: dict[str, Any] = {"source": TUBE, "tag": "recomputed independently"}
    return [
        *found,
        as_printed("resonance of the tube", "56.22", hz, unit="Hz", **common),
        as_printed(
            "length of the tube for 56.22 Hz",
            "1.5",
            back,
            unit="m",
            tolerance=1.4e-4,
            reason="half a unit of 56.22's last digit, 0.9e-4 of the wave",
            **common,
        ),
        as_printed(
            "an air column sharpens per degree at 20 °C by",
            "2.95",
            degree,
            unit="cent",
            source=WARMING,
            tag="recomputed independently",
        ),
    ]
