"""Where every blank of a set is sawn out: of its plank, or of boards of the stock."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from barmodel.errors import InputError
from barmodel.instrument.assign import blanks
from barmodel.instrument.begun import Begun, taken
from barmodel.instrument.blueprint import Blueprint
from barmodel.instrument.cutting import Sawn, fits, lay_out
from barmodel.instrument.planks import Plank
from barmodel.pitch import note_of
from barmodel.units import MM

ALIKE = 0.01 * MM
"""Sizes of blanks that differ by less are the same. [m]"""


def saw(
    blueprint: Blueprint,
    *,
    without: Collection[int] = (),
    begun: Mapping[int, Begun] | None = None,
) -> tuple[tuple[Sawn, ...], tuple[str, ...]]:
    """Lay the blanks out in their planks, the others in boards; and say what does not fit.

    Parameters
    ----------
    blueprint : Blueprint
        Lengths, and the plank of each bar.
    without : collection of int
        Bars that need no blank, by semitone: they have one already, or no design.
    begun : mapping of int to Begun, optional
        Bars that are sawn, by semitone: they keep their place in plank and board, so that what is
        still to be sawn lies where an earlier cut list had it.

    Returns
    -------
    sawn : tuple of Sawn
    trouble : tuple of str
        What does not fit, and which bars no plank does for.
    """
    plan, begun = blueprint.plan, begun or {}
    sawn: list[Sawn] = []
    trouble: list[str] = []
    for plank in plan.planks:
        laid, told = _out_of(blueprint, plank, without, begun)
        sawn += laid
        trouble += told
    rest = [note for note in plan.semitones if note not in blueprint.plank and note not in without]
    if rest and plan.planks:
        trouble.append(_without_plank(blueprint, rest, begun))
    if rest and plan.board_length is not None and plan.board_width is not None:
        try:
            of_boards = lay_out(
                blanks(plan, blueprint.lengths.length, _of_boards(blueprint, rest, begun)),
                length=plan.board_length,
                width=plan.board_width,
                kerf=plan.kerf,
            )
            sawn += [item for item in of_boards if item.piece.semitone in rest]
        except InputError as error:
            trouble.append(f"no cut list: {error}")
    return tuple(sawn), tuple(trouble)


def _out_of(
    blueprint: Blueprint, plank: Plank, without: Collection[int], begun: Mapping[int, Begun]
) -> tuple[list[Sawn], list[str]]:
    """Lay out a plank, the blanks that were sawn from it among the others, and tell the others."""
    plan = blueprint.plan
    gone = taken(plan, begun, plank.name)
    known = {piece.semitone for piece in gone}
    of_it = [note for note, name in blueprint.plank.items() if name == plank.name]
    # one that was begun is of it as well if its file does not say what it is of
    bars = [n for n in of_it if n not in known and (n not in without or n in begun)]
    pieces = [*gone, *blanks(plan, blueprint.lengths.length, [n - plan.lowest for n in bars])]
    if not fits(pieces, length=plank.length, width=plank.width, kerf=plan.kerf):
        names = " ".join(note_of(note) for note in sorted(known | (set(bars) - set(without))))
        return [], [
            f"{plank.name}: {names} do not all come out of it, by the sizes in the set file and "
            "with what begun bars took counted in; sizes of a plank there are those before "
            "anything was sawn from it"
        ]
    laid = lay_out(pieces, length=plank.length, width=plank.width, kerf=plan.kerf)
    left = set(bars) - set(without)
    earlier = [note_of(note) for note in sorted(known) if note in blueprint.sawn]
    told = (
        f"{plank.name}: {' '.join(earlier)} came out of it before this cut list, which has room "
        "for what they took but does not know where: look at the plank before you saw"
    )
    found = [replace(item, board=plank.name) for item in laid if item.piece.semitone in left]
    return found, [told] if earlier and found else []


def _of_boards(blueprint: Blueprint, rest: list[int], begun: Mapping[int, Begun]) -> list[int]:
    """Positions of the bars that boards are laid out for.

    Those that were sawn by this very list keep their places; for earlier ones there were other
    boards.
    """
    plan, lengths = blueprint.plan, blueprint.lengths.length
    alike = [
        note
        for note, item in begun.items()
        if not item.plank
        and note not in blueprint.sawn
        and note not in blueprint.plank
        and abs(item.blank_length - lengths[note - plan.lowest]) < ALIKE
        and abs(item.blank_width - plan.width(note)) < ALIKE
    ]
    return [note - plan.lowest for note in sorted({*rest, *alike})]


def _without_plank(blueprint: Blueprint, notes: Collection[int], begun: Mapping[int, Begun]) -> str:
    """Bars that get no plank: those that none does for, and those for which none is left."""
    suited = {note for found in blueprint.does_for.values() for note in found}
    names = {
        "no plank does for": [note_of(note) for note in notes if note not in suited],
        "no plank is left for": [note_of(note) for note in notes if note in suited],
    }
    told = "; ".join(f"{words} {' '.join(found)}" for words, found in names.items() if found)
    total = len(blueprint.plan.semitones)
    gone = {plank.name: taken(blueprint.plan, begun, plank.name) for plank in blueprint.plan.planks}
    went = [
        f"{' '.join(note_of(piece.semitone) for piece in pieces)} came out of {name}"
        for name, pieces in gone.items()
        if pieces
    ]
    if went and names["no plank is left for"]:
        told += f" (what begun bars took is gone: {', '.join(went)})"
    return (
        f"{told}: these {len(notes)} of {total} bars are designed in the wood of the stock, which "
        "must be got for them"
    )
