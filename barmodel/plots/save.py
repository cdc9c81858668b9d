"""Write a figure to a file, in the kind its name asks for, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel.errors import FileError
from barmodel.plots.style import look

if TYPE_CHECKING:
    from matplotlib.figure import Figure

KINDS = ("png", "svg", "pdf")
"""Kinds of file a picture can be saved as."""
DOTS_PER_INCH = 160


def save_figure(figure: Figure, path: str | Path) -> Path:
    """Save a figure as PNG, SVG or PDF, told by the suffix of `path`.

    The file is written beside its place and moved there when complete, so that an older picture
    is never left half overwritten.

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
    if not path.parent.is_dir():
        raise FileError(f"picture {path}: the folder {path.parent} does not exist; make it first")
    try:
        _write(figure, path, kind)
    except OSError as error:
        raise FileError(
            f"picture {path}: cannot be written ({error.strerror}); "
            "check the disk and the rights to the folder, or name another place"
        ) from None
    return path


def _write(figure: Figure, path: Path, kind: str) -> None:
    # no date inside: the same bar gives the same file
    dateless = {"svg": {"Date": None}, "pdf": {"CreationDate": None}, "png": {}}[kind]
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file, look():
            figure.savefig(file, format=kind, dpi=DOTS_PER_INCH, metadata=dateless)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
