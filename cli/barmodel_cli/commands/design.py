"""`barmodel design`."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from barmodel_cli.asked.keeping import check_keep, least_kept, with_keep
from barmodel_cli.asked.options import (
    BadValue,
    BarFile,
    Json,
    Plot,
    choice_option,
    length_option,
    number_option,
    read_length_mm,
    read_number,
)
from barmodel_cli.asked.plausible import Unusual
from barmodel_cli.bench.drilling import doubts_of_holes
from barmodel_cli.shown.design_cautions import cautions
from barmodel_cli.shown.design_text import beside_tuned, content, how_to_follow, show, show_offers
from barmodel_cli.shown.show import caution, print_json, progress

if TYPE_CHECKING:
    from barmodel.design import Design, Limits, NoDesignError, Remedy, Request
    from barmodel.files import BarDocument
    from barmodel_cli.asked.keeping import Least

HOLD, CUTTER = "Hold or begin", "Limits and cutters"


class FamilyName(StrEnum):
    """Kinds of undercut."""

    ARCH = "arch"
    STEPS = "steps"
    HOLLOWS = "hollows"


class Model(StrEnum):
    """Which model has the last word."""

    BEST = "best"
    BEAM = "beam"


def run(
    bar_file: BarFile,
    family: Annotated[
        FamilyName,
        choice_option(
            FamilyName,
            "--family",
            help="arch: one smooth curve; steps: flat floors of a router; hollows: a shallow "
            "pocket with round hollows.",
        ),
    ] = FamilyName.ARCH,
    ratios_only: Annotated[
        bool, typer.Option("--ratios-only", help="Meet the ratios; the pitch comes as it will.")
    ] = False,
    clear: Annotated[
        bool,
        typer.Option("--clear", help="Prefer a shape without torsional or lateral clashes."),
    ] = False,
    model: Annotated[
        Model,
        choice_option(Model, "--model", help="best: corrected by the solid; beam: a quick sketch."),
    ] = Model.BEST,
    fix_start: Annotated[
        float | None, length_option("--fix-start", help="Hold where the cut starts.", panel=HOLD)
    ] = None,
    fix_depth: Annotated[
        float | None,
        length_option("--fix-depth", help="Hold the depth in the middle.", panel=HOLD),
    ] = None,
    fix_fullness: Annotated[
        float | None,
        number_option("--fix-fullness", help="Hold the arch's fullness.", panel=HOLD),
    ] = None,
    fix: Annotated[
        list[str] | None,
        typer.Option(
            "--fix",
            metavar="NAME=MM",
            help="Hold any measure of the family: start2=95, side_at=140.",
            rich_help_panel=HOLD,
        ),
    ] = None,
    begin_start: Annotated[
        str | None,
        typer.Option(
            "--begin-start",
            metavar="LENGTH|%",
            help="Begin the search with a cut that starts here: 106 or 25%.",
            rich_help_panel=HOLD,
        ),
    ] = None,
    keep: Annotated[
        float | None,
        length_option(
            "--keep",
            help="Thickness that must remain; otherwise what the bar file tells, or 2 mm. With "
            "--save the file tells it from then on.",
            panel=CUTTER,
        ),
    ] = None,
    drum_radius: Annotated[
        float | None,
        length_option("--drum-radius", help="A drum this big must roll along it.", panel=CUTTER),
    ] = None,
    bit: Annotated[
        float | None,
        length_option(
            "--bit", help="Diameter of the router bit: walls, flat floors.", panel=CUTTER
        ),
    ] = None,
    ends: Annotated[
        float | None,
        length_option("--ends", help="Length left uncut at each end.", panel=CUTTER),
    ] = None,
    save: Annotated[
        bool, typer.Option("--save", help="Write the undercut into the file as its design.")
    ] = False,
    unusual: Unusual = False,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """Find the undercut that brings the bar to its target.

    Example: barmodel design G3 --keep 6 --drum-radius 30 --save --plot G3.png
    """
    from barmodel.design import NoDesignError, Request, clearest, find, harm, neighbours
    from barmodel.files import bar_as_is, read_bar_file, target_of

    document = read_bar_file(bar_file)
    blank = bar_as_is(document).blank
    check_keep(keep, document.blank.thickness_mm, unusual=unusual)
    least = least_kept(document, keep)
    with least.told():
        request = Request(
            blank=blank,
            target=target_of(document.target),
            family=family.value,
            limits=_limits(least, drum_radius, bit, ends),
            fixed=_fixed(family, fix_start, fix_depth, fix_fullness, fix or []),
            begin=_begin(family, begin_start, blank.length),
            ratios_only=ratios_only,
            model=model.value,
        )
    with progress("searching"):
        try:
            with least.told():
                design = find(request)
        except NoDesignError as error:
            raise _with_ways(error, bar_file, blank.length) from None
        if clear:
            design, pairs = clearest(request, design)
        else:
            pairs = neighbours(design.bar, design.hz) if model is Model.BEST else ()
    if plot is not None:
        with progress("drawing"):
            _draw(design, document.name, plot)
    if save:
        _save(bar_file, design, keep)
    minded = cautions(bar_file, document, design)
    still = tuple(design.modes.nodes[0].tolist())
    minded += doubts_of_holes(document, bar_file, design.bar, still)
    if as_json:
        print_json("design", content(design, pairs, minded))
    else:
        show(design, document)
    for warning in (*minded, *beside_tuned(pairs)):
        caution(warning)
    if as_json:
        return
    if present := harm(pairs):  # takes longer than the design; that can be read meanwhile
        sys.stdout.flush()
        with progress("looking what would move its neighbours"):
            offers = _remedies(request, design)
        show_offers(offers, request, present)
    _next_step(bar_file, document, save, keep)


def _with_ways(error: NoDesignError, bar_file: Path, length: float) -> NoDesignError:
    """Say as commands, where there are any, what was tried and works."""
    from barmodel.design import NoDesignError

    ways = [way for offer in error.suggestions if (way := how_to_follow(offer, bar_file, length))]
    if not ways:
        return error
    told = f"{error}\nto do so: {'; or '.join(ways)}"
    return NoDesignError(told, error.suggestions, error.cents).if_thinner(error.too_thin)


def _limits(least: Least, drum: float | None, bit: float | None, ends: float | None) -> Limits:
    from barmodel.design import Limits

    def metres(value: float | None) -> float | None:
        return None if value is None else value * 1e-3

    return Limits(
        keep=least.keep,
        drum_radius=metres(drum),
        bit_diameter=metres(bit),
        clear_ends=metres(ends),
    )


def _fixed(
    family: FamilyName,
    start: float | None,
    depth: float | None,
    fullness: float | None,
    named: list[str],
) -> dict[str, float]:
    outer, deepest = _names(family)
    fixed: dict[str, float] = {}
    if start is not None:
        fixed[outer] = start * 1e-3
    if depth is not None:
        fixed[deepest] = depth * 1e-3
    if fullness is not None:
        fixed["fullness"] = fullness
    for text in named:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadValue(f"--fix {text!r}: write NAME=VALUE, a measure and its mm, as start2=95")
        if name.strip() in fixed:
            raise BadValue(f"{name.strip()} is fixed twice; give it one value")
        number = read_number(value)
        fixed[name.strip()] = number if name.strip() == "fullness" else number * 1e-3
    return fixed


def _names(family: FamilyName) -> tuple[str, str]:
    """Names of the outer start and of the depth in the middle."""
    return {
        FamilyName.ARCH: ("start", "depth"),
        FamilyName.STEPS: ("start1", "depth3"),
        FamilyName.HOLLOWS: ("start", "centre_depth"),
    }[family]


def _begin(family: FamilyName, text: str | None, length: float) -> dict[str, float]:
    if text is None:
        return {}
    if text.strip().endswith("%"):
        start = read_number(text.strip().removesuffix("%")) / 100.0 * length
    else:
        start = read_length_mm(text) * 1e-3
    return {_names(family)[0]: start}


def _remedies(request: Request, design: Design) -> list[Remedy]:
    from barmodel.design import remedies

    return list(remedies(request, design))


def _next_step(bar_file: Path, document: BarDocument, save: bool, keep: float | None) -> None:
    if not save:
        print("not saved; next: the same with --save, to write it into the bar file")
        return
    instead = ", in place of the design that stood there" if document.design else ""
    if keep is not None:
        instead += f", and the {keep:g} mm that every command keeps from now on"
    print(
        f"saved in {bar_file}{instead}; next: barmodel sheet {bar_file} for the paper, then "
        f"barmodel next {bar_file} for the first cut"
    )


def _save(bar_file: Path, design: Design, keep: float | None) -> None:
    """Write the design, what it is for, and the least thickness that it was asked with."""
    from barmodel.files import design_entries, target_part, update_bar_file

    target = target_part(design.target)

    def saved(now: BarDocument) -> BarDocument:
        after = now.changed(
            design=design_entries(now, design.bar.undercut),
            design_target=None if target == now.begun_for else target,
        )
        return after if keep is None else with_keep(after, keep)

    update_bar_file(bar_file, saved)


def _draw(design: Design, title: str, path: Path) -> None:
    from barmodel.plots import save_figure
    from barmodel.plots.modes import draw_modes

    save_figure(draw_modes(design.bar, design.modes, design.target, title=title), path)
