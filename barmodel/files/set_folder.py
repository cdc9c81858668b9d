"""What the folder of a set knows of the bars in it: where they will be played, and their order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from barmodel.files.aim import TargetPart
from barmodel.files.set_work import WORK_NAME, AirKept, outcome_of, read_work
from barmodel.instrument import order_of_work
from barmodel.pitch import note_of, note_semitone
from barmodel.weather import Condition


@dataclass(frozen=True, slots=True)
class SetFolder:
    """A folder that `barmodel instrument` has written.

    Attributes
    ----------
    path : Path
    room, bench : Condition or None
        Where the set will be played, and where it is tuned.
    order : tuple of str
        Notes in the order of work; those without a design last.
    without : mapping of str to str
        Why a note has no design.
    targets : mapping of str to TargetPart
        What the set file asked of each note in its last run.
    """

    path: Path
    room: Condition | None
    bench: Condition | None
    order: tuple[str, ...]
    without: Mapping[str, str]
    targets: Mapping[str, TargetPart]

    def there(self, note: str) -> bool:
        """Whether a note has its bar file, or no design."""
        return note in self.without or self.bar_file(note).exists()

    def bar_file(self, note: str) -> Path:
        """Where the bar file of a note lies."""
        return self.path / f"{note}.bar.json"


def read_set_folder(folder: Path) -> SetFolder | None:
    """Read what is known of a set; None if the folder is not one of a set.

    Raises
    ------
    FileError
        If its record cannot be read.
    """
    if not (folder / WORK_NAME).exists():
        return None
    work = read_work(folder)
    outcomes = [outcome_of(note, part) for note, part in work.bars.items()]
    named = {} if work.lengths is None else work.lengths.planks
    planks = {note_semitone(note): name for note, name in named.items()}
    return SetFolder(
        path=folder,
        room=_condition(work.room),
        bench=_condition(work.bench),
        order=tuple(map(note_of, order_of_work(outcomes, planks))),
        without={note_of(item.semitone): item.reason for item in outcomes if not item.designed},
        targets=work.targets,
    )


def _condition(kept: AirKept | None) -> Condition | None:
    return None if kept is None else Condition(kept.temperature_c, kept.moisture_percent)
