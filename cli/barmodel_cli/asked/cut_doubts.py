"""Likely slips in a cut that is told: its place, its depth, a second telling."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.asked.cutting import to_cuts
from barmodel_cli.asked.options import BadValue

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument, CutEntry, CutFile, CutMade
    from barmodel.undercut import Shape
    from barmodel_cli.asked.cutting import CutWords

DEEP_AT_ENDS = 1e-3
"""Deeper cuts outside the undercut are asked about; ends are thinned by tenths (own choice). [m]"""

NEAR_PLACE, NEAR_DEPTH = 3e-3, 0.3
"""How far ten times a length may lie from a cut of the design and still mean it: places, and depths
as a share, for a cut is seldom made in one go (own choice). [m], [1]"""


def in_centimetres(
    document: BarDocument, bar: Bar, words: CutWords, made: tuple[CutEntry, ...]
) -> str | None:
    """Ask whether centimetres were meant, where ten times what was told fits the bar and it not.

    Either it is then a cut of the design or of the underside as it is; or the cut lies at the ends
    that the undercut leaves alone, and would then lie inside it. A length that is the cutter's own
    was not told, and files hold millimetres.
    """
    from barmodel.cuts import EndTrim
    from barmodel.files import bar_as_designed
    from barmodel.undercut.outline import cut_span
    from barmodel.units import MM

    if words.entries is not None or (words.width is None and words.start is None):
        return None
    aims = [bar] + ([bar_as_designed(document)] if document.design else [])
    spans = [(aim, span) for aim in aims if (span := cut_span(aim.profile))]
    for cut in to_cuts(made):
        if isinstance(cut, EndTrim):
            continue
        start, end, deep = (10.0 * value for value in (*cut.extent, cut.deepest))
        same = any(_is_like(shape, start, end, deep) for aim in aims for shape in aim.undercut)
        inside = any(_fits_in(aim, span, start, end, deep) for aim, span in spans)
        middle = sum(cut.extent) / 2
        bare = all(not first < middle < last for _, (first, last) in spans)
        if same or (bare and inside):
            return (
                f"the cut lies at {cut.extent[0] / MM:g} to {cut.extent[1] / MM:g} mm, "
                f"{cut.deepest / MM:g} mm deep; ten times that, {start / MM:g} to {end / MM:g} mm, "
                f"{deep / MM:g} mm deep, would {'be a cut of' if same else 'lie inside'} the "
                "undercut: were centimetres meant? Lengths are in millimetres, or as written (4cm)"
            )
    return None


def _is_like(shape: Shape, start: float, end: float, deep: float) -> bool:
    """Whether a cut is about one that is there. [m]"""
    places = max(abs(start - shape.extent[0]), abs(end - shape.extent[1]))
    return places <= NEAR_PLACE and abs(deep - shape.deepest) <= NEAR_DEPTH * shape.deepest


def _fits_in(aim: Bar, span: tuple[float, float], start: float, end: float, deep: float) -> bool:
    """Whether a cut lies inside the undercut of a bar, on one half or about the middle. [m]"""
    length = aim.blank.length
    if end > length / 2 and abs(start + end - length) > 2.0 * NEAR_PLACE:
        return False
    most = aim.blank.thickness - aim.profile.least_thickness()[0]
    return span[0] <= start and end <= span[1] and deep <= (1.0 + NEAR_DEPTH) * most


def check_centimetres(
    document: BarDocument, bar: Bar, words: CutWords, made: tuple[CutEntry, ...]
) -> None:
    """Refuse a cut that was likely told in centimetres.

    Raises
    ------
    BadValue
        With the question.
    """
    if told := in_centimetres(document, bar, words, made):
        raise BadValue(f"{told}. If it was cut so, record it with --happened")


def check_place(document: BarDocument, bar: Bar, made: tuple[CutEntry, ...]) -> None:
    """Refuse a deep cut in the ends that the undercut leaves alone; centimetres make such."""
    from barmodel.cuts import EndTrim
    from barmodel.files import bar_as_designed
    from barmodel.undercut.outline import cut_span
    from barmodel.units import MM

    aims = [bar] + ([bar_as_designed(document)] if document.design else [])
    spans = [span for aim in aims if (span := cut_span(aim.profile))]
    if not spans:
        return
    first, last = min(span[0] for span in spans), max(span[1] for span in spans)
    for cut in to_cuts(made):
        if isinstance(cut, EndTrim) or cut.deepest <= DEEP_AT_ENDS:
            continue
        start, end = cut.extent
        if end <= first or start >= last:
            raise BadValue(
                f"{(start + end) / 2 / MM:g} mm from the left end lies outside the undercut "
                f"({first / MM:.1f} to {last / MM:.1f} mm), where nothing as deep as "
                f"{cut.deepest / MM:g} mm is usual: were centimetres meant? If it was cut so, "
                "record it with --happened"
            )


def over_a_wall(bar: Bar, made: tuple[CutEntry, ...]) -> str | None:
    """A cut over a wall: no cutter follows that, so the places may be told wrongly."""
    from barmodel.cuts import EndTrim, apply_cuts, walls_crossed
    from barmodel.units import MM

    for cut in to_cuts(made):
        walls = () if isinstance(cut, EndTrim) else walls_crossed(bar, cut)
        if walls:
            places = ", ".join(f"{wall / MM:.1f}" for wall in walls)
            return (
                f"the cut lies across a wall of the underside, at x = {places} mm, which no cutter "
                "follows: check its place and width"
            )
        bar = apply_cuts(bar, [cut], check=False)
    return None


def far_from_told(made: tuple[CutEntry, ...], measured: float | None) -> str | None:
    """A measured depth so far from the one told that one of them may be a slip. [mm]"""
    told = getattr(made[0], "depth_mm", None)
    if measured is None or not isinstance(told, float) or abs(measured - told) <= 0.3 + 0.2 * told:
        return None
    return (
        f"measured {measured:g} mm where {told:g} mm was told: the measured depth counts; check "
        "the zero of the gauge"
    )


_CUTTERS_THAT_ROUND = {
    "scraper": "a dish, deepest in the middle",
    "file": "a dish, deepest in the middle",
    "drum": "the arc of a drum",
    "belt": "a floor with rounded ends",
}
"""What the kinds of cutter leave that is no flat floor with walls; a bit leaves just that."""
_USUAL_SIZE = {"scraper": 20.0, "file": 10.0, "drum": 40.0, "belt": 100.0}
"""Sizes offered where none is told: a drum's diameter, else lengths. [mm]"""
MOST_OWN = 2.0
"""Cuts longer than so many of them were made by moving the cutter (own choice). [1]"""


