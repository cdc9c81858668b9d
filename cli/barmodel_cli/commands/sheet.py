"""`barmodel sheet`."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.cut_doubts import check_bar
from barmodel_cli.asked.keeping import least_kept
from barmodel_cli.asked.options import (
    BadValue,
    BarFile,
    Json,
    bar_name,
    choice_option,
    length_option,
    number_option,
    output_path,
)
from barmodel_cli.bench.step_aside import step_aside
from barmodel_cli.exits import say, tell
from barmodel_cli.shown.show import print_json, progress
from barmodel_cli.shown.steps import next_step

if TYPE_CHECKING:
    from barmodel.errors import MissingExtraError
    from barmodel.files import BarDocument
    from barmodel.sheets import Job, Paper
    from barmodel_cli.bench.drilling import Drilling, Effect
    from barmodel_cli.bench.today import Today

HOLES = "Cord holes"


class PaperName(StrEnum):
    """Sizes of paper."""

    A4 = "a4"
    A3 = "a3"
    LETTER = "letter"


Outputs = Annotated[
    list[Path] | None,
    typer.Option(
        "--out", metavar="FILE", parser=output_path, show_default="NAME.pdf beside the bar file",
        help="FILE.pdf: all sheets; FILE.svg, .dxf, .csv: the profile. May be given several times.",
    ),
]  # fmt: skip
HoleAt = Annotated[
    list[float] | None,
    length_option(
        "--hole-at",
        help="Hole on the middle line, from the left; otherwise as the bar file tells, or at the "
        "tuned nodes.",
        panel=HOLES,
    ),
]  # fmt: skip


def run(
    bar_file: BarFile,
    out: Outputs = None,
    paper: Annotated[
        PaperName, choice_option(PaperName, "--paper", help="Size of the paper.")
    ] = PaperName.A4,
    portrait: Annotated[bool, typer.Option("--portrait", help="Long side upright.")] = False,
    printer_scale: Annotated[
        float,
        number_option(
            "--printer-scale", positive=True,
            help="What a check ruler measures over what it must: 0.995 undoes a printer that "
            "prints half a percent short.",
        ),
    ] = 1.0,
    blank: Annotated[
        bool, typer.Option("--blank", help="Marks for the uncut blank, whatever was cut since.")
    ] = False,
    remaining: Annotated[
        bool,
        typer.Option(
            "--remaining",
            help="What the design has still to lose of the bar as it is now; so of any begun bar.",
        ),
    ] = False,
    entries: Annotated[
        Path | None,
        typer.Option(
            "--entries", metavar="FILE", show_default=False,
            help="One cut of many, as `next --save FILE` writes it: where to stop this time.",
        ),
    ] = None,
    keep: Annotated[
        float | None,
        length_option(
            "--keep",
            help="With --entries: thickness that must remain, for this once; otherwise what the "
            "bar file tells, or 2 mm.",
        ),
    ] = None,
    every: Annotated[
        float, length_option("--every", help="Distance between depth stations.")
    ] = 10.0,
    cutter: Annotated[
        float, length_option("--cutter", help="Diameter of the router bit, for its stops.")
    ] = 12.0,
    hole_at: HoleAt = None,
    hole_diameter: Annotated[
        float | None,
        length_option(
            "--hole-diameter",
            help="Diameter [as the bar file tells; where neither it nor an option here tells of "
            "holes, none are drawn]; 0 for none.",
            panel=HOLES,
        ),
    ] = None,
    hole_height: Annotated[
        float | None,
        length_option(
            "--hole-height",
            help="Axis under the flat top [half way through what is left there]",
            panel=HOLES,
        ),
    ] = None,
    hole_angle: Annotated[
        float | None,
        number_option(
            "--hole-angle", panel=HOLES,
            help="Degrees out of square; the holes of the right half turn the other way.",
        ),
    ] = None,
    hole_wood: Annotated[
        float,
        length_option("--hole-wood", help="Warn when less wood stays around a hole.", panel=HOLES),
    ] = 3.0,
    unusual: cutting.OtherBar = False,
    as_json: Json = False,
) -> None:  # fmt: skip
    """Full-scale paper for the bench, and drawings of the profile.

    Example: barmodel sheet G3 --paper a3 --printer-scale 0.998 --out G3.pdf --out G3.dxf
    """
    from barmodel.files import read_bar_file, read_cut_file
    from barmodel.sheets import Paper
    from barmodel_cli.bench.cords import with_holes
    from barmodel_cli.bench.drilling import Drilling, Effect
    from barmodel_cli.bench.today import today_of
    from barmodel_cli.paper.paper_cut import cut_job

    if blank + remaining + (entries is not None) > 1:
        raise BadValue("--blank, --remaining and --entries are different sheets; give one of them")
    if hole_at and entries is not None:
        raise BadValue("--hole-at: holes stand on the paper of the design, not on that of one cut")
    if keep is not None and entries is None:
        raise BadValue("--keep is for the paper of one cut; give --entries as well")
    page = Paper(paper.value, not portrait, printer_scale)
    document = read_bar_file(bar_file)
    least = least_kept(document, keep)
    planned = None if entries is None else read_cut_file(entries)
    if not unusual:
        check_bar(document, planned, entries)
    outputs = out or [output_path(str(_usual_path(bar_file, entries)))]
    for path in outputs:
        if path.suffix.lower() not in (".pdf", ".svg", ".dxf", ".csv"):
            raise BadValue(f"{path}: end the name in .pdf, .svg, .dxf or .csv")
    # of a bar that is begun, the whole design would be cut twice
    rest = remaining or (document.design is not None and document.begun)
    kind = "blank" if blank else "remaining" if rest else "design"
    drilling = Drilling(hole_at, hole_diameter, hole_height, hole_angle, hole_wood)
    with progress("drawing"):
        if hole_diameter is not None and document.to_drill is not None:
            document = with_holes(document, hole_diameter, option="--hole-diameter")
        today = today_of(document, bar_file)
        if planned is not None and entries is not None:
            job = cut_job(document, planned, entries, least, every, cutter, today)
            effect = Effect((), job.length, ())
        else:
            job, effect = _job(document, bar_file, kind, every, cutter, drilling, today)
        if drilling.as_told:
            job = _of_its_set(document, job, bar_file)
        written, missing = _write_all(job, outputs, page)
    if as_json:
        print_json("sheet", _content(job, effect, written, page.scale))
    else:
        _tell(job, written)
        aside = step_aside(job.aim, job.holes, hole_wood * 1e-3, bar_file)
        if aside is not None and not document.begun:
            print(aside)
        step = next_step(bar_file, document)
        if entries is not None:
            step = f"make the cut, then barmodel cut {bar_file} --entries {entries}{least.option}"
        say(f"next: {step}")
    if missing is not None:
        raise missing


def _tell(job: Job, written: dict[Path, int]) -> None:
    for path, count in written.items():
        print(f"{path}: {count} sheets" if count else f"{path}")
    there = "after this cut" if job.kind == "cut" else "as it is"
    for words, places in (("when tuned", job.nodes), (there, job.nodes_now)):
        if places:
            nodes = ", ".join(f"{x * 1e3:.1f}" for x in places)
            print(f"nodes of mode 1 {words}: {nodes} mm from the left end")
    for said in job.notes:
        tell(said)


def _write_all(
    job: Job, outputs: list[Path], page: Paper
) -> tuple[dict[Path, int], MissingExtraError | None]:
    """Write every file that can be; sheets of each, and what the others lack."""
    from barmodel.errors import MissingExtraError

    written: dict[Path, int] = {}
    missing = None
    for path in outputs:
        try:
            written[path] = _write(job, path, page)
        except MissingExtraError as error:
            missing = MissingExtraError(f"{path} was not written: {error}")
    return written, missing


def _usual_path(bar_file: Path, entries: Path | None) -> Path:
    name = bar_name(bar_file) + ("" if entries is None else f"-{entries.stem}")
    return bar_file.with_name(f"{name}.pdf")


def _job(
    document: BarDocument,
    bar_file: Path,
    kind: str,
    every: float,
    cutter: float,
    holes: Drilling,
    today: Today,
) -> tuple[Job, Effect]:
    from barmodel_cli.bench.aim_text import old_design
    from barmodel_cli.paper.first_cut import first_cut
    from barmodel_cli.paper.papers import paper_job

    first = first_cut(document, bar_file, today, line=kind == "design")
    job, effect = paper_job(document, kind, every, cutter, holes, today, first=first)
    if told := old_design(document, bar_file):
        job = replace(job, notes=(f"Mind: {told}.", *job.notes))
    return job, effect


def _of_its_set(document: BarDocument, job: Job, bar_file: Path) -> Job:
    """Say where the holes of a bar of a set are: on its straight cords, a little off the nodes."""
    from barmodel.errors import FileError
    from barmodel.files.set_folder import read_set_folder

    try:
        found = read_set_folder(bar_file.parent)
    except FileError:  # told where the rooms of the set are looked for
        found = None
    untold = bool(job.nodes) and document.holes is None
    if found is None or not (job.holes or untold):
        return job
    if document.holes is not None and document.holes.at_mm is not None:
        said = (
            "The holes are those of the set, on its straight cords: the left end is the player's, "
            "the rear (upper) edge the bass. Mark both on the bar before drilling, or it comes out "
            "mirrored."
        )
        lies = "Left end: player's. Upper edge: bass"
        return replace(job, lies=lies, notes=(*job.notes, said))
    said = (
        "This bar belongs to a set: its holes on the straight cords of the set, with their angle, "
        "stand in bars.csv and papers.pdf, up to a few millimetres from the nodes drawn here. "
        "Drill by those."
    )
    return replace(job, notes=(*job.notes, said))


def _write(job: Job, path: Path, paper: Paper) -> int:
    """Write one file of the kind its name asks for; return the number of sheets."""
    from barmodel.sheets import write_csv, write_dxf, write_pdf, write_svg

    kind = path.suffix.lower()
    if kind == ".pdf":
        return write_pdf(job, path, paper)
    {".svg": write_svg, ".dxf": write_dxf, ".csv": write_csv}[kind](job, path)
    return 0


def _content(job: Job, effect: Effect, written: dict[Path, int], scale: float) -> dict[str, Any]:
    width = job.aim.blank.width
    return {
        "files": [str(path) for path in written],
        "sheets": sum(written.values()),
        "scale": scale,
        "kind": job.kind,
        "wood": job.wood,
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
        "saw_off_mm": [size * 1e3 for size in job.trim],
        "x_mm": [place.x * 1e3 for place in job.places],
        "depth_mm": job.depths() * 1e3,
        "stop_thickness_mm": None if job.stop is None else job.thicknesses_at_stop() * 1e3,
        "thickness_mm": job.thicknesses() * 1e3,
        "hole_shift_cents": effect.shift_cents,
        "least_thickness_mm": job.thinnest[1] * 1e3,
        "in_tune": job.in_tune,
        "today": job.today,
        "notes": job.notes,
    }
