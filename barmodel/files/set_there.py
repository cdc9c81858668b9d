"""Bars of a set that are there already: how long they are, where their cords must go through."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from barmodel.errors import BarModelError, FileError
from barmodel.files.bars import bar_as_designed, bar_as_is, ends_off
from barmodel.files.cuts import Record
from barmodel.files.document import BarDocument
from barmodel.files.set_bars import Kept, holes_kept, is_begun
from barmodel.files.set_work import TherePart
from barmodel.files.store import read_bar_file
from barmodel.instrument import Begun, Standing
from barmodel.instrument.one import node_slope
from barmodel.instrument.record import fingerprint
from barmodel.modes import solve
from barmodel.pitch import note_of, note_semitone
from barmodel.units import MM


def begun_bars(folder: Path, semitones: Iterable[int]) -> dict[int, Begun]:
    """Look up which bars of a set are sawn already, by semitone; without files that are broken."""
    found = {}
    for semitone in semitones:
        try:
            document = read_bar_file(folder / f"{note_of(semitone)}.bar.json")
        except FileError:
            continue
        if is_begun(document) and note_semitone(document.target.note) == semitone:
            blank = document.blank
            found[semitone] = Begun(
                length=blank.length_mm * MM - sum(ends_off(document)),
                blank_length=blank.length_mm * MM,
                blank_width=blank.width_mm * MM,
                plank=blank.plank or "",
            )
    return found


def standing_of(
    kept: Mapping[int, Kept], known: Mapping[int, TherePart]
) -> tuple[dict[int, Standing], dict[int, TherePart]]:
    """Say of bars that were begun how they differ from what the set file would have of them.

    Parameters
    ----------
    kept : mapping of int to Kept
        Bars that were begun, by semitone.
    known : mapping of int to TherePart
        Nodes that earlier runs have computed; what has changed since is computed anew.

    Returns
    -------
    standing : dict of int to Standing
        Without bars that are in all as the set file has them, or whose file cannot be read.
    parts : dict of int to TherePart
        Nodes as they are known now.
    """
    standing: dict[int, Standing] = {}
    parts: dict[int, TherePart] = {}
    for semitone, item in kept.items():
        document = item.document
        if document is None or item.became:
            continue
        left, right = ends_off(document)
        drilled = holes_kept(document) if document.drilled is not None else None
        own = bool(item.why)
        if not (own or drilled):
            continue
        part = _nodes(document, known.get(semitone)) if own and document.shaped else None
        if part is not None:
            parts[semitone] = part
        standing[semitone] = Standing(
            length=document.blank.length_mm * MM - left - right,
            nodes=() if part is None else tuple(x * MM for x in part.nodes_mm),
            node_slope=0.0 if part is None else part.node_slope_per_m,
            drilled=drilled,
        )
    return standing, parts


def _nodes(document: BarDocument, known: TherePart | None) -> TherePart | None:
    """Nodes of what a bar is to become, else of the bar as it is; None if it cannot be."""
    # further cuts do not move the aim, unless they shorten the bar
    shapes = (*document.undercut, *document.cuts) if document.design is None else document.design
    decides: list[Record] = [document.blank, document.wood, *shapes]
    digest = fingerprint([[part.model_dump(mode="json") for part in decides], ends_off(document)])
    if known is not None and known.digest == digest:
        return known
    try:
        bar = bar_as_is(document) if document.design is None else bar_as_designed(document)
        modes = solve(bar, count=1, families=("bending",))
    except BarModelError:
        return None
    nodes = modes.nodes[0]
    return TherePart(
        digest=digest,
        nodes_mm=(round(float(nodes[0]) / MM, 6), round(float(nodes[-1]) / MM, 6)),
        node_slope_per_m=node_slope(modes, bar.blank.length),
    )
