"""Files people keep: schemas in the units of the bench, conversion to SI, safe reading and writing.

`BarDocument` is what stands in a bar file; `bar_as_is` and its siblings make the library's `Bar`
of it. The description of a whole instrument (set file) has its own module beside `document`.
"""

from barmodel.files.aim import (
    TargetPart,
    aim_in_words,
    aim_options,
    ratios_in_words,
    same_aim,
    same_note,
    target_of,
    target_part,
)
from barmodel.files.bars import (
    bar_as_designed,
    bar_as_is,
    bar_at_start,
    blank_bar,
    cord_holes,
    design_entries,
    entries_made,
    wood_of,
    wood_part,
)
from barmodel.files.convert import entries_of, entry_of, shape_of, shapes_of, with_entries_cut
from barmodel.files.cut_file import CutFile, read_cut_file, read_entries, write_cut_file
from barmodel.files.cuts import (
    ArchCut,
    CutEntry,
    EndsCut,
    GrooveCut,
    PocketCut,
    TableCut,
    UndercutEntry,
)
from barmodel.files.cutter_list import read_cutters
from barmodel.files.document import BarDocument, BlankPart, HolesPart, WoodPart
from barmodel.files.log import (
    AnyEntry,
    Cancellation,
    CutMade,
    NewAim,
    PartialLine,
    Reading,
    SourceFile,
)
from barmodel.files.schemas import file_schemas
from barmodel.files.store import (
    append_entries,
    appended,
    read_bar_file,
    update_bar_file,
    write_bar_file,
)

__all__ = [
    "AnyEntry",
    "ArchCut",
    "BarDocument",
    "BlankPart",
    "Cancellation",
    "CutEntry",
    "CutFile",
    "CutMade",
    "EndsCut",
    "GrooveCut",
    "HolesPart",
    "NewAim",
    "PartialLine",
    "PocketCut",
    "Reading",
    "SourceFile",
    "TableCut",
    "TargetPart",
    "UndercutEntry",
    "WoodPart",
    "aim_in_words",
    "aim_options",
    "append_entries",
    "appended",
    "bar_as_designed",
    "bar_as_is",
    "bar_at_start",
    "blank_bar",
    "cord_holes",
    "design_entries",
    "entries_made",
    "entries_of",
    "entry_of",
    "file_schemas",
    "ratios_in_words",
    "read_bar_file",
    "read_cut_file",
    "read_cutters",
    "read_entries",
    "same_aim",
    "same_note",
    "shape_of",
    "shapes_of",
    "target_of",
    "target_part",
    "update_bar_file",
    "with_entries_cut",
    "wood_of",
    "wood_part",
    "write_bar_file",
    "write_cut_file",
]
