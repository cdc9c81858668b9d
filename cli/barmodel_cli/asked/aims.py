"""Another aim for a bar that has one: what is asked, and the slips that are likely."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.asked.plausible import FAR_CENTS, expected_hz

if TYPE_CHECKING:
    from barmodel.files import BarDocument, TargetPart

TARGET = "Another aim for this bar"
"""Panel of the options."""


def aim_asked(
    document: BarDocument,
    *,
    note: str | None,
    a4: float | None,
    ratios: str | None,
    offset: float | None,
) -> TargetPart | None:
    """Read the options, what is not given being as it is now; None if none was given.

    Raises
    ------
    InputError
        If no bar can be tuned to that.
    BadValue
        If it is what the bar aims at already.
    """
    from barmodel.files import aim_in_words, same_aim, target_of, target_part
    from barmodel.pitch import Target, parse_ratios

    if note is None and a4 is None and ratios is None and offset is None:
        return None
    now = target_of(document.target)
    wanted = target_part(
        Target(
            now.note if note is None else note,
            now.a4_hz if a4 is None else a4,
            now.ratios if ratios is None else parse_ratios(ratios),
            now.offset_cents if offset is None else offset,
        )
    )
    if same_aim(wanted, document.target):
        raise BadValue(
            f"{document.name} aims at {aim_in_words(document.target)} already, so nothing changes "
            "and nothing was written"
        )
    return wanted


def check_aim(document: BarDocument, wanted: TargetPart) -> None:
    """Refuse an aim that this bar is too far from to be meant.

    Above what it rings at by more than any end can raise it; or, once it has its undercut, as
    far below it and below its present aim as well.

    Raises
    ------
    BadValue
        With the octave that is likely meant.
    """
    if told := too_far(document, wanted):
        raise BadValue(
            f"{told} (more than {FAR_CENTS:.0f} cents, own judgement).{_octave(document, wanted)} "
            "Nothing was written; if it is right, add --unusual"
        )


def too_far(document: BarDocument, wanted: TargetPart) -> str:
    """Say which mode is farther from an aim than can be meant; empty if none is."""
    from barmodel.files import target_of

    old = target_of(document.target).hz.tolist()
    for mode, hz in enumerate(target_of(wanted).hz.tolist()):
        there, heard = _rings_at(document, mode)
        if there is None:
            continue
        away = _cents(hz, there)
        down = document.begun and away < -FAR_CENTS
        far = away > FAR_CENTS or (down and mode < len(old) and _cents(hz, old[mode]) < -FAR_CENTS)
        if far:
            return (
                f"mode {mode + 1} would have to come to {hz:.1f} Hz, {abs(away):.0f} cents "
                f"{'above' if away > 0 else 'below'} the {there:.1f} Hz "
                f"{'it was last heard at' if heard else 'that the file foretells'}"
            )
    return ""


def _rings_at(document: BarDocument, mode: int) -> tuple[float | None, bool]:
    """Where a mode is, counted from 0, and whether that was heard. [Hz]

    Without a reading only mode 1 is asked of the model: what it says of the others is no reason
    to refuse.
    """
    from barmodel.files import bar_as_is

    for reading in reversed(document.readings):
        if mode < len(reading.hz) and reading.hz[mode] is not None:
            return reading.hz[mode], True
    return (expected_hz(bar_as_is(document), 1)[0], False) if mode == 0 else (None, False)


def _octave(document: BarDocument, wanted: TargetPart) -> str:
    """The same note in the octave that the bar is in; of a blank, in that of its present aim."""
    from barmodel.files import target_of
    from barmodel.pitch import note_of, note_semitone

    there = _rings_at(document, 0)[0] if document.begun else None
    if there is None:
        there = target_of(document.target).fundamental_hz
    octaves = round(_cents(target_of(wanted).fundamental_hz, there) / 1200.0)
    other = note_semitone(wanted.note) - 12 * octaves
    if octaves == 0 or not 0 <= other < 120:
        return ""
    meant = wanted.model_copy(update={"note": note_of(other)})
    return "" if too_far(document, meant) else f" Did you mean --note {meant.note}?"


def _cents(hz: float, reference_hz: float) -> float:
    return 1200.0 * math.log2(hz / reference_hz)
