"""The step that comes next for a bar, by what its file holds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.shown.design_cautions import stiffness_from_table, taps_of_blank

if TYPE_CHECKING:
    from barmodel.files import BarDocument


def next_step(path: Path, document: BarDocument) -> str:
    """Name the command that carries the work on.

    Parameters
    ----------
    path : Path
        Of the bar file.
    document : BarDocument
    """
    if not document.valid_log:
        return f"barmodel hear STRIKE.wav --into {path}"
    if document.valid_log[-1].kind == "cut":
        return f"barmodel hear STRIKE.wav --into {path}, to know what the cut did"
    if document.begun:
        return f"barmodel next {path}"
    if document.design is None and taps_of_blank(document) and stiffness_from_table(document):
        return f"barmodel fit {path} --save, then barmodel design {path} --save"
    if document.design is None or document.design_is_old:
        return f"barmodel design {path} --save"
    return f"barmodel next {path} --save CUT.json, for the first cut"
