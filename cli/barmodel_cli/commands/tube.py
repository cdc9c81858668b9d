"""`barmodel tube`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from barmodel_cli.asked.options import BadValue, Json, length_option, number_option
from barmodel_cli.exits import say
from barmodel_cli.shown.show import print_json, print_table

USUAL_C = 20.0
"""Temperature where none is told. [°C]"""
NARROWEST_MM = 12.0
"""Narrower tubes hardly sound and are a slip (own judgement). [mm]"""


def run(
    notes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="NOTES",
            help="Notes, as C3 F#3 Bb4; with --set by default all of its notes.",
            show_default=False,
        ),
    ] = None,
    set_file: Annotated[
        Path | None,
        typer.Option(
            "--set",
            metavar="SETFILE",
            help="Pitches, stretch and the room's temperature as a set file has them.",
        ),
    ] = None,
    bore: Annotated[float | None, length_option("--bore", help="Inner diameter.")] = None,
    box_width: Annotated[
        float | None, length_option("--box-width", help="Inner width of a rectangular box.")
    ] = None,
    box_depth: Annotated[
        float | None, length_option("--box-depth", help="Its inner depth.")
    ] = None,
    a4_hz: Annotated[
        float | None, number_option("--a4", help="Pitch of A4 [440].", positive=True)
    ] = None,
    temperature_c: Annotated[
        float | None, number_option("--temperature", help="Where it is played [20], °C.")
    ] = None,
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

    Example: barmodel tube --set my.set.toml --bore 44
    """
    from barmodel.air import stop_travel, tube_length
    from barmodel.units import MM

    radius = _radius(bore, box_width, box_depth)
    if (coldest_c is None) != (hottest_c is None):
        raise BadValue("--coldest and --hottest belong together, as --coldest 15 --hottest 30")
    pitches, usual_c = _pitches(notes or [], set_file, a4_hz)
    celsius = usual_c if temperature_c is None else temperature_c
    rows: list[dict[str, Any]] = []
    for note, hz in pitches.items():
        length = tube_length(hz, radius=radius, temperature_c=celsius, offset_cents=offset_cents)
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
        content = {"tubes": rows, "radius_mm": radius / MM, "temperature_c": celsius}
        print_json("tube", content)
    else:
        _show(rows, celsius)


def _pitches(
    notes: list[str], set_file: Path | None, a4_hz: float | None
) -> tuple[dict[str, float], float]:
    """Frequencies by note, and the temperature where nothing else is said. [Hz], [°C]"""
    from barmodel.files.set_file import read_set_file
    from barmodel.pitch import A4_HZ, note_hz, note_of, note_semitone

    if set_file is None:
        if not notes:
            raise BadValue("name the notes, as C3 F#3, or a set with --set my.set.toml")
        return {n: note_hz(n, a4_hz=A4_HZ if a4_hz is None else a4_hz) for n in notes}, USUAL_C
    if a4_hz is not None:
        raise BadValue("--a4: the set file has its own pitch; leave one of --a4 and --set out")
    plan = read_set_file(set_file)
    wanted = [note_semitone(note) for note in notes] or plan.semitones
    for semitone in wanted:
        if semitone not in plan.semitones:
            raise BadValue(
                f"{note_of(semitone)} is not in the set, which goes from {note_of(plan.lowest)} to "
                f"{note_of(plan.highest)}"
            )
    found = {note_of(semitone): float(plan.target(semitone).hz[0]) for semitone in wanted}
    return found, USUAL_C if plan.room is None else plan.room.temperature_c


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


def _show(rows: list[dict[str, Any]], celsius: float) -> None:
    columns = ["note", "Hz", "length, mm"]
    travel = "shortest_mm" in rows[0]
    cells: list[list[object]] = []
    for row in rows:
        cells.append([row["note"], f"{row['hz']:.2f}", f"{row['length_mm']:.1f}"])
        if travel:
            cells[-1] += [f"{row['shortest_mm']:.1f}", f"{row['longest_mm']:.1f}"]
    print_table([*columns, *(["shortest", "longest"] if travel else [])], cells)
    print(f"\nlengths at {celsius:g} °C")
    if travel:
        print("shortest and longest: how far its stop must travel between the two temperatures")
    more = "" if travel else "barmodel tube again with --coldest 15 --hottest 30 for its stop; "
    say(
        f"next: {more}build it with a stop that moves, and tune it in place under the finished "
        "bar: a mouth close to the bar sounds flatter"
    )
