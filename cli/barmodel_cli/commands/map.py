"""`barmodel map`."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.keeping import least_kept
from barmodel_cli.asked.options import (
    BadValue,
    BarFile,
    Json,
    Plot,
    length_option,
    number_option,
    output_path,
)
from barmodel_cli.bench.history import last_heard, unheard_of
from barmodel_cli.bench.today import print_why, today_of
from barmodel_cli.exits import say
from barmodel_cli.shown.map_text import (
    Best,
    best_cut,
    content,
    cutter_in_words,
    mode_in_words,
    next_step,
    show,
)
from barmodel_cli.shown.show import caution, print_json, progress

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.cutmap import CutMap
    from barmodel.files import BarDocument
    from barmodel.undercut.piece import Array
    from barmodel_cli.bench.today import Today


def run(
    bar_file: BarFile,
    cutter: Annotated[
        str, typer.Option("--cutter", metavar="NAME", help="bit12, drum40, scraper20, file10, …")
    ] = "scraper20",
    cutters: cutting.CuttersPath = None,
    width: Annotated[
        float | None, length_option("--width", help="Length of each cut, if the cutter travels.")
    ] = None,
    depth: Annotated[
        float | None,
        length_option("--depth", help="Depth of the cuts; without it: in the limit of light cuts."),
    ] = None,
    one_side: Annotated[
        bool, typer.Option("--one-side", help="One cut, not one on each half.")
    ] = False,
    modes: Annotated[
        str,
        typer.Option("--modes", help="1, 2 … or V1, V2 … vertical, T1 torsional, La1 lateral."),
    ] = "V1,V2,V3",
    places: Annotated[
        int, typer.Option("--stations", min=2, max=2000, help="Places along the bar.")
    ] = 60,
    lower: Annotated[
        str | None,
        typer.Option("--lower", metavar="MODE", help="Also: least cuts that lower this mode …"),
    ] = None,
    by: Annotated[
        float | None, number_option("--by", help="… by so many cents …", positive=True)
    ] = None,
    tolerance: Annotated[
        float | None,
        number_option(
            "--tolerance", help="… and move the others less than this (1 cent).", positive=True
        ),
    ] = None,
    deepest: Annotated[
        float | None,
        length_option("--deepest", help="Deepest cut of those; a tenth of the thickness if not."),
    ] = None,
    keep: cutting.Keep = None,
    csv: Annotated[
        Path | None,
        typer.Option(
            "--csv", metavar="FILE", parser=output_path, help="Write the map as a CSV file."
        ),
    ] = None,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """What wood removed here does to each mode, along the bar, for one cutter.

    Example: barmodel map G3 --cutter drum40 --plot G3-map.png
    """
    from barmodel.cutmap import cut_map, find_recipe
    from barmodel.files import bar_as_is, read_bar_file
    from barmodel.undercut.cutters import find_cutter
    from barmodel.units import MM

    if (lower is None) != (by is None):
        raise BadValue("--lower and --by belong together, as --lower V2 --by 10")
    if lower is None and (tolerance is not None or deepest is not None):
        raise BadValue("--tolerance and --deepest belong to --lower MODE --by CENTS; give it too")
    document = read_bar_file(bar_file)
    bar = bar_as_is(document)
    tool = find_cutter(cutter, cutting.own_cutters(bar_file, cutters))
    labels = tuple(_label(word) for word in modes.split(","))
    lower = None if lower is None else _label(lower)
    least = least_kept(document, keep)
    with progress("solving", None if depth is None else places) as step, least.told():
        found = cut_map(
            bar,
            tool,
            depth=None if depth is None else depth * MM,
            width=None if width is None else width * MM,
            mirror=not one_side,
            labels=labels,
            count=places,
            keep=least.keep,
            progress=step,
        )
        recipe = None
        if lower is not None and by is not None:
            recipe = find_recipe(
                bar,
                tool,
                mode=lower,
                cents=by,
                tolerance=1.0 if tolerance is None else tolerance,
                labels=labels,
                keep=least.keep,
                deepest=None if deepest is None else deepest * MM,
            )
    with progress("carrying the last reading over"):
        today = today_of(document, bar_file)
        computed = _tuned_hz(document, found)
        tuned = _distances(document, bar, computed, today)
    distances = [_of_label(label, tuned) for label in found.labels]
    limits = [_limits(label) for label in found.labels]
    with progress("trying the best cut"):
        best = best_cut(found, distances, limits, computed, tuned, least.keep)
    unheard = unheard_of(document)
    if unheard.text:
        caution(unheard.text)
    if csv is not None:
        _write_csv(found, csv)
    if plot is not None:
        with progress("drawing"):
            _draw(found, distances, best, unheard.text, document.name, plot)
    if as_json:
        print_json("map", content(found, distances, recipe, best) | today.content)
    else:
        home = "what it is to be" if today else "target"
        show(document.name, found, distances, recipe, best, home=home)
        print_why("cents count from what it is to be today", *today.why)
        then = f"barmodel hear STRIKE.wav --into {bar_file}, and then this map again"
        if recipe is not None or not unheard.whole:
            then = next_step(bar_file, found, best, width, recipe, least.option)
        say(f"next: {then}")


def _label(word: str) -> str:
    """Name of a mode as the map has it: 2, mode 2 and v2 are V2."""
    short = word.strip().lower().removeprefix("mode").removeprefix("bending").strip()
    if short.isdigit():
        return f"V{short}"
    names = {"v": "V", "t": "T", "la": "La"}
    kind = short.rstrip("0123456789")
    return names.get(kind, word.strip().removesuffix(short[len(kind) :])) + short[len(kind) :]


def _tuned_hz(document: BarDocument, found: CutMap) -> Array:
    """Tuned modes of the bar as it is, whether they are on the map or not. [Hz]"""
    import numpy as np

    from barmodel.modes import solve

    names = [f"V{number}" for number in range(1, len(document.target.ratios) + 1)]
    known = dict(zip(found.labels, found.hz, strict=True))
    if all(name in known for name in names):
        return np.array([known[name] for name in names])
    return solve(found.bar, count=max(3, len(names)), families=("bending",)).bending_hz[
        : len(names)
    ]


def _distances(document: BarDocument, bar: Bar, computed: Array, today: Today) -> Array:
    """Cents of each tuned mode from what it is to be today: as heard last, cuts since.

    Modes never heard are as computed.
    """
    from barmodel.files import target_of

    stands = last_heard(document, today.water_percent, count=computed.size, known={bar: computed})
    expected = computed if stands is None else stands.expected(computed)
    return today.away(expected.tolist(), target_of(document.target))


def _of_label(label: str, tuned: Array) -> float | None:
    """Distance of a mode of the map; None for one that is not tuned."""
    number = int(label[1:]) if label.startswith("V") else 0
    return float(tuned[number - 1]) if 1 <= number <= tuned.size else None


def _write_csv(found: CutMap, path: Path) -> None:
    from barmodel.atomic import write_atomically

    head = ",".join(["x_mm", *(f"{label}_cents_per_mm" for label in found.labels)])
    lines = [
        ",".join([f"{x * 1e3:.3f}", *("" if math.isnan(c) else f"{c:.4f}" for c in column)])
        for x, column in zip(found.x, found.cents_per_mm.T, strict=True)
    ]
    write_atomically(path, "\n".join([head, *lines]) + "\n")


def _limits(label: str) -> tuple[float, float]:
    """Tolerance of a vertical mode; other modes have no target."""
    from barmodel.tolerance import TOLERANCE_CENTS

    number = int(label[1:]) if label.startswith("V") else 1
    return TOLERANCE_CENTS[min(number, len(TOLERANCE_CENTS)) - 1]


def _draw(
    found: CutMap,
    distances: list[float | None],
    best: Best,
    unheard: str,
    title: str,
    path: Path,
) -> None:
    from barmodel.plots import save_figure
    from barmodel.plots.cutmap import draw_cut_map

    figure = draw_cut_map(
        found.bar,
        found.x,
        found.cents_per_mm,
        shape_x=found.shape_x,
        shapes=found.shapes,
        nodes=found.nodes,
        zero_points=found.zero_points,
        strongest=found.strongest,
        distance_cents=distances,
        single=best.single,
        tried=best.tried,
        ends_cents_per_mm=[float(cents) for cents in found.trim_cents_per_mm],
        pair_width=2.0 * float(found.x[0]) if found.mirror else None,
        names=[mode_in_words(label) for label in found.labels],
        limits=[_limits(label) for label in found.labels],
        doubt=unheard,
        title=title,
        cutter=cutter_in_words(found),
    )
    save_figure(figure, path)
