"""Where to hold and strike a bar to bring out each mode."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from barmodel_cli.bench.foretold import foretell
from barmodel_cli.bench.hear_names import shapes_of
from barmodel_cli.exits import say
from barmodel_cli.shown.show import print_json, print_table

if TYPE_CHECKING:
    from barmodel.modes import ModeSet


def bring_out_in_words(modes: ModeSet, kind: str, number: int) -> str:
    """Where to hold and strike a bar for one mode, in a line; empty where no place does it."""
    from barmodel.strike import bring_out

    shapes = shapes_of(modes)
    if (kind, number) not in [(shape.kind, shape.number) for shape in shapes]:
        return ""
    best = bring_out(modes.x, shapes, kind=kind, number=number)
    held = " and ".join(f"{1e3 * place:.0f}" for place in best.hold)
    across = "at the edge" if best.across == "edge" else "on the middle line"
    where = f"hold it at {held} mm" if held else "hold it loosely"
    return f"{where} and strike it at {1e3 * best.strike:.0f} mm, {across}"


def advise(path: Path, *, as_json: bool) -> None:
    """Say where to hold and strike the bar to bring out each mode."""
    from barmodel.files import read_bar_file
    from barmodel.strike import bring_out, torsion_test

    document = read_bar_file(path)
    modes = foretell(document, None).modes
    shapes = shapes_of(modes)
    wanted = [("bending", k) for k in (1, 2, 3)] + [("torsional", 1)]
    advice = [bring_out(modes.x, shapes, kind=kind, number=number) for kind, number in wanted]
    rows: list[dict[str, Any]] = [
        {
            "mode": f"{a.kind} {a.number}",
            "hold_mm": [1e3 * place for place in a.hold],
            "strike_mm": 1e3 * a.strike,
            "across": a.across,
            "amplitude": a.amplitude,
        }
        for a in advice
    ]
    taps = torsion_test(modes.x, shapes, strike_at=advice[-1].strike)
    if as_json:
        told = [
            {"mode": f"{kind} {number}", "edge_minus_middle_db": db} for kind, number, db in taps
        ]
        print_json("hear", {"advice": rows, "two_taps": told})
        return
    print_table(
        ("to hear", "hold at, mm", "strike at, mm", "where across", "strength"),
        [
            (
                row["mode"].replace("bending", "mode"),
                ", ".join(f"{place:.0f}" for place in row["hold_mm"]) or "loosely",
                f"{row['strike_mm']:.0f}",
                row["across"],
                f"{row['amplitude']:.2f}",
            )
            for row in rows
        ],
        title=f"{document.name}: places from the left end",
    )
    place = 1e3 * advice[-1].strike
    print(
        f"\nTwo taps at {place:.0f} mm, on the middle line and at the edge: "
        "what grows much louder at the edge is torsion."
    )
    say(f"next: barmodel hear STRIKE.wav --into {path}")
