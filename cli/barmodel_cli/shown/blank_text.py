"""What a blank is good for: how it rings, and which notes it can become."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmodel.design.notes import Note
    from barmodel.files import BarDocument
    from barmodel.wood import Wood


def ring_of(document: BarDocument) -> tuple[float | None, ...]:
    """Quality factor of each mode of the uncut bar, where a recording told its decay."""
    from barmodel.fit import quality
    from barmodel_cli.shown.design_cautions import taps_of_blank

    return quality([(reading.hz, reading.decay_s) for reading in taps_of_blank(document)])


def notes_of(document: BarDocument, wood: Wood) -> tuple[Note, ...]:
    """Notes this blank can become with the ratios in its file, were it of that wood."""
    from barmodel.design.notes import notes_for
    from barmodel.files import bar_at_start, target_of

    blank = replace(bar_at_start(document).blank, wood=wood)
    return notes_for(blank, target_of(document.target))


def content_of_blank(ring: tuple[float | None, ...], notes: tuple[Note, ...]) -> dict[str, Any]:
    """The same for programs."""
    from barmodel.units import MM

    return {
        "quality_factor": ring,
        "notes": [{"note": one.note, "least_mm": one.least / MM} for one in notes],
    }


def show_blank(
    document: BarDocument, ring: tuple[float | None, ...], notes: tuple[Note, ...]
) -> None:
    """Print it."""
    from barmodel.pitch import note_semitone
    from barmodel.units import MM

    heard = [f"{q:.0f} (mode {k})" for k, q in enumerate(ring, start=1) if q is not None]
    if heard:
        print(f"Q by its ring: {', '.join(heard)}; fingers and supports take from it")
    ratios = ":".join(f"{ratio:g}" for ratio in document.target.ratios[:3])
    if not notes:
        print(f"no note with {ratios} was found for a blank of this size and wood")
        return
    low, high = notes[0], notes[-1]
    text = f"{low.note} ({low.least / MM:.1f} mm left)"
    if len(notes) > 1:
        text += f" to {high.note} ({high.least / MM:.1f} mm)"
    print(f"with {ratios} this blank can become, by the beam: {text}")
    semitone = note_semitone(document.target.note)
    if not low.semitone <= semitone <= high.semitone:
        print(
            f"its target, {document.target.note}, is not among them: the design tells what of the "
            "blank or the target would have to change"
        )
