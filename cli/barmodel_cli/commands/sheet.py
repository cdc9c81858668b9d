"""`barmodel sheet`."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from barmodel_cli.options import BadValue, BarFile, Json, length_option, number_option
from barmodel_cli.show import caution, print_json, progress

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument
    from barmodel.holes import CordHole
    from barmodel.modes import ModeSet
    from barmodel.sheets import Job

HOLES = "Cord holes"
LONG_ENOUGH = 0.2
"""Mode 3 is not told on shorter bars: the estimate does not hold there. [m]"""


class PaperName(StrEnum):
    """Sizes of paper."""

    A4 = "a4"
    A3 = "a3"
    LETTER = "letter"


Outputs = Annotated[
    list[Path] | None,
    typer.Option(
        "--out", metavar="FILE", show_default="NAME.pdf beside the bar file",
        help="FILE.pdf: all sheets; FILE.svg, .dxf, .csv: the profile. May be given several times.",
    ),
]  # fmt: skip
HoleAt = Annotated[
    list[float] | None,
    length_option(
        "--hole-at", help="Hole on the middle line, from the left; otherwise at the tuned nodes.",
        panel=HOLES,
    ),
]  # fmt: skip


def run(
    bar_file: BarFile,
    out: Outputs = None,
    paper: Annotated[PaperName, typer.Option(help="Size of the paper.")] = PaperName.A4,
    portrait: Annotated[bool, typer.Option("--portrait", help="Long side upright.")] = False,
    printer_scale: Annotated[
        float,
        number_option(
            "--printer-scale", positive=True,
            help="What a check ruler measures over what it must: 0.995 undoes a printer that "
            "prints half a percent short.",
        ),
    ] = 1.0,
    blank: Annotated[bool, typer.Option("--blank", help="Marks for the uncut blank.")] = False,
    remaining: Annotated[
        bool, typer.Option("--remaining", help="What is left to cut from the bar as it is now.")
    ] = False,
    every: Annotated[
        float, length_option("--every", help="Distance between depth stations.")
    ] = 10.0,
    cutter: Annotated[
        float, length_option("--cutter", help="Diameter of the router bit, for its stops.")
    ] = 12.0,
    hole_at: HoleAt = None,
    hole_diameter: Annotated[
        float, length_option("--hole-diameter", help="Diameter; 0 for no holes.", panel=HOLES)
    ] = 6.4,
    hole_height: Annotated[
        float | None,
        length_option("--hole-height", help="Axis under the flat top [half way]", panel=HOLES),
    ] = None,
    hole_angle: Annotated[
        float,
        number_option(
            "--hole-angle", panel=HOLES,
            help="Degrees out of square; the holes of the right half turn the other way.",
        ),
    ] = 0.0,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Full-scale paper for the bench, and drawings of the profile.

    Example: barmodel sheet G3 --paper a3 --printer-scale 0.998 --out G3.pdf --out G3.dxf
    """
    from barmodel.files import read_bar_file
    from barmodel.sheets import Paper

    if blank and remaining:
        raise BadValue("--blank and --remaining are two kinds of sheet; give one of them")
    page = Paper(paper.value, not portrait, printer_scale)
    document = read_bar_file(bar_file)
    outputs = out or [bar_file.with_name(f"{document.name}.pdf")]
    for path in outputs:
        if path.suffix.lower() not in (".pdf", ".svg", ".dxf", ".csv"):
            raise BadValue(f"{path}: end the name in .pdf, .svg, .dxf or .csv")
    kind = "blank" if blank else "remaining" if remaining else "design"
    drilling = (hole_at, hole_diameter, hole_height, hole_angle)
    with progress("drawing"):
        job, effect = _job(document, kind, every, cutter, drilling)
        sheets = [_write(job, path, page) for path in outputs]
    if as_json:
        print_json("sheet", _content(job, effect, outputs, sheets, page.scale))
        return
    for path, count in zip(outputs, sheets, strict=True):
        print(f"{path}: {count} sheets" if count else f"{path}")
    nodes = ", ".join(f"{x * 1e3:.1f}" for x in job.nodes)
    print(f"nodes of mode 1 when tuned: {nodes} mm from the left end")
    for said in _said_of_holes(effect):
        print(said)


def _write(job: Job, path: Path, paper: Any) -> int:
    """Write one file of the kind its name asks for; return the number of sheets."""
    from barmodel.sheets import write_csv, write_dxf, write_pdf, write_svg

    kind = path.suffix.lower()
    if kind == ".pdf":
        return write_pdf(job, path, paper)
    {".svg": write_svg, ".dxf": write_dxf, ".csv": write_csv}[kind](job, path)
    return 0


