"""`barmodel tube`."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from barmodel_cli.asked.options import BadValue, Json, length_option, number_option
from barmodel_cli.exits import say
from barmodel_cli.shown.show import print_json, print_table

NARROWEST_MM = 12.0
"""Narrower tubes hardly sound and are a slip (own judgement). [mm]"""


def run(
    notes: Annotated[list[str], typer.Argument(help="Notes, as C3 F#3 Bb4.", show_default=False)],
    bore: Annotated[float | None, length_option("--bore", help="Inner diameter.")] = None,
    box_width: Annotated[
        float | None, length_option("--box-width", help="Inner width of a rectangular box.")
    ] = None,
    box_depth: Annotated[
        float | None, length_option("--box-depth", help="Its inner depth.")
    ] = None,
    a4_hz: Annotated[float, number_option("--a4", help="Pitch of A4.", positive=True)] = 440.0,
    temperature_c: Annotated[
        float, number_option("--temperature", help="Where it is played, °C.")
    ] = 20.0,
    coldest_c: Annotated[
        float | None, number_option("--coldest", help="Lowest temperature of the room, °C.")
    ] = None,
    hottest_c: Annotated[
        float | None, number_option("--hottest", help="Highest temperature of the room, °C.")
    ] = None,
    offset_cents: Annotated[
        float, number_option("--offset", help="Cents the tube is tuned above the bar.")
    ] = 0.0,
    as_json: Json = False,
) -> None:
    """Inner lengths of closed resonator tubes, stop to mouth.

    Example: barmodel tube C3 G3 --bore 60 --coldest 15 --hottest 30
    """
    from barmodel.air import stop_travel, tube_length
    from barmodel.pitch import note_hz
    from barmodel.units import MM

    radius = _radius(bore, box_width, box_depth)
    if (coldest_c is None) != (hottest_c is None):
        raise BadValue("--coldest and --hottest belong together, as --coldest 15 --hottest 30")
    rows: list[dict[str, Any]] = []
    for note in notes:
        hz = note_hz(note, a4_hz=a4_hz)
        length = tube_length(
            hz, radius=radius, temperature_c=temperature_c, offset_cents=offset_cents
        )
        row = {"note": note, "hz": hz, "length_mm": length / MM}
        if coldest_c is not None and hottest_c is not None:
            shortest, longest = stop_travel(
                hz,
                radius=radius,
                coldest_c=coldest_c,
                hottest_c=hottest_c,
                offset_cents=offset_cents,
            )
            row |= {"shortest_mm": shortest / MM, "longest_mm": longest / MM}
        rows.append(row)
    if as_json:
        print_json("tube", {"tubes": rows, "radius_mm": radius / MM})
    else:
        _show(rows)


def _radius(bore: float | None, width: float | None, depth: float | None) -> float:
    """Radius of the tube, or of the round tube that a box stands for. [m]"""
    from barmodel.air import equal_area_radius
    from barmodel.units import MM

    box = [side for side in (width, depth) if side is not None]
    if len(box) != (2 if bore is None else 0):
        raise BadValue("give --bore of a round tube, or --box-width and --box-depth of a box")
    for side in [bore] if bore is not None else box:
        if side < NARROWEST_MM:
            raise BadValue(
                f"{side:g} mm is narrower than any resonator tube; were centimetres meant?"
            )
    if bore is not None:
        return bore * MM / 2
    assert width is not None
    assert depth is not None
    return equal_area_radius(width * MM, depth * MM)


def _show(rows: list[dict[str, Any]]) -> None:
    columns = ["note", "Hz", "length, mm"]
    travel = "shortest_mm" in rows[0]
    cells: list[list[object]] = []
    for row in rows:
        cells.append([row["note"], f"{row['hz']:.2f}", f"{row['length_mm']:.1f}"])
        if travel:
            cells[-1] += [f"{row['shortest_mm']:.1f}", f"{row['longest_mm']:.1f}"]
    print_table([*columns, *(["shortest", "longest"] if travel else [])], cells)
    if travel:
        print("\nshortest and longest: how far its stop must travel between the two temperatures")
    more = "" if travel else "barmodel tube again with --coldest 15 --hottest 30 for its stop; "
    say(
        f"next: {more}build it with a stop that moves, and tune it in place under the finished "
        "bar: a mouth close to the bar sounds flatter"
    )
