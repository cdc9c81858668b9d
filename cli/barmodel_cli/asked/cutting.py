"""The options by which a cut is told, shared by `try` and `cut`, and what they mean.

The library is imported inside the functions, so that the help of the commands stays quick.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from barmodel_cli.asked.options import BadValue, length_option, made, read_length_mm

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.cuts import Cut
    from barmodel.files import CutEntry, CutFile
    from barmodel.undercut.cutters import Cutter

PANEL = "The cut"
CUTTER_LIST = "cutters.toml"
"""Name of a maker's list of cutters, looked for beside the bar file."""

SIZES = (
    "bit12 and drum40 are 12 and 40 mm across (diameters), scraper20, file10 and belt100 cut "
    "20, 10 and 100 mm along the bar"
)

At: TypeAlias = Annotated[
    list[float] | None,
    typer.Option(
        "--at",
        parser=read_length_mm,
        metavar="LENGTH",
        help="Middle of the cut, from the left end; the other half gets the same cut, mirrored, "
        "unless --one-side. More than one makes several alike.",
        rich_help_panel=PANEL,
        show_default=False,
    ),
]
From: TypeAlias = Annotated[
    float | None,
    length_option(
        "--from", help="Where the cut begins; mirrored on the other half as --at.", panel=PANEL
    ),
]
To: TypeAlias = Annotated[
    float | None, length_option("--to", help="Where the cut ends.", panel=PANEL)
]
Width: TypeAlias = Annotated[
    float | None, length_option("--width", help="Length of the cut along the bar.", panel=PANEL)
]
Depth: TypeAlias = Annotated[
    float | None, length_option("--depth", help="Depth from the present surface.", panel=PANEL)
]
CutterName: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--cutter",
        metavar="NAME",
        help=f"{SIZES}, or any other size; a scraper or file leaves a dish, a drum an arc: deepest "
        "in the middle, and that is its depth. Without it the cut has a flat floor and walls.",
        rich_help_panel=PANEL,
        show_default=False,
    ),
]
CuttersPath: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--cutters",
        metavar="FILE",
        help="Your own cutters; without it cutters.toml beside the bar file, if there is one.",
        rich_help_panel=PANEL,
        show_default=False,
    ),
]
OneSide: TypeAlias = Annotated[
    bool,
    typer.Option(
        "--one-side",
        help="Only there; without it the other half gets the same cut, mirrored.",
        rich_help_panel=PANEL,
    ),
]
Ends: TypeAlias = Annotated[
    float | None,
    length_option(
        "--ends", help="Length off each end (with --one-side the left one).", panel=PANEL
    ),
]
EntriesPath: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--entries",
        metavar="FILE",
        help="The file that `next --save` wrote, or a list of undercut entries made by hand.",
        rich_help_panel=PANEL,
        show_default=False,
    ),
]
OtherBar: TypeAlias = Annotated[
    bool,
    typer.Option(
        "--unusual", help="With --entries: take a file made for another bar; checked, and meant so."
    ),
]
Keep: TypeAlias = Annotated[
    float | None,
    length_option(
        "--keep",
        help="Thickness that must remain where it is cut, for this once; otherwise what the bar "
        "file tells, or 2 mm.",
        panel=PANEL,
    ),
]


def own_cutters(bar_file: Path, given: Path | None) -> dict[str, Cutter]:
    """Read the maker's own cutters: from the file given, or from the one beside the bar file."""
    from barmodel.files import read_cutters

    path = given or bar_file.with_name(CUTTER_LIST)
    return read_cutters(path) if given is not None or path.exists() else {}


@dataclass(frozen=True, slots=True)
class CutWords:
    """A cut as told on the command line, lengths in mm."""

    at: Sequence[float] | None = None
    start: float | None = None
    end: float | None = None
    width: float | None = None
    depth: float | None = None
    cutter: str | None = None
    one_side: bool = False
    ends: float | None = None
    entries: CutFile | None = None
    own: Mapping[str, Cutter] = field(default_factory=dict)

    @property
    def said(self) -> bool:
        """Whether any cut was told."""
        told = (self.at, self.start, self.end, self.ends, self.entries)
        return any(value is not None and value != [] for value in told)

    @property
    def sized(self) -> bool:
        """Whether the size of a cut was told, or that it is on one half only."""
        return self.width is not None or self.depth is not None or self.one_side

    def to_entries(self, bar: Bar) -> tuple[CutEntry, ...]:
        """Entries of a bar file for the cut.

        Raises
        ------
        BadValue
            If the words do not make a cut.
        """
        from barmodel.files import EndsCut

        found: list[CutEntry] = []
        if self.entries is not None:
            found += self.entries.entries
        found += self._shapes(bar)
        if self.ends is not None:
            if not self.ends > 0.0:
                raise BadValue(f"--ends is {self.ends:g} mm; it must be above zero")
            side = "left_mm" if self.one_side else "length_mm"
            found.append(made("--ends", EndsCut, **{side: self.ends}))
        if not found:
            raise BadValue(
                "say a cut: --at 200 --width 12 --depth 0.3, or --from 95 --to 305 --depth 5, "
                "or --ends 1.0"
            )
        return tuple(found)

    def _shapes(self, bar: Bar) -> list[CutEntry]:
        from barmodel.files import GrooveCut, entry_of
        from barmodel.undercut.cutters import Cutter, find_cutter
        from barmodel.units import MM

        spots = self._spots()
        if not spots:
            return []
        if self.depth is None:
            raise BadValue("how deep? give --depth, as --depth 0.3")
        if self.cutter is not None:
            tool = find_cutter(self.cutter, self.own)
        else:
            tool = Cutter(name="the cut", kind="bit", width=1e-6)
        out: list[CutEntry] = []
        for middle, width in spots:
            if width is None and self.cutter is None:
                raise BadValue("how long along the bar? give --width 12, or --cutter, as drum40")
            shape = tool.cut(
                at=middle * MM,
                depth=self.depth * MM,
                width=None if width is None else width * MM,
                mirror=not self.one_side and abs(2 * middle * MM - bar.blank.length) > 1e-6,
            )
            entry = entry_of(shape)
            if isinstance(entry, GrooveCut) and entry.section == "round":
                # as long as the drum cuts at whatever depth is found afterwards
                entry = entry.model_copy(update={"width_mm": None})
            out.append(entry)
        return out

    def _spots(self) -> list[tuple[float, float | None]]:
        """Middle and width of every cut. [mm]"""
        if (self.start is None) != (self.end is None):
            raise BadValue("--from and --to belong together; give both")
        spots = [(middle, self.width) for middle in self.at or ()]
        if self.start is not None and self.end is not None:
            if not self.start < self.end:
                raise BadValue(f"--from {self.start:g} is not before --to {self.end:g}")
            spots.append(((self.start + self.end) / 2, self.end - self.start))
        if not spots and (self.depth is not None or self.width is not None):
            raise BadValue("where? give --at, or --from and --to")
        return spots


def to_cuts(entries: Sequence[CutEntry]) -> list[Cut]:
    """The library's cuts for entries of a file."""
    from barmodel.cuts import EndTrim
    from barmodel.files import EndsCut, shape_of
    from barmodel.units import MM

    out: list[Cut] = []
    for entry in entries:
        if isinstance(entry, EndsCut):
            left, right = entry.both_mm
            out.append(EndTrim(left=left * MM, right=right * MM))
        else:
            out.append(shape_of(entry))
    return out
