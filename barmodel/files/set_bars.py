"""Bar files of a set: written anew, replaced where nobody has worked on them, kept otherwise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from barmodel.atomic import write_atomically
from barmodel.bar import LEAST_THICKNESS
from barmodel.design import Request
from barmodel.errors import FileError
from barmodel.files.aim import TargetPart, aim_options, same_aim, same_note, target_of, target_part
from barmodel.files.bars import ends_off, wood_part
from barmodel.files.convert import entries_of
from barmodel.files.document import BarDocument, BlankPart, HolesPart, noted_after
from barmodel.files.lock import locked
from barmodel.files.log import NewAim
from barmodel.files.problems import file_error
from barmodel.files.set_work import OutcomePart
from barmodel.files.store import document_text, read_bar_file, update_bar_file
from barmodel.instrument import Hole, Outcome
from barmodel.pitch import note_of, note_semitone
from barmodel.units import MM


@dataclass(frozen=True, slots=True)
class Kept:
    """A bar file that a run over its set leaves as it is.

    Attributes
    ----------
    document : BarDocument or None
        What it holds; None if it cannot be read.
    why : str
        Empty for a bar that was begun, and is what the set file wants.
    became : str
        The note that it was made into instead; then the set lacks its own.
    now_keeps : bool
        Whether its file got the set file's least thickness in place of another.
    aims_elsewhere : bool
        Whether it is tuned to something else than the set file asks of this note.
    """

    document: BarDocument | None
    why: str
    became: str = ""
    now_keeps: bool = False
    aims_elsewhere: bool = False


def save_bar(
    folder: Path,
    request: Request,
    outcome: Outcome,
    earlier: Mapping[str, OutcomePart],
    plank: str | None = None,
    *,
    bring_over: bool = False,
) -> Kept | None:
    """Write the bar file of a design, or keep the file that is there.

    Parameters
    ----------
    folder : Path
    request : Request
    outcome : Outcome
        A design.
    earlier : mapping of str to OutcomePart
        Outcomes of earlier runs by note: a file that still holds just what they wrote is
        replaced.
    plank : str, optional
        What its blank is sawn from; a file that says nothing of it is told.
    bring_over : bool
        Whether a bar that was begun gets the aim of the set file.

    Returns
    -------
    Kept or None
        None for a bar that nobody has begun.
    """
    note = note_of(outcome.semitone)
    where = folder / f"{note}.bar.json"
    document = _of_plank(_bar_document(note, request, outcome), plank)
    with locked(where):
        if not where.exists():
            write_atomically(where, document_text(document))
            return None
        try:
            there = read_bar_file(where)
        except FileError as error:
            return Kept(None, f"was kept: {error}")
        now = _brought_over(there, document) if bring_over else there
        settled, kept = _settled(now, document, where, earlier.get(note))
        if settled != there:
            write_atomically(where, document_text(settled))
    return kept


def _brought_over(there: BarDocument, wanted: BarDocument) -> BarDocument:
    """A bar that was begun with the aim of the set file, written into its log."""
    if not is_begun(there) or not same_note(there.target, wanted.target):
        return there
    if same_aim(there.target, wanted.target):
        return there
    return there.with_entries(NewAim(target=wanted.target, remark="as the set file asks"))


def _settled(
    there: BarDocument, wanted: BarDocument, where: Path, before: OutcomePart | None
) -> tuple[BarDocument, Kept | None]:
    """What a bar file is to hold, and whether a bar that was begun is behind it.

    Parameters
    ----------
    there, wanted : BarDocument
        As it is, and as the set file would have it.
    where : Path
        The file.
    before : OutcomePart, optional
        What an earlier run came to.
    """
    if not same_note(there.target, wanted.target):
        return there, _become(there, wanted.name, where)
    told = _of_plank(there, there.blank.plank or wanted.blank.plank)
    if _bare(there) == _bare(wanted):
        if not there.log:
            return wanted.changed(holes=there.holes), None
        # the bar is what the set file wants, and so is to keep what that says now
        told = told.changed(keep_mm=wanted.keep_mm)
        kept = Kept(told, _shortened(told), now_keeps=told.keep_mm != there.keep_mm)
        return told, kept if is_begun(told) else None
    ours = before is not None and there.design == before.undercut
    same = (_bare(there).blank, there.wood) == (_bare(wanted).blank, wanted.wood)
    meant = not there.aims or same_aim(there.target, wanted.target)
    if ours and same and meant and there.log and not (there.cuts or there.undercut):
        # heard only: it can be another bar yet
        other = wanted.changed(holes=there.holes, log=there.log, blank=told.blank)
        return other, Kept(other, "") if is_begun(other) else None
    if there.log or there.undercut or not (ours or there.design is None):
        why = "has a history or a design of its own and was kept"
        why += _other_aim(there, wanted, where) + _other_keep(there, wanted)
        return there, Kept(there, why, aims_elsewhere=not same_aim(there.target, wanted.target))
    return wanted.changed(holes=there.holes), None


def _bare(document: BarDocument) -> BarDocument:
    """What shape a set asks of a bar, without what came of it and how sure its wood is."""
    wood = document.wood.model_copy(update={"spread_percent": {}})
    return document.changed(
        begun_for=document.target,
        blank=document.blank.model_copy(update={"plank": None}),
        wood=wood,
        design_target=None,
        holes=None,
        keep_mm=None,
        log=(),
    )


def _become(there: BarDocument, note: str, where: Path) -> Kept:
    """A bar that was made into another note: its own is to be made again."""
    became = there.target.note
    back = ""
    if there.aims and same_note(there.begun_for, TargetPart(note=note)):
        back = f"; or take its aim back: barmodel log {where} --cancel {there.aims[-1].id}"
    gone = there.blank.plank
    wood = f", which takes {gone} to be whole: look at it before you saw" if gone else ""
    return Kept(
        there,
        f"has become {became}, and the set lacks {note}: its blank is in the cut list again{wood}. "
        f"Rename that file, as {became}-from-{where.name}, and run this again: {note} is then "
        f"written anew{back}",
        became,
    )


def _shortened(document: BarDocument) -> str:
    """Why a bar is not what the set file wants though its design is: it is shorter by now."""
    off = sum(ends_off(document)) / MM
    return f"was shortened by {off:g} mm since it was designed, and was kept" if off else ""


def _of_plank(document: BarDocument, plank: str | None) -> BarDocument:
    """The same bar, sawn from a plank."""
    return document.changed(blank=document.blank.model_copy(update={"plank": plank}))


def bar_begun(folder: Path, semitone: int) -> Kept | None:
    """A bar file that someone has worked on, where the set file has no design for it; else None."""
    where = folder / f"{note_of(semitone)}.bar.json"
    try:
        there = read_bar_file(where)
    except FileError as error:
        return Kept(None, f"was kept: {error}") if where.exists() else None
    if not is_begun(there):
        return None
    if note_semitone(there.target.note) != semitone:
        return _become(there, note_of(semitone), where)
    return Kept(there, "has a history and was kept, though the set file's bar cannot be")


def drop_untouched(folder: Path, semitone: int, before: OutcomePart | None) -> None:
    """Remove the bar file of a note that has no design any more, if an earlier run wrote it all.

    Left there, it would count as a bar with a design of its own once the note has one again.
    """
    where = folder / f"{note_of(semitone)}.bar.json"
    with locked(where):
        try:
            there = read_bar_file(where)
        except FileError:
            return
        if before is not None and not there.log and _only_designed(there, before):
            where.unlink()


def _only_designed(there: BarDocument, before: OutcomePart) -> bool:
    return not there.undercut and there.design is not None and there.design == before.undercut


def is_begun(document: BarDocument) -> bool:
    """Whether its blank is sawn, by all that the file tells: a new aim is no work."""
    return bool(document.valid_log or document.undercut)


def save_holes(
    folder: Path, semitone: int, holes: tuple[Hole, Hole], *, diameter: float, own: bool
) -> None:
    """Write into a bar file where the cords of its set go through it; the left end is the player's.

    A bar whose holes are drilled keeps what its file tells.

    Parameters
    ----------
    folder : Path
    semitone : int
    holes : tuple of Hole
        The player's end first.
    diameter : float
        0 if there are to be none. [m]
    own : bool
        Whether the bar is not as the set file has it: then it gets none that its file has not.

    Raises
    ------
    FileError
        If the holes leave the bar or turn too far, or the file cannot be written.
    """
    where = folder / f"{note_of(semitone)}.bar.json"

    def placed(document: BarDocument) -> BarDocument:
        if document.drilled is not None or (own and document.holes is None):
            return document
        fields: dict[str, Any] = {"diameter_mm": _rounded_mm(diameter)}
        fields |= _places(holes, document)
        fields["noted_after"] = noted_after(document, fields["diameter_mm"])
        try:
            return document.changed(holes=HolesPart(**fields))
        except ValidationError as error:
            raise file_error(f"{where.name}: holes", error, HolesPart) from None

    there = read_bar_file(where)
    if placed(there) != there:
        update_bar_file(where, placed)


def _places(holes: tuple[Hole, Hole], document: BarDocument) -> dict[str, Any]:
    """Holes of a set as a bar file has them: left is the player's end, rear the bass edge."""
    player, far = holes
    left, right = ends_off(document)
    length_mm = document.blank.length_mm
    return {
        "at_mm": (
            round((left + player.middle) / MM, 3),
            round(length_mm - (right + far.middle) / MM, 3),
        ),
        "angle_degrees": (round(-player.angle_degrees, 2), round(far.angle_degrees, 2)),
    }