def _job(
    document: BarDocument, kind: Any, every: float, cutter: float,
    drilling: tuple[list[float] | None, float, float | None, float],
) -> tuple[Job, Effect]:  # fmt: skip
    from datetime import date

    from barmodel.files import bar_as_is, target_of
    from barmodel.modes import solve
    from barmodel.sheets import Job
    from barmodel.units import MM

    now = bar_as_is(document)
    aim, notes = _aim(document, now, kind)
    tuned = solve(aim, count=max(3, len(document.target.ratios)))
    holes = _holes(aim, [float(x) for x in tuned.nodes[0]], *drilling)
    effect = _effect_of_holes(aim, tuned, holes)
    changed = document.cuts or document.undercut
    there = solve(now, count=1).nodes[0] if changed and now != aim else ()
    return Job(
        name=document.name,
        aim=aim,
        now=now,
        kind=kind,
        target=target_of(document.target),
        wood=now.blank.wood.species or "",
        date=date.today().isoformat(),
        nodes=tuple(float(x) for x in tuned.nodes[0]),
        nodes_now=tuple(float(x) for x in there),
        holes=holes,
        every=every * MM,
        cutter=cutter * MM,
        notes=(*notes, *_said_of_holes(effect)),
    ), effect


def _aim(document: BarDocument, now: Bar, kind: str) -> tuple[Bar, tuple[str, ...]]:
    """Return the bar to be drawn: the design, shortened as the bar has been since."""
    from barmodel.files import EndsCut, bar_as_designed
    from barmodel.units import MM

    if document.design is None and kind == "design":
        said = "There is no design in the bar file: these sheets show the bar as it is."
        caution(said)
        return now, (said,)
    aim = bar_as_designed(document)
    for cut in document.cuts:
        for entry in cut.entries:
            if isinstance(entry, EndsCut):
                left, right = entry.both_mm
                aim = aim.trimmed(left=left * MM, right=right * MM)
    return aim, ()


def _holes(
    aim: Bar, nodes: list[float], at: list[float] | None, diameter: float,
    height: float | None, angle: float,
) -> tuple[CordHole, ...]:  # fmt: skip
    """Holes asked for, or at the nodes as far as there is wood for them."""
    from barmodel.errors import GeometryError
    from barmodel.holes import CordHole, check_hole
    from barmodel.units import MM

    if diameter <= 0.0:
        return ()
    middle = aim.blank.length / 2
    axis = aim.blank.thickness / 2 if height is None else height * MM
    holes = []
    for x in nodes if at is None else [place * MM for place in at]:
        turn = angle if x <= middle else -angle
        hole = CordHole(x, diameter * MM, axis, turn)
        try:
            check_hole(aim, hole)
        except GeometryError as error:
            if at is not None:
                raise
            caution(f"not drawn: {error}")
            continue
        holes.append(hole)
    return tuple(holes)


class Effect(NamedTuple):
    """What the holes do: cents on each mode; distance from the node and motion of each hole."""

    shift_cents: Any
    length: float
    supports: tuple[tuple[float, float], ...]


def _effect_of_holes(aim: Bar, tuned: ModeSet, holes: tuple[CordHole, ...]) -> Effect:
    from barmodel.holes import hole_shift, support_motion

    supports = tuple(support_motion(tuned, hole.x) for hole in holes)
    return Effect(hole_shift(aim, tuned, holes), aim.blank.length, supports)


def _said_of_holes(effect: Effect) -> tuple[str, ...]:
    """Sentences about the holes, for the screen and for the sheet of cautions."""
    if not effect.supports:
        return ()
    told = effect.shift_cents[: 3 if effect.length > LONG_ENOUGH else 2]
    shifts = ", ".join(f"{cents:+.1f}" for cents in told)
    modes = ", ".join(str(number) for number in range(1, len(told) + 1))
    said = [
        f"The holes will move modes {modes} by about {shifts} cents (an estimate; "
        "mode 1 good to about 15 %): what will fall must be that much sharper before drilling."
    ]
    for number, (distance, motion) in enumerate(effect.supports, start=1):
        if abs(distance) >= 0.5e-3:
            side = "inside" if distance > 0 else "outside"
            said.append(
                f"Hole {number} lies {abs(distance) * 1e3:.1f} mm {side} its node and moves with "
                f"{100 * motion:.1f} % of the middle of the bar; over 2 to 4 mm costs ring."
            )
    return tuple(said)


def _content(
    job: Job, effect: Effect, outputs: list[Path], sheets: list[int], scale: float
) -> dict[str, Any]:
    width = job.aim.blank.width
    return {
        "files": [str(path) for path in outputs],
        "sheets": sum(sheets),
        "scale": scale,
        "kind": job.kind,
        "nodes_mm": [x * 1e3 for x in job.nodes],
        "nodes_now_mm": [x * 1e3 for x in job.nodes_now],
        "holes": [
            {
                "x_mm": hole.x * 1e3,
                "front_mm": hole.ends(width)[0] * 1e3,
                "rear_mm": hole.ends(width)[1] * 1e3,
                "diameter_mm": hole.diameter * 1e3,
                "height_mm": hole.height * 1e3,
                "angle_degrees": hole.angle_degrees,
                "from_node_mm": distance * 1e3,
                "motion": motion,
            }
            for hole, (distance, motion) in zip(job.holes, effect.supports, strict=True)
        ],
        "x_mm": [place.x * 1e3 for place in job.places],
        "depth_mm": job.depths() * 1e3,
        "thickness_mm": job.thicknesses() * 1e3,
        "hole_shift_cents": effect.shift_cents,
        "least_thickness_mm": job.thinnest[1] * 1e3,
    }
