"""Write a figure to a file, in the kind its name asks for, whole or not at all."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel.atomic import replaced
from barmodel.errors import FileError
from barmodel.plots.style import look

if TYPE_CHECKING:
    from matplotlib.figure import Figure

KINDS = ("png", "svg", "pdf")
"""Kinds of file a picture can be saved as."""
DOTS_PER_INCH = 160


def save_figure(figure: Figure, path: str | Path) -> Path:
    """Save a figure as PNG, SVG or PDF, told by the suffix of `path`.

    An older picture is never left half overwritten.

    Parameters
    ----------
    figure : Figure
    path : str or Path
        Where to, ending in `.png`, `.svg` or `.pdf`.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    FileError
        If the suffix is another, or the folder is missing or closed to writing.
    """
    path = Path(path)
    kind = path.suffix.lower().lstrip(".")
    if kind not in KINDS:
        given = f"ends in {path.suffix!r}" if path.suffix else "has no ending"
        raise FileError(f"picture {path}: the name {given}; end it in .png, .svg or .pdf")
    with replaced(path) as part:
        _write(figure, part, kind)
    return path


def _write(figure: Figure, path: Path, kind: str) -> None:
    # no date inside: the same bar gives the same file
    dateless = {"svg": {"Date": None}, "pdf": {"CreationDate": None}, "png": {}}[kind]
    with warnings.catch_warnings(), look():
        # a name in another script: its letters become boxes
        warnings.filterwarnings("ignore", message="Glyph .* missing")
        figure.savefig(path, format=kind, dpi=DOTS_PER_INCH, metadata=dateless)
