"""What `barmodel instrument` prints, for people and for programs."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from barmodel.files.set_table import THERE
from barmodel_cli.shown.show import cents_text, print_table

if TYPE_CHECKING:
    from barmodel.instrument import Blueprint, Rail
    from barmodel_cli.sets.set_run import SetRun


def content(result: SetRun, folder: Path) -> dict[str, Any]:
    """Answer of `instrument --json`."""
    from barmodel.pitch import note_of

    return {
        "name": result.blueprint.plan.name,
        "folder": str(folder),
        "bars": result.rows,
        "rails": [
            {
                "row": rail.row,
                "player_slope": rail.player_slope,
                "far_slope": rail.far_slope,
                "worst_misfit_mm": rail.worst * 1e3,
                "notes": [note_of(note) for note in rail.semitones],
            }
            for rail in result.rails.rails
        ],
        "refused": [
            {"note": note_of(note), "state": item.state, "reason": item.reason}
            for note, item in result.outcomes.items()
            if not item.designed
        ],
        "planks": _planks(result),
        "smoothness": smoothness(result),
        "designed_now": result.designed_now,
        "warnings": result.cautions,
    }


def _planks(result: SetRun) -> list[dict[str, Any]]:
    from barmodel.pitch import note_of

    blueprint = result.blueprint
    return [
        {
            "name": plank.name,
            "speed_m_s": plank.speed,
            "quality_factor": plank.quality_factor,
            "does_for": [note_of(note) for note in blueprint.does_for.get(plank.name, ())],
            "gives": [note_of(n) for n, name in blueprint.plank.items() if name == plank.name],
        }
        for plank in blueprint.plan.planks
    ]


def _show_planks(result: SetRun) -> None:
    rows = []
    for plank in _planks(result):
        fits = plank["does_for"]
        quality = plank["quality_factor"]
        rows.append(
            (
                plank["name"],
                f"{plank['speed_m_s']:.0f}",
                None if quality is None else f"{quality:.0f}",
                f"{len(fits)}: {fits[0]} to {fits[-1]}" if fits else "none",
                " ".join(plank["gives"]) or "none",
            )
        )
    if rows:
        print()
        print_table(("plank", "√(E/ρ), m/s", "Q", "does for", "gives"), rows)
    for name, reason in _useless(result):
        print(f"  {name} does for no bar: {reason}")


def _useless(result: SetRun) -> list[tuple[str, str]]:
    from barmodel.instrument import why_none

    blueprint = result.blueprint
    return [
        (plank.name, why_none(blueprint.plan, plank, blueprint.lengths.length))
        for plank in blueprint.plan.planks
        if not blueprint.does_for.get(plank.name)
    ]


def smoothness(result: SetRun) -> dict[str, float]:
    """Largest second differences from bar to bar, where no bar between is missing. [mm]"""
    found = {}
    for name, states in (
        ("length_mm", THERE),
        ("node_mm", ("designed",)),  # of a bar that was begun they are not those of its design
        ("centre_mm", ("designed",)),
    ):
        values = [row[name] if row["state"] in states else None for row in result.rows]
        steps = np.abs(np.diff(np.array(values, dtype=float), 2))
        found[name] = float(np.max(steps, initial=0.0, where=np.isfinite(steps)))
    return found


COLUMNS = ("note", "length", "centre", "cents", "node", "misfit", "untuned mode beside")
"""What fits a terminal; the rest stands in bars.csv."""


def show(result: SetRun, folder: Path) -> None:
    """Print the set as a table, what stands out, and what comes next."""
    rows = result.rows
    print_table(COLUMNS, [_cells(row) for row in rows], title=f"{result.blueprint.plan.name}, mm")
    for text in _remarks(rows):
        print(f"  {text}")
    print()
    for rail in result.rails.rails:
        print(
            f"{rail.row}: {_on_cords(result, rail)} within {rail.worst * 1e3:.1f} mm of straight "
            "cords, turned "
            f"{_degrees(rail.player_slope)} at the player's end, {_degrees(-rail.far_slope)} "
            "at the far end"
        )
    uneven = smoothness(result)
    print(
        f"evenness, largest second difference: lengths {uneven['length_mm']:.1f} mm, nodes "
        f"{uneven['node_mm']:.1f} mm, centre thickness {uneven['centre_mm']:.2f} mm"
    )
    _show_leave(rows)
    _show_planks(result)
    _show_end(result, folder)


def _on_cords(result: SetRun, rail: Rail) -> str:
    """What the cords were drawn through."""
    drilled = [n for n in rail.semitones if n in result.standing and result.standing[n].drilled]
    return "nodes and drilled holes" if drilled else "nodes"


def _remarks(rows: Sequence[dict[str, Any]]) -> list[str]:
    """What is said of bars, said once where neighbours differ in its numbers only."""
    runs: list[list[dict[str, Any]]] = []
    for row in rows:
        alike = bool(runs) and _shape(runs[-1][0]["remark"]) == _shape(row["remark"])
        if alike:
            runs[-1].append(row)
        else:
            runs.append([row])
    found = []
    for run in runs:
        if run[0]["remark"] and run[0]["state"] != "kept":  # told among the cautions
            to = f" to {run[-1]['note']}, as {run[0]['note']}" if len(run) > 1 else ""
            found.append(f"{run[0]['note']}{to}: {run[0]['remark']}")
    return found


def _shape(remark: str | None) -> str:
    return re.sub(r"[-+]?\d+(\.\d+)?", "#", remark or "")


def _show_leave(rows: Sequence[dict[str, Any]]) -> None:
    """What to leave today, so that the set is right where it is played, its holes drilled."""
    told = {
        (row["leave_today_cents"], row["leave_today_error_cents"])
        for row in rows
        if row["leave_today_cents"] is not None
    }
    if not told:
        return
    least, most = min(cents for cents, _ in told), max(cents for cents, _ in told)
    each = f"{least:+.1f}" if least == most else f"{least:+.1f} to {most:+.1f}"
    errors = [error for _, error in told if error is not None]
    for_room = f", for the room they will be in (± {max(errors):.1f})" if errors else ""
    for_holes = any(row["drilling_mode1_cents"] for row in rows)
    holes = f"{' and' if for_room else ','} for holes still to be drilled" if for_holes else ""
    print(f"leave mode 1 of the bars {each} cents from its target today{for_room}{holes}")


def _show_end(result: SetRun, folder: Path) -> None:
    from barmodel.instrument import order_of_work
    from barmodel.pitch import note_of

    made = [item for item in result.outcomes.values() if item.designed]
    order = order_of_work(list(result.outcomes.values()), result.blueprint.plank)
    first = " ".join(note_of(note) for note in order[:6])
    print(
        f"{len(made)} of {len(result.blueprint.plan.semitones)} bars designed "
        f"({result.designed_now} now), begin with {first} …"
    )
    print(
        f"bar files, tables (CSV), set.pdf (chart) and papers.pdf (for the bench) are in {folder}"
    )


def _cells(row: dict[str, Any]) -> tuple[object, ...]:
    if row["state"] != "designed":
        return (row["note"], _one(row["length_mm"]), row["state"], *4 * [""])
    cents = [row[f"mode{number}_cents"] for number in (1, 2, 3)]
    return (
        row["note"],
        _one(row["length_mm"]),
        _two(row["centre_mm"]),
        " ".join(cents_text(value) for value in cents if value is not None),
        _one(row["node_mm"]),
        _one(row["hole_misfit_mm"]),
        _beside(row["clashes"]),
    )


def _beside(clashes: str) -> str:
    """Nearest of the untuned modes that clash, in short: T torsional, L lateral, V tuned."""
    first, *more = clashes.replace("torsional ", "T").replace("lateral ", "L").split("; ")
    return first.replace("mode ", "V") + (" …" if more else "")


def _one(value: float | None) -> str | None:
    return None if value is None else f"{value:.1f}"


def _two(value: float | None) -> str | None:
    return None if value is None else f"{value:.2f}"


def _degrees(slope: float) -> str:
    return f"{np.degrees(np.arctan(slope)):+.2f}°"


def show_lengths(blueprint: Blueprint) -> None:
    """Print lengths and what bounds them."""
    from barmodel_cli.sets.set_run import length_rows

    rows = [tuple(row.values()) for row in length_rows(blueprint)]
    head = ("note", "length", "wish", "shortest", "longest", "centre", "node")
    print_table(head, rows, title=f"{blueprint.plan.name}, mm")
    print("wish: by common practice; shortest, longest: what has an undercut with a sound middle")
    for text in blueprint.doubts:
        print(f"mind: {text}")
    print("next: the same without --lengths-only, which designs them and writes files")
