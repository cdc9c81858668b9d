"""What `barmodel map` prints, for people and for programs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from barmodel_cli.exits import tell
from barmodel_cli.shown.show import cents_text, print_table

if TYPE_CHECKING:
    from barmodel.cutmap import CutMap, Recipe, TriedCut
    from barmodel.cutmap.onecut import OneCut
    from barmodel.undercut.cutters import Cutter
    from barmodel.undercut.piece import Array

TABLE_ROWS = 24
Distances: TypeAlias = Sequence[float | None]
"""Cents of each mode from its target; None for one that is not tuned."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best single cut.

    Attributes
    ----------
    single : OneCut
        By the map, at every place.
    tried : TriedCut or None
        The best of them as solved; None where there is none.
    away : tuple of float
        Tuned modes above what they are to be, before it. [cent]
    """

    single: OneCut
    tried: TriedCut | None
    away: tuple[float, ...]


def content(
    found: CutMap, distances: Distances, recipe: Recipe | None, best: Best
) -> dict[str, Any]:
    """Answer of `map --json`."""
    content: dict[str, Any] = {
        "x_mm": found.x * 1e3,
        "cents_per_mm": found.cents_per_mm,
        "cutter": found.cutter.name,
        "modes": found.labels,
        "depth_mm": None if found.depth is None else found.depth * 1e3,
        "mirror": found.mirror,
        "hz": found.hz,
        "cents": distances,
        "zero_points_mm": [points * 1e3 for points in found.zero_points],
        "nodes_mm": [points * 1e3 for points in found.nodes],
        "strongest_mm": found.strongest * 1e3,
        "ends_cents_per_mm": found.trim_cents_per_mm,
        "model": found.model,
        "best": None,
    }
    if best.tried is not None:
        content["best"] = {
            "at_mm": best.tried.at * 1e3,
            "depth_mm": best.tried.depth * 1e3,
            "cents_then": best.tried.cents,
        }
    if recipe is not None:
        from barmodel.files import entries_of

        content["recipe"] = {
            "cut": [entry.model_dump(mode="json") for entry in entries_of(recipe.cuts)],
            "shift_cents": recipe.shift_cents,
        }
    return content


def show(
    name: str,
    found: CutMap,
    distances: Distances,
    recipe: Recipe | None,
    best: Best,
    *,
    home: str,
) -> None:
    """Print the map, what stands out in it, and the recipe if one was asked for."""
    every = max(1, math.ceil(found.x.size / TABLE_ROWS))
    rows = [
        (f"{found.x[k] * 1e3:.1f}", *(cents_text(float(c)) for c in found.cents_per_mm[:, k]))
        for k in range(0, found.x.size, every)
    ]
    columns = ("mm", *(f"{mode_in_words(label)}, cents/mm" for label in found.labels))
    print_table(columns, rows, title=f"{name}: {cutter_in_words(found)}")
    print(_about_table(found))
    summary = [
        (
            mode_in_words(label),
            "–" if distance is None else cents_text(distance),
            _places(found.zero_points[k]),
            _places(found.nodes[k]),
            f"{found.strongest[k] * 1e3:.0f}",
            cents_text(float(found.trim_cents_per_mm[k])),
        )
        for k, (label, distance) in enumerate(zip(found.labels, distances, strict=True))
    ]
    heads = ("mode", f"from {home}", "no effect", "still", "strongest", "1 mm off ends")
    print_table(heads, summary)
    print(
        "places in mm from the left end. no effect: a cut there leaves the mode alone;\nstill: "
        "the mode's nodes, for cords, another thing; strongest: a cut there lowers\nthe mode most; "
        "1 mm off ends: cents it rises when both ends lose 1 mm"
    )
    print()
    tell(_best_in_words(found, best))
    if recipe is not None:
        _show_recipe(recipe, found.bar.blank.length)
    print(f"model: {found.model}")


def _about_table(found: CutMap) -> str:
    text = "cents/mm: what a mode moves for each mm of depth (for --lower: V1 is mode 1)"
    if not found.mirror:
        return f"{text}\n"
    outline = found.cutter.cut(at=0.0, depth=found.depth or 1e-4, width=found.width).extent
    near = (outline[1] - outline[0]) / 2.0 * 1e3
    return (
        f"{text}.\nA place stands for the pair of cuts on both halves; nearer than {near:.0f} mm "
        "to the middle\nthe pair runs into one, which takes less wood: the dip there is real\n"
    )


def mode_in_words(label: str) -> str:
    """Name a mode as all tables do.

    Examples
    --------
    >>> mode_in_words("V1"), mode_in_words("La2")
    ('mode 1', 'lateral 2')
    """
    kind, number = label.rstrip("0123456789"), label.lstrip("VTLa")
    return {"V": "mode", "T": "torsional", "La": "lateral"}.get(kind, kind) + f" {number}"


def cutter_in_words(found: CutMap) -> str:
    """Say what is cut: the cutter, what it leaves, how deep, on which halves."""
    depth = "light cuts" if found.depth is None else f"cuts {found.depth * 1e3:g} mm deep"
    halves = "on both halves" if found.mirror else "on one side only"
    return f"{found.cutter.name} ({_leaves(found.cutter, found.width)}), {depth}, {halves}"


def _leaves(cutter: Cutter, width: float | None) -> str:
    length = f"{1e3 * (width or cutter.width):g} mm long"
    if cutter.kind == "scraper":
        return f"a dish {length}"
    if cutter.kind == "bit":
        return f"a flat floor {length}, with walls"
    if cutter.kind == "belt":
        return f"a flat floor {length}, with rounded ends"
    arc = f"the arc of a drum of {2e3 * cutter.radius:g} mm"
    return arc if width is None else f"{arc}, moved over {1e3 * width:g} mm"


def best_cut(
    found: CutMap,
    distances: Distances,
    limits: Sequence[tuple[float, float]],
    hz: Array,
    tuned: Array,
    keep: float,
) -> Best:
    """What one cut at each place would do for all tuned modes, and the best of them solved.

    Parameters
    ----------
    found : CutMap
    distances, limits
        Of the modes on the map. [cent]
    hz, tuned : ndarray, shape (k,)
        All tuned modes of the bar as computed, and how far they are from home. [Hz], [cent]
    keep : float
        Least thickness. [m]
    """
    import numpy as np

    from barmodel.cutmap import try_best
    from barmodel.cutmap.onecut import one_cut
    from barmodel.tolerance import TOLERANCE_CENTS

    away = np.array([math.nan if cents is None else cents for cents in distances])
    single = one_cut(found.cents_per_mm, away, limits, 1e3 * found.room(keep))
    last = len(TOLERANCE_CENTS) - 1
    all_limits = [TOLERANCE_CENTS[min(k, last)] for k in range(tuned.size)]
    tried = try_best(found, single, hz=hz, distance=tuned, limits=all_limits, keep=keep)
    return Best(single, tried, tuple(tuned.tolist()))


def next_step(
    path: Path,
    found: CutMap,
    best: Best,
    width_mm: float | None,
    recipe: Recipe | None,
    keep: str,
) -> str:
    """Name the command that looks at the best single cut, or those that record a recipe."""
    if recipe is not None:
        side = "" if found.mirror else " --one-side"
        told = []
        for cut in recipe.cuts:
            start, end = (1e3 * edge for edge in cut.extent)
            told.append(
                f"barmodel cut {path} --at {(start + end) / 2:.1f} --width {end - start:.1f} "
                f"--depth {1e3 * cut.deepest:.2f} --cutter {found.cutter.name}{side}{keep}"
            )
        return "once they are cut:\n" + "\n".join(told)
    tried = best.tried
    if tried is None and best.single.in_tune:
        return f"barmodel log {path}; every mode is in tune: leave it alone"
    if tried is None:
        return f"barmodel next {path}, which weighs several cuts and the ends"
    more = "" if width_mm is None else f" --width {width_mm:g}"
    more += "" if found.mirror else " --one-side"
    return (
        f"barmodel try {path} --at {tried.at * 1e3:.0f} --cutter {found.cutter.name}{more} "
        f"--depth {_depth(1e3 * tried.depth)}{keep}, or wherever the map says, before you cut"
    )


def _depth(depth_mm: float) -> str:
    """Write a depth as it was rounded for being told: hundredths, thousandths of a shallow one."""
    return f"{depth_mm:.2f}" if depth_mm > 0.0099 else f"{depth_mm:.3f}"


def _best_in_words(found: CutMap, best: Best) -> str:
    """The best single cut, as the picture tells it."""
    tried = best.tried
    if tried is None:
        return "in tune: nothing to cut" if best.single.in_tune else "no single cut is of use"
    x = tried.at * 1e3
    mirrored = found.bar.blank.length * 1e3 - x
    other = f" and {mirrored:.0f}" if found.mirror and abs(mirrored - x) > 0.1 else ""
    before, then = (
        ", ".join(f"{round(cents):+d}" for cents in row) for row in (best.away, tried.cents)
    )
    return (
        f"best single cut (▼ in the picture): at {x:.0f}{other} mm, {_depth(1e3 * tried.depth)} mm "
        f"deep; with it in the bar, solved again, the tuned modes stand at about {then} cents "
        f"({before} now), {100 * tried.nearer:.0f} % nearer all together"
    )


def _show_recipe(recipe: Recipe, length: float) -> None:
    rows = []
    for cut in recipe.cuts:
        start, end = cut.extent
        middle = (start + end) / 2
        places = [middle, length - middle] if cut.mirror else [middle]
        rows.append(
            (
                " and ".join(f"{1e3 * place:.1f}" for place in places),
                f"{(end - start) * 1e3:.1f}",
                f"{cut.deepest * 1e3:.2f}",
            )
        )
    print()
    print_table(("at, mm", "width, mm", "depth, mm"), rows, title="least cuts that do it:")
    shifts = ", ".join(
        f"{mode_in_words(label)} {cents_text(float(shift))}"
        for label, shift in zip(recipe.labels, recipe.shift_cents, strict=True)
    )
    print(f"solved with these cuts: {shifts} cents")


def _places(points: Any) -> str:
    return ", ".join(f"{point * 1e3:.0f}" for point in points) or "–"
