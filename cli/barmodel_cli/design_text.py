"""What `barmodel design` prints, for people and for programs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from barmodel_cli.show import caution, cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.design import Design, Neighbour, Remedy
    from barmodel.files import BarDocument


def content(design: Design, pairs: tuple[Neighbour, ...]) -> dict[str, Any]:
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
            }
            for pair in pairs
        ],
        "warnings": [*design.warnings, *design.modes.warnings],
    }


def show(design: Design, document: BarDocument) -> None:
    """Print targets, result, measures, depth table."""
    rows = [
        (
            str(index + 1),
            hz_text(float(target)),
            hz_text(float(design.modes.bending_hz[index])),
            f"{design.cents[index]:+.2f}",
            cents_text(float(design.sensitivity_cents[index])),
            cents_text(float(design.correction_cents[index])),
            ", ".join(f"{point * 1e3:.1f}" for point in design.modes.nodes[index]),
        )
        for index, target in enumerate(design.target.hz)
    ]
    columns = ("mode", "target Hz", "Hz", "cents", "per 0.1 mm", "solid − beam", "nodes, mm")
    what = "ratios, pitch left free" if design.ratios_only else design.target.note
    print_table(columns, rows, title=f"{document.name}: {design.family} for {what}")
    print()
    for name, value in design.measures.items():
        shown = f"{value:.3f}" if name == "fullness" else f"{value * 1e3:.2f} mm"
        print(f"  {name.replace('_', ' '):14s}{shown:>12s}")
    _show_table(design)
    print(
        f"\nleast thickness {design.least_thickness * 1e3:.2f} mm at "
        f"x = {design.least_at * 1e3:.1f} mm"
    )
    if design.pressed:
        print(f"leans on: {'; '.join(design.pressed)}")
    print(f"model: {design.model} ({design.reason})")
    if design.ratios_only:
        _show_pitch(float(design.hz[0]), design.target.a4_hz)


def _show_pitch(hz: float, a4_hz: float) -> None:
    from barmodel.pitch import nearest_note

    note, away = nearest_note(hz, a4_hz=a4_hz)
    print(f"pitch that results: {hz_text(hz)} Hz, {note} {cents_text(away)} cents")


def _show_table(design: Design) -> None:
    from barmodel.design import depth_table

    x, depth = depth_table(design.bar)
    stock = design.bar.blank.thickness
    print("\ndepth below the uncut underside, from the left end (a wall has two rows)")
    rows = [
        (f"{at * 1e3:.1f}", f"{cut * 1e3:.2f}", f"{(stock - cut) * 1e3:.2f}")
        for at, cut in zip(x, depth, strict=True)
    ]
    print_table(("x, mm", "depth, mm", "remains, mm"), rows)


def show_neighbours(pairs: tuple[Neighbour, ...], offers: list[Remedy]) -> None:
    """Warn of clashes and print what moves them."""
    for pair in pairs:
        caution(
            f"{pair.kind} mode {pair.number} at {pair.hz:.0f} Hz lies {abs(pair.distance):.0f} Hz "
            f"{'above' if pair.distance > 0 else 'below'} mode {pair.mode} and may roughen it; "
            f"harmless from {pair.band_hz:.0f} Hz (rule: maker's articles, S3)"
        )
    if not offers:
        return
    print("\nwhat moves the neighbours (computed)")
    rows = []
    for offer in offers:
        left = [
            f"{pair.kind} {pair.number} {pair.distance:+.0f} Hz from mode {pair.mode}"
            for pair in offer.neighbours
        ]
        rows.append((offer.text, "; ".join(left) or "none"))
    print_table(("change", "clashes that remain"), rows)
