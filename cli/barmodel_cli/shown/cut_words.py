"""Cuts in a maker's words: what was cut, and where on both halves."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument, CutEntry, CutMade, UndercutEntry

LONG_MM = 40.0
"""A cut longer than this is told by its two ends, a shorter one by its middle. [mm]"""


def cut_in_words(entries: Iterable[CutEntry], length_mm: float) -> str:
    """Say what was cut, and where: `flat cut at 150 and 250 mm, 12 mm long, 0.3 mm deep`.

    Parameters
    ----------
    entries : iterable of CutEntry
    length_mm : float
        Length of the bar before the cut, for the places on the other half. [mm]
    """
    told, floors = [], []
    for entry in entries:
        told.append(_one(entry, length_mm))
        if entry.shape == "ends":
            length_mm -= sum(entry.both_mm)
        elif entry.measured_from == "surface":
            floors.append(places_mm(entry, length_mm)[0])
    stacked = any(a[0] <= b[0] and b[1] <= a[1] for a, b in itertools.pairwise(floors))
    return "; ".join(told) + ("; each depth from the floor before it" if stacked else "")


def made_in_words(cut: CutMade, length_mm: float) -> str:
    """Say what a log entry cut, with its tool and the depth found afterwards."""
    text = cut_in_words(cut.entries, length_mm)
    if cut.measured_depth_mm is not None:
        text += f", measured {_mm(cut.measured_depth_mm)}"
    return text + (f" ({cut.tool})" if cut.tool else "")


def lengths_mm(document: BarDocument) -> dict[int, float]:
    """Length of the bar before each cut of the log, by the number of its entry. [mm]"""
    length, before = document.blank.length_mm, {}
    valid = {cut.id for cut in document.cuts}
    for entry in document.log:
        if entry.kind != "cut":
            continue
        before[entry.id] = length
        if entry.id in valid:
            length -= sum(sum(e.both_mm) for e in entry.entries if e.shape == "ends")
    return before


def places_mm(entry: UndercutEntry, length_mm: float) -> list[tuple[float, float]]:
    """Start and end of a cut, on the other half too where it is mirrored. [mm]"""
    from barmodel.files import shape_of

    start, end = (1e3 * x for x in shape_of(entry).extent)
    if not entry.mirror:
        return [(start, end)]
    twice_axis = length_mm if entry.axis_mm is None else 2.0 * entry.axis_mm
    return sorted([(start, end), (twice_axis - end, twice_axis - start)])


def as_command(entries: Sequence[CutEntry], length_mm: float) -> str | None:
    """Options of `barmodel cut` for one plain cut; None for what needs a file of entries."""
    if len(entries) != 1:
        return None
    entry = entries[0]
    if entry.shape == "ends":
        left, right = entry.both_mm
        return f"--ends {left:g}" if left == right else None
    if entry.shape != "groove":
        return None
    sizes = {
        "flat": f"--width {entry.full_width_mm:g}",
        "dished": f"--cutter scraper{entry.full_width_mm:g}",
        "round": f"--cutter drum{2.0 * (entry.radius_mm or 0.0):g}",
    }[entry.section]
    alone = not entry.mirror and abs(2.0 * entry.at_mm - length_mm) > 1e-3
    return f"--at {entry.at_mm:g} {sizes} --depth {entry.depth_mm:g}" + " --one-side" * alone


def _one(entry: CutEntry, length_mm: float) -> str:
    if entry.shape == "ends":
        left, right = entry.both_mm
        if left == right:
            return f"{_mm(left)} off each end"
        off = [
            f"{_mm(size)} off the {side} end" for size, side in ((left, "left"), (right, "right"))
        ]
        return " and ".join(text for text, size in zip(off, (left, right), strict=True) if size)
    from barmodel.units import no_deeper

    deepest = max(entry.depth_mm) if entry.shape == "table" else entry.depth_mm
    deep = f"{float(no_deeper(deepest, 2)):g} mm deep"
    if entry.shape == "table":
        deep = f"up to {deep}"
    if entry.measured_from == "blank":
        deep += " from the uncut underside"
    return f"{_kind(entry)} {_where(places_mm(entry, length_mm))}, {deep}"


def _kind(entry: UndercutEntry) -> str:
    if entry.shape == "groove":
        if entry.section == "round":
            return f"drum of {2.0 * (entry.radius_mm or 0.0):g} mm"
        return {"flat": "flat cut", "dished": "dish"}[entry.section]
    if entry.shape == "pocket" and entry.corner_radius_mm > 0.0:
        # rounds are what a drum leaves that was moved along, or the rollers of a long belt
        drum = f"drum of {2.0 * entry.corner_radius_mm:g} mm"
        short = entry.end_mm - entry.start_mm <= LONG_MM
        return drum if short else f"pocket with the rounds of a {drum}"
    return entry.shape


def _where(places: Sequence[tuple[float, float]]) -> str:
    long = places[0][1] - places[0][0]
    if long > LONG_MM:
        return " and ".join(f"{_place(start)}–{_place(end)}" for start, end in places) + " mm"
    middles = " and ".join(_place((start + end) / 2.0) for start, end in places)
    return f"at {middles} mm, {_mm(long)} long"


def _place(value: float) -> str:
    return f"{round(value, 1):g}"


def _mm(value: float) -> str:
    return f"{round(value, 2):g} mm"