def holes_kept(document: BarDocument) -> tuple[Hole, Hole] | None:
    """The way back of `save_holes`: where the holes of a bar are by its own file.

    Parameters
    ----------
    document : BarDocument

    Returns
    -------
    tuple of Hole or None
        The player's end first, from the ends as they are now, nodes not known; None where the
        file tells of no places.
    """
    part = document.holes
    if part is None or part.diameter_mm == 0.0 or part.at_mm is None:
        return None
    edge = document.blank.width_mm * MM / 2
    left, right = ends_off(document)
    found = []
    for end, middle, angle in (
        ("player", part.at_mm[0] * MM - left, -part.angle_degrees[0]),
        ("far", (document.blank.length_mm - part.at_mm[1]) * MM - right, part.angle_degrees[1]),
    ):
        out = math.tan(math.radians(angle)) * edge
        found.append(
            Hole(
                end=end,
                node=math.nan,
                middle=middle,
                bass_edge=middle - out,
                treble_edge=middle + out,
                angle_degrees=angle,
                motion=math.nan,
            )
        )
    return found[0], found[1]


def _other_aim(there: BarDocument, wanted: BarDocument, where: Path) -> str:
    """What a bar that is kept aims at, where the set file has changed its mind since."""
    if same_aim(there.target, wanted.target):
        return "; its aim is that of the set file" if there.aims else ""
    options = aim_options(there.target, wanted.target)
    return (
        f"; it aims at {_aim(there)}, the set file at {_aim(wanted)}: to bring it over, barmodel "
        f"log {where} {options}; what that takes, --retune tells"
    )


def _other_keep(there: BarDocument, wanted: BarDocument) -> str:
    """The least thickness of a bar that is kept, where it is not the set file's."""
    if there.keep_mm == wanted.keep_mm:
        return ""
    kept = LEAST_THICKNESS / MM if there.keep_mm is None else there.keep_mm
    return f"; the bench keeps {kept:g} mm of it, as its own file says, not {wanted.keep_mm:g}"


def _aim(document: BarDocument) -> str:
    target = target_of(document.target)
    ratios = ":".join(f"{ratio:g}" for ratio in target.ratios)
    return f"{target.hz[0]:.2f} Hz (A4 = {target.a4_hz:g}, {ratios})"


def _bar_document(note: str, request: Request, outcome: Outcome) -> BarDocument:
    blank = request.blank
    return BarDocument(
        name=note,
        blank=BlankPart(
            length_mm=_rounded_mm(blank.length),
            width_mm=_rounded_mm(blank.width),
            thickness_mm=_rounded_mm(blank.thickness),
        ),
        wood=wood_part(blank.wood),
        target=target_part(request.target),
        design=entries_of(outcome.undercut),
        keep_mm=_rounded_mm(request.limits.keep),
    )


def _rounded_mm(value: float) -> float:
    return round(value / MM, 6)
