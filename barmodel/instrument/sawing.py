"""Where every blank of a set is sawn out: of its plank, or of boards of the stock."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from barmodel.errors import InputError
from barmodel.instrument.assign import blanks
from barmodel.instrument.blueprint import Blueprint
from barmodel.instrument.cutting import Sawn, lay_out
from barmodel.pitch import note_of


def saw(
    blueprint: Blueprint, *, without: Collection[int] = ()
) -> tuple[tuple[Sawn, ...], tuple[str, ...]]:
    """Lay the blanks out in their planks, the others in boards; and say what does not fit.

    Parameters
    ----------
    blueprint : Blueprint
        Lengths, and the plank of each bar.
    without : collection of int
        Bars that need no blank, by semitone: they have one already, or no design.

    Returns
    -------
    sawn : tuple of Sawn
    trouble : tuple of str
        What does not fit, and which bars no plank does for.
    """
    plan, lengths = blueprint.plan, blueprint.lengths.length
    sawn: list[Sawn] = []
    for plank in plan.planks:
        bars = [
            n - plan.lowest
            for n, name in blueprint.plank.items()
            if name == plank.name and n not in without
        ]
        laid = lay_out(
            blanks(plan, lengths, bars), length=plank.length, width=plank.width, kerf=plan.kerf
        )
        sawn += [replace(item, board=plank.name) for item in laid]
    rest = [
        i
        for i, note in enumerate(plan.semitones)
        if note not in blueprint.plank and note not in without
    ]
    trouble = []
    if rest and plan.planks:
        trouble.append(_without_plank(blueprint, [plan.semitones[i] for i in rest]))
    if rest and plan.board_length is not None and plan.board_width is not None:
        try:
            sawn += lay_out(
                blanks(plan, lengths, rest),
                length=plan.board_length,
                width=plan.board_width,
                kerf=plan.kerf,
            )
        except InputError as error:
            trouble.append(f"no cut list: {error}")
    return tuple(sawn), tuple(trouble)


def _without_plank(blueprint: Blueprint, notes: list[int]) -> str:
    """Bars that get no plank: those that none does for, and those for which none is left."""
    suited = {note for found in blueprint.does_for.values() for note in found}
    names = {
        "no plank does for": [note_of(note) for note in notes if note not in suited],
        "no plank is left for": [note_of(note) for note in notes if note in suited],
    }
    told = "; ".join(f"{words} {' '.join(found)}" for words, found in names.items() if found)
    total = len(blueprint.plan.semitones)
    return (
        f"{told}: these {len(notes)} of {total} bars are designed in the wood of the stock, which "
        "must be got for them"
    )