def flat_by_a_round_tool(words: CutWords, tool: str | None) -> str | None:
    """Say that a cut was taken as flat though its tool leaves another shape, and how to say it."""
    told = words.width
    if words.start is not None and words.end is not None:
        told = words.end - words.start
    if tool is None or told is None or words.cutter is not None:
        return None
    named = re.search(r"\b(scraper|file|drum|belt)s?\s?(\d+(?:\.\d+)?)?\b", tool.casefold())
    if named is None:
        return None
    kind, size = named[1], _USUAL_SIZE[named[1]]
    if named[2] is not None:
        size = float(named[2])
    elif kind != "drum" and told <= MOST_OWN * size:
        size = told
    return (
        f"--tool is a remark, and the cut was taken as flat, with walls; if it was "
        f"{_CUTTERS_THAT_ROUND[kind]}, record it anew with --cutter {kind}{size:g}"
    )


def twin_of(document: BarDocument, made: tuple[CutEntry, ...]) -> int | None:
    """Number of a cut just like this one that was recorded since the last reading."""
    for entry in reversed(document.valid_log):
        if entry.kind != "cut":
            return None
        if entry.entries == made:
            return entry.id
    return None


def of_another_bar(document: BarDocument, planned: CutFile, path: Path) -> str:
    """Say it of a cut file that was made for another bar; empty if it was not, or for any."""
    count, name = planned.log_entries, document.name
    if planned.bar is None:
        return ""
    if planned.bar != name:
        return f"{path} was made for {planned.bar}, and this is {name}"
    if count is None:
        return ""
    if count > len(document.log):
        return (
            f"{path} was made when the log of {name} had {count} entries, and this has "
            f"{len(document.log)}: another bar of that name, or an older copy of its file"
        )
    if count and planned.last_entry not in (None, document.log[count - 1].date):
        return (
            f"{path} was made for another bar called {name}: there log entry {count} is of "
            f"{planned.last_entry}, here of {document.log[count - 1].date}"
        )
    return ""


def check_bar(document: BarDocument, planned: CutFile | None, path: Path | None) -> None:
    """Refuse a cut file that was made for another bar.

    Raises
    ------
    BadValue
        Naming both.
    """
    if planned is None or path is None:
        return
    if told := of_another_bar(document, planned, path):
        raise BadValue(f"{told}. If the cut is for this bar all the same, add --unusual")


def recorded_as(document: BarDocument, planned: CutFile | None) -> int | None:
    """Number of the log entry that recorded the cut of a file since the file was made."""
    if planned is None or planned.log_entries is None:
        return None
    since = [cut for cut in document.cuts if cut.id > planned.log_entries]
    return next((cut.id for cut in reversed(since) if cut.entries == planned.entries), None)


def made_before(document: BarDocument, planned: CutFile, path: Path) -> str | None:
    """What came to the bar after a cut file was made, so that it is not for the bar as it is."""
    count = planned.log_entries
    if count is None or of_another_bar(document, planned, path):
        return None
    cuts = [cut.id for cut in document.cuts if cut.id > count and not _is_part(cut, planned)]
    if cuts:
        return f"{path} was made before {_entries(cuts)} was cut; `barmodel next` says the cut anew"
    for entry in document.log[count:]:
        if entry.kind == "cancel" and entry.entry <= count:
            return (
                f"{path} was made before entry {entry.entry} was cancelled; `barmodel next` says "
                "the cut anew"
            )
    aims = [aim.id for aim in document.aims if aim.id > count]
    if aims:
        return (
            f"{path} was made before {_entries(aims)} gave the bar another aim; `barmodel next` "
            "says the cut anew"
        )
    heard = [reading.id for reading in document.readings if reading.id > count]
    if not heard:
        return None
    which = _entries(heard)
    return (
        f"{path} was made before {which} was heard; what was heard after this cut was made must "
        f"stand after it: is that so, cancel {which} once the cut is recorded, and hear it again"
    )


def _is_part(cut: CutMade, planned: CutFile) -> bool:
    """Whether a cut is some of a cut file, whose parts are recorded one by one."""
    some = all(entry in planned.entries for entry in cut.entries)
    return some and len(cut.entries) < len(planned.entries)


def _entries(numbers: list[int]) -> str:
    return f"entr{'y' if len(numbers) == 1 else 'ies'} {', '.join(map(str, numbers))}"
