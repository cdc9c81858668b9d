"""`barmodel hear`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.options import (
    BadValue,
    Json,
    Plot,
    existing_bar_path,
    length_option,
    number_option,
    read_frequencies,
    read_length_mm,
)
from barmodel_cli.asked.plausible import Unusual, check_temperature
from barmodel_cli.exits import say, tell
from barmodel_cli.shown.show import caution, print_json, progress
from barmodel_cli.shown.steps import next_step

if TYPE_CHECKING:
    from barmodel.files import BarDocument
    from barmodel.pitch import Target
    from barmodel.strike import Hearing, Recording
    from barmodel_cli.bench.foretold import Foretold
    from barmodel_cli.bench.season import Rooms
    from barmodel_cli.bench.today import Today


def _bar_option(name: str, text: str) -> Any:
    return typer.Option(
        name, metavar="BARFILE", parser=existing_bar_path, help=text, show_default=False
    )


def run(
    files: Annotated[
        list[Path] | None,
        typer.Argument(help="Recordings of one bar: WAV, or FLAC, OGG, AIFF, MP3 with `audio`."),
    ] = None,
    into: Annotated[
        Path | None, _bar_option("--into", "Record the reading in this bar file.")
    ] = None,
    bar: Annotated[
        Path | None, _bar_option("--bar", "Name the lines by this bar; nothing is recorded.")
    ] = None,
    how: Annotated[
        Path | None, _bar_option("--how", "Say where to hold and strike this bar, and stop.")
    ] = None,
    hz: Annotated[
        Any,
        typer.Option(
            "--hz",
            parser=read_frequencies,
            metavar="HZ,HZ,…",
            help="A reading by hand instead of a recording: 261,1046,- (- for not heard).",
            show_default=False,
        ),
    ] = None,
    seconds: Annotated[
        float | None, number_option("--record", help="Record so many seconds.", positive=True)
    ] = None,
    strike_at: Annotated[
        float | None, length_option("--strike-at", help="Where it was struck, from the left end.")
    ] = None,
    held_at: Annotated[
        list[float] | None,
        typer.Option(
            "--held-at", parser=read_length_mm, metavar="LENGTH", help="Where it was held; repeat."
        ),
    ] = None,
    temperature_c: Annotated[
        float | None, number_option("--temperature", help="Of the bar, °C.")
    ] = None,
    humidity: Annotated[
        float | None, number_option("--humidity", help="Relative humidity of the room, %.")
    ] = None,
    drilled: Annotated[
        bool,
        typer.Option("--drilled", help="Cord holes were drilled since it was last heard or cut."),
    ] = False,
    remark: Annotated[str | None, typer.Option(help="Anything worth keeping.")] = None,
    unusual: Unusual = False,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """Modes of a struck bar from recordings, with how sure they are.

    Example: barmodel hear strike1.wav strike2.wav --into G3 --temperature 21
    """
    from barmodel.files import append_entries, read_bar_file, target_of
    from barmodel_cli.bench.foretold import foretell
    from barmodel_cli.bench.hear_entry import content, reading_of
    from barmodel_cli.bench.hear_how import advise
    from barmodel_cli.bench.hear_names import listen
    from barmodel_cli.bench.hear_picture import draw
    from barmodel_cli.bench.hear_text import show_heard
    from barmodel_cli.bench.heard_before import refuse_heard
    from barmodel_cli.bench.season import Rooms, rooms_of
    from barmodel_cli.bench.today import AS_TARGETED, today_of
    from barmodel_cli.bench.verdict import believe

    if how is not None:
        advise(how, as_json=as_json)
        return
    _check_ways(files, hz, seconds, plot)
    if into is not None and bar is not None and into != bar:
        raise BadValue("--into and --bar name two bars; a reading belongs to one")
    check_temperature(temperature_c, unusual=unusual)
    path = into or bar
    document = None if path is None else read_bar_file(path)
    if document is not None:
        _check_places(document, strike_at, held_at or [])
    rooms = Rooms(None, None) if path is None else rooms_of(path)
    if temperature_c is None and into is not None:
        temperature_c = _as_at_the_bench(rooms)
    foretold = None
    if document is not None:
        with progress("looking where its modes should be"):
            water = rooms.water(document)
            foretold = foretell(document, water, count=len(hz or ()), torsion=hz is None)
    recordings = [] if hz is not None else _recordings(files or [], seconds)
    if document is not None and into is not None:
        refuse_heard(recordings, document, into, unusual=unusual)
    heard = None
    if hz is None:
        with progress("listening"):
            heard = listen(recordings, document, foretold, strike_at, tuple(held_at or ()))
    reading = reading_of(
        heard,
        recordings,
        by_hand=hz,
        lowest_told=_lowest_told(document, foretold),
        temperature_c=temperature_c,
        humidity_percent=humidity,
        moisture_percent=_water_at_the_bench(rooms, document),
        strike_at_mm=strike_at,
        held_at_mm=tuple(held_at or ()),
        drilled=drilled,
        remark=remark,
    )
    surprise = None
    if foretold is not None:  # with --bar nothing is recorded: any reading may be looked at
        surprise = believe(foretold, reading, unusual=unusual or into is None)
    target, today = None, AS_TARGETED
    if document is not None and path is not None:
        target = target_of(document.target)
        today = today_of(document.with_entries(reading), path, rooms=rooms)
    if plot is not None and heard is not None:
        with progress("drawing"):
            draw(heard, recordings, document, target, today, plot)
    # last: what is refused before it can be said again without being in the file twice
    entry = append_entries(into, reading).log[-1].id if into is not None else None
    for warning in heard.warnings if heard is not None else ():
        caution(warning.text)
    if surprise:
        caution(surprise)
    if as_json:
        print_json("hear", content(heard, reading, target, today, entry))
        return
    show_heard(heard, reading, target, today, document, into)
    if entry is not None:
        print(f"recorded as entry {entry}{_if_wrong(heard, surprise, into, entry)}")
    if entry is not None and temperature_c is None:
        tell(
            "no temperature told: it counts as that of the other readings since the last "
            "cut, or as 20 °C; a degree is about a cent, say --temperature 23"
        )
    if target is not None:
        today.show(target)
    say(_next_step(reading, target, document, path, today, sure=surprise is None))


def _check_ways(
    files: list[Path] | None,
    hz: tuple[float | None, ...] | None,
    seconds: float | None,
    plot: Path | None,
) -> None:
    """Refuse two ways of saying what was heard, or none."""
    if sum([bool(files), hz is not None, seconds is not None]) != 1:
        raise BadValue("give recordings, or --record SECONDS, or --hz 261,1046,-; one of them")
    if plot is not None and hz is not None:
        raise BadValue("--plot draws a recording; with --hz there is none")


def _lowest_told(document: BarDocument | None, foretold: Foretold | None) -> float | None:
    """Mode 1 as foretold of a bar that was cut: no cut deeper than told leaves it higher. [Hz]"""
    if document is None or foretold is None or not document.begun:
        return None
    return float(foretold.likely_hz[0])


def _check_places(document: BarDocument, strike_at: float | None, held_at: list[float]) -> None:
    """Refuse places beside the bar. [mm]"""
    from barmodel.files import bar_as_is
    from barmodel.units import MM

    length = bar_as_is(document).blank.length / MM
    told = [("--strike-at", strike_at), *(("--held-at", place) for place in held_at)]
    for option, place in told:
        if place is not None and not 0.0 <= place <= length:
            raise BadValue(f"{option} {place:g} mm lies off the bar, which is {length:g} mm long")


def _if_wrong(heard: Hearing | None, surprise: str | None, path: Path | None, entry: int) -> str:
    """How to take a reading back that may be of another bar."""
    other = heard is not None and any(c.code == "other bar" for c in heard.warnings)
    if not other and surprise is None:
        return ""
    return f"; if it was another bar, take it back: barmodel log {path} --cancel {entry}"


def _as_at_the_bench(rooms: Rooms) -> float | None:
    """Temperature of the bench as the set file has it, where none was given. [°C]"""
    if rooms.today is None:
        return None
    usual = rooms.today.temperature_c
    caution(f"no --temperature given: {usual:g} °C is recorded, as the set file says of the bench")
    return usual


def _water_at_the_bench(rooms: Rooms, document: BarDocument | None) -> float | None:
    """Water in the wood of a bar that has settled in the air of the bench. [%]"""
    from barmodel_cli.bench.water import takes_water

    if rooms.today is None or document is None or not takes_water(document):
        return None
    return round(rooms.today.moisture_percent, 2)


def _next_step(
    reading: Any,
    target: Target | None,
    document: BarDocument | None,
    path: Path | None,
    today: Today,
    *,
    sure: bool,
) -> str:
    from barmodel_cli.bench.verdict import finished, limits_in_words

    if document is None or target is None or path is None:
        return "next: the same with --into BARFILE, to name the lines by that bar and record them"
    cents = today.away(reading.hz, target)
    if finished(cents) and not sure:
        return (
            "by this reading every mode is within tolerance, but it comes as a surprise\n"
            f"next: barmodel hear AGAIN.wav --into {path}, before the bar is put away"
        )
    if finished(cents):
        return (
            f"by this reading every mode is within {limits_in_words(len(cents))} cents of what "
            f"it is to be\nnext: barmodel next {path}, which tells whether that is sure enough"
        )
    return f"next: {next_step(path, document.with_entries(reading))}"


def _recordings(files: list[Path], seconds: float | None) -> list[Recording]:
    from barmodel.strike import read_recording
    from barmodel.strike.microphone import record
    from barmodel_cli.bench.heard_before import same_sound

    if seconds is not None:
        say(f"recording {seconds:g} s: strike now")
        return [record(seconds)]
    found: list[tuple[Recording, Path]] = []
    for path in files:
        recording = read_recording(path)
        twin = next((at for one, at in found if same_sound(one, recording)), None)
        if twin is None:
            found.append((recording, path))
        else:
            told = "was given twice" if path == twin else f"holds the same sound as {twin}"
            caution(f"{path} {told}; it is counted once")
    names = [recording.name for recording, _ in found]
    return [  # two folders may hold files of one name
        recording if names.count(recording.name) == 1 else replace(recording, name=str(path))
        for recording, path in found
    ]
