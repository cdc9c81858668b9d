"""What `barmodel design` prints, for people and for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.design import Design, Neighbour, Remedy, Request, Suggestion
    from barmodel.files import BarDocument
    from barmodel.undercut.piece import Array


def content(
    design: Design, pairs: tuple[Neighbour, ...], warnings: Sequence[str]
) -> dict[str, Any]:
    """Answer of `design --json`."""
    from barmodel.design import depth_table
    from barmodel.files import entries_of

    x, depth = depth_table(design.bar)
    return {
        "family": design.family,
        "undercut": [entry.model_dump() for entry in entries_of(design.bar.undercut)],
        "target_hz": design.target.hz,
        "bending_hz": design.modes.bending_hz,
        "cents": design.cents,
        "sensitivity_cents_per_0.1mm": design.sensitivity_cents,
        "correction_cents": design.correction_cents,
        "table": {"x_mm": (x * 1e3).round(3), "depth_mm": (depth * 1e3).round(4)},
        "minimum_thickness_mm": design.least_thickness * 1e3,
        "minimum_thickness_at_mm": design.least_at * 1e3,
        "nodes_mm": [points * 1e3 for points in design.modes.nodes],
        "model": design.model,
        "rounds": design.rounds,
        "iterations": design.steps,
        "reason": design.reason,
        "limits_touched": design.pressed,
        "neighbours": [
            {
                "kind": pair.kind,
                "number": pair.number,
                "hz": pair.hz,
                "mode": pair.mode,
                "distance_hz": pair.distance,
                "harmless_from_hz": pair.band_hz,
                "one_with_it_within_hz": pair.one_hz,
                "clashes": pair.clashes,
            }
            for pair in pairs
        ],
        "warnings": list(warnings),
    }


def show(design: Design, document: BarDocument) -> None:
    """Print depth table and measures first, the result last: it stays on the screen."""
    from barmodel.units import no_deeper, no_thinner

    what = "ratios, pitch left free" if design.ratios_only else design.target.note
    print(f"{document.name}: {design.family} for {what}")
    _show_table(design)
    print()
    for name, value in design.measures.items():
        shown = f"{value:.3f}" if name == "fullness" else f"{value * 1e3:.2f} mm"
        if "depth" in name:
            shown = f"{no_deeper(value * 1e3, 2)} mm"
        meaning = _MEANING.get(f"{design.family} {name}", "")
        print(f"  {name.replace('_', ' '):14s}{shown:>12s}   {meaning}".rstrip())
    print(
        f"  {'least left':14s}{no_thinner(design.least_thickness * 1e3, 2):>9s} mm"
        f"   at x = {design.least_at * 1e3:.1f} mm"
    )
    print()
    _show_result(design)
    if design.pressed:
        print(f"leans on: {'; '.join(design.pressed)}")
    print(f"model: {design.model} ({design.reason})")
    if design.ratios_only:
        _show_pitch(float(design.hz[0]), design.target.a4_hz)


_MEANING = {
    "arch start": "where the cut begins, from either end",
    "arch depth": "in the middle",
    "arch fullness": "2 is a parabola; more: flatter middle, steeper ends",
    "steps start1": "where the first floor begins, from either end; start2 the next",
    "steps depth1": "of the first floor",
    "hollows start": "where the shallow pocket begins, from either end",
    "hollows depth": "of the pocket",
    "hollows side_at": "middle of the hollow on either side",
}
"""What a measure means, where its name does not say it."""


def _show_result(design: Design) -> None:
    rows = [
        (
            str(index + 1),
            hz_text(float(target)),
            hz_text(float(design.modes.bending_hz[index])),
            f"{design.cents[index]:+z.2f}",
            cents_text(float(design.sensitivity_cents[index])),
            cents_text(float(design.correction_cents[index])),
            ", ".join(f"{point * 1e3:.1f}" for point in design.modes.nodes[index]),
        )
        for index, target in enumerate(design.target.hz)
    ]
    columns = ("mode", "target Hz", "Hz", "cents", "per 0.1 mm", "solid − beam", "nodes, mm")
    print_table(columns, rows)
    print(
        "per 0.1 mm: cents a mode moves if the whole cut gets 0.1 mm too deep;\nsolid − beam: "
        "cents by which the solid corrected the quick beam, in the numbers already"
    )


def _show_pitch(hz: float, a4_hz: float) -> None:
    from barmodel.pitch import nearest_note

    note, away = nearest_note(hz, a4_hz=a4_hz)
    print(f"pitch that results: {hz_text(hz)} Hz, {note} {cents_text(away)} cents")


def _show_table(design: Design) -> None:
    import numpy as np

    from barmodel.design import depth_table
    from barmodel.units import no_deeper, no_thinner

    x, depth = depth_table(design.bar)
    length, stock = design.bar.blank.length * 1e3, design.bar.blank.thickness * 1e3
    rows = _rows_cut(x * 1e3, depth * 1e3, design.bar.profile.edges * 1e3)
    both = design.bar.profile.symmetric
    if both:
        middle = 1e3 * float(design.bar.profile.depth(np.array([length / 2e3])).real[0])
        rows = [row for row in rows if row[0] < length / 2.0 - 0.05] + [(length / 2.0, middle)]
    heads = ("x, mm", "and x, mm", "depth, mm", "remains, mm")
    cells = [
        (f"{at:.1f}", f"{length - at:.1f}", no_deeper(deep, 2), no_thinner(stock - deep, 2))
        for at, deep in rows
    ]
    print("depth below the uncut underside; x from the left end; the rest stays uncut")
    if both:
        print_table(heads, cells)
    else:
        print_table((heads[0], *heads[2:]), [(a, c, d) for a, _, c, d in cells])


def _rows_cut(x: Array, depth: Array, edges: Array) -> list[tuple[float, float]]:
    """Positions and depths without the uncut ends and without rows inside a flat floor. [mm]"""
    rows = list(zip(x.tolist(), depth.tolist(), strict=True))
    cut = [k for k, (_, deep) in enumerate(rows) if deep > 0.0]
    if not cut:
        return []
    first, last = cut[0], cut[-1]
    begins = max((e for e in edges if e < rows[first][0]), default=0.0)
    ends = min((e for e in edges if e > rows[last][0]), default=rows[-1][0])
    before = [(max(begins, rows[first - 1][0]), 0.0)] if first else []
    after = [(min(ends, rows[last + 1][0]), 0.0)] if last + 1 < len(rows) else []
    kept = [*before, *rows[first : last + 1], *after]
    return [
        row
        for k, row in enumerate(kept)
        if k in (0, len(kept) - 1)
        or max(abs(row[1] - kept[k - 1][1]), abs(row[1] - kept[k + 1][1])) > 0.005
    ]


def beside_tuned(pairs: Sequence[Neighbour]) -> list[str]:
    """Torsional and lateral modes that sit close to a tuned one, in words."""
    said = []
    for pair in pairs:
        side = "above" if pair.distance > 0 else "below"
        where = (
            f"{pair.kind} mode {pair.number} at {pair.hz:.0f} Hz lies {abs(pair.distance):.0f} Hz "
            f"{side} mode {pair.mode}"
        )
        what = (
            f"and may roughen it; harmless from {pair.band_hz:.0f} Hz away, or within "
            f"{pair.one_hz:.0f} Hz, where both are heard as one"
            if pair.clashes
            else f"and is heard as one with it, as it lies within {pair.one_hz:.0f} Hz"
        )
        said.append(f"{where} {what} (rule: La Favre's web articles)")
    return said


def show_offers(offers: Sequence[Remedy], request: Request, present: float) -> None:
    """Print what harms less than at present, the best first, and how to ask for it."""
    from barmodel.design import harm

    better = sorted(
        (offer for offer in offers if harm(offer.neighbours) < present),
        key=lambda offer: harm(offer.neighbours),
    )
    worse = [offer.text for offer in offers if offer not in better]
    if better:
        rows = []
        for offer in better:
            left = [
                f"{pair.kind} {pair.number} {pair.distance:+.0f} Hz from mode {pair.mode}"
                for pair in offer.neighbours
                if pair.clashes
            ]
            rows.append((offer.text, how_to_ask(offer, request), "; ".join(left) or "none"))
        print("\nwhat would move the neighbouring modes that clash (computed), the best first")
        print_table(("change", "the same command with", "clashes that remain"), rows)
    if worse:
        print(f"tried against those clashes, and no better: {', '.join(worse)}")


def how_to_ask(offer: Remedy, request: Request) -> str:
    """The options that ask for a change of the design."""
    from barmodel.units import MM

    if offer.request is None:
        return "another blank"
    if offer.request.family != request.family:
        return f"--family {offer.request.family}" + (", no --fix" if request.fixed else "")
    return " ".join(
        f"--fix {name}={value if name == 'fullness' else value / MM:.6g}"
        for name, value in offer.request.fixed.items()
    )


def how_to_follow(offer: Suggestion, bar_file: object, length: float) -> str | None:
    """The command for a change that works; None where it takes another blank or target. [m]"""
    from barmodel.bar import LEAST_THICKNESS
    from barmodel.units import MM

    if offer.change == "free":
        held = f"--fix-{offer.value} or --fix {offer.value}=…"
        return f"the same without holding {offer.value} ({held})"
    if isinstance(offer.value, str):
        return None
    if offer.change in ("keep", "drum_radius"):
        meant = " --unusual" if offer.change == "keep" and offer.value < LEAST_THICKNESS else ""
        return f"the same with --{offer.change.replace('_', '-')} {offer.value / MM:g}{meant}"
    if offer.change == "length" and offer.value < length:
        off = (length - offer.value) / 2 / MM
        return f"saw it, barmodel cut {bar_file} --ends {off:g}, and the same again"
    return None
