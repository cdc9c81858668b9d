"""Cautions printed with every set of sheets.

Standing of each: wood dust in group 1, the exposure figures and the sensitisers come from the
reports named beside them; the rest is common practice without a source.
"""

from __future__ import annotations

from barmodel.bar import Blank, bears_blows
from barmodel.units import MM

SHORT = 250 * MM
"""Shorter bars are not held by hand at a machine (common practice, no source). [m]"""

GENERAL: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Before cutting",
        (
            "Measure both check rulers. If they are off, print again with the measured length "
            "over the nominal one as printer scale.",
            "Check note, length and left end against the bar. Wood cannot be put back.",
            "Stay outside the line; the last tenths come off with a scraper, between readings.",
        ),
    ),
    (
        "Dust",
        (
            "Wood dust causes cancer in people (IARC group 1, monographs 62 and 100C). Extract at "
            "the tool, wear a fitted P2 or P3 mask, wipe wet, no compressed air.",
            "Rosewoods, cocobolo, padauk and wenge can make skin and lungs allergic for life. "
            "Stop at the first rash or wheeze.",
        ),
    ),
    (
        "Machines",
        (
            "Eyes and ears covered. No gloves and no loose sleeves at saw, drum, belt or router.",
            "Clamp on the ends, never across the thin middle. Stop blocks for the undercut, "
            "passes of 2 to 3 mm, a sharp cutter.",
            "Never sand aluminium and steel into the same extractor: fire. Oily rags heat "
            "themselves: lay them out flat outdoors.",
        ),
    ),
    (
        "Reading the pitch",
        (
            "A warm bar reads flat, about one cent for each degree (one maker's measurement on "
            "rosewood): wait until it has the temperature of the room.",
            "A bar that keeps dropping is cracked. Replace it, do not retune it.",
        ),
    ),
    (
        "Trade in wood",
        (
            "Rosewoods, some padauks and bubingas are listed by CITES: keep the papers of your "
            "purchase and check the current list.",
        ),
    ),
)


def thin_bar(blank: Blank, least: float) -> list[str]:
    """Cautions that depend on the bar: its least thickness [m] and its length."""
    said = []
    bears = bears_blows(blank.wood)
    if least < bears:
        said.append(
            f"Only {least / MM:.1f} mm stay at the thinnest place. Under {bears / MM:g} mm a hard "
            f"blow may {'bend a metal' if blank.wood.isotropic else 'break a wooden'} bar."
        )
    if blank.length < SHORT:
        said.append(
            f"Short bar: use a carrier or a push block. Under {SHORT / MM:g} mm never rout or "
            "saw it held by hand."
        )
    return said
