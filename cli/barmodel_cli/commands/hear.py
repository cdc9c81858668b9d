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
    from barmodel.strike import Recording
    from barmodel_cli.bench.struck import Struck, Subject


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
    from barmodel.files import append_entries
    from barmodel_cli.bench.hear_how import advise
    from barmodel_cli.bench.hear_picture import draw
    from barmodel_cli.bench.verdict import believe

    if how is not None:
        advise(how, as_json=as_json)
        return
    _check_ways(files, hz, seconds, plot)
    if into is not None and bar is not None and into != bar:
        raise BadValue("--into and --bar name two bars; a reading belongs to one")
    check_temperature(temperature_c, unusual=unusual)
    held = tuple(held_at or ())
    subject = _subject(into or bar, strike_at, held, by_hand=hz)
    if temperature_c is None and into is not None and subject is not None:
        temperature_c = subject.as_at_the_bench()
    struck = _struck(
        subject,
        [] if hz is not None else _recordings(files or [], seconds),
        by_hand=hz,
        refuse=None if into is None else not unusual,
        temperature_c=temperature_c,
        humidity_percent=humidity,
        strike_at_mm=strike_at,
        held_at_mm=held,
        drilled=drilled,
        remark=remark,
    )
    surprise = None
    if subject is not None:  # with --bar nothing is recorded: any reading may be looked at
        surprise = believe(subject.foretold, struck.reading, unusual=unusual or into is None)
    if plot is not None:
        with progress("drawing"):
            draw(struck, plot)
    # last: what is refused before it can be said again without being in the file twice
    entry = None if into is None else append_entries(into, struck.reading).log[-1].id
    _tell(struck, entry, surprise, as_json=as_json)


def _subject(
    path: Path | None, strike_at: float | None, held: tuple[float, ...], *, by_hand: Any
) -> Subject | None:
    """The bar that was named, and where its modes should be; lengths in mm."""
    from barmodel.files import read_bar_file
    from barmodel_cli.bench.struck import Subject, check_places

    if path is None:
        return None
    document = read_bar_file(path)
    check_places(document, strike_at, held)
    with progress("looking where its modes should be"):
        return Subject.of(path, document, count=len(by_hand or ()), torsion=by_hand is None)


def _struck(
    subject: Subject | None,
    recordings: list[Recording],
    *,
    by_hand: Any,
    refuse: bool | None,
    **circumstances: Any,
) -> Struck:
    """Hear the recordings, or take the pitches given by hand.

    `refuse`: whether a recording that is in a log already is refused, or told only; None where
    nothing is recorded.
    """
    from barmodel_cli.bench.hear_entry import reading_of
    from barmodel_cli.bench.hear_names import listen
    from barmodel_cli.bench.heard_before import refuse_heard
    from barmodel_cli.bench.struck import Struck

    heard = None
    if by_hand is None:
        if subject is not None and refuse is not None:
            refuse_heard(recordings, subject.document, subject.path, unusual=not refuse)
        where = {name: circumstances[name] for name in ("strike_at_mm", "held_at_mm")}
        with progress("listening"):
            heard = listen(recordings, subject, **where)
    known = {} if subject is None else {"moisture_percent": subject.water_percent}
    reading = reading_of(
        heard,
        recordings,
        by_hand=by_hand,
        lowest_told=None if subject is None else subject.lowest_told,
        **circumstances,
        **known,
    )
    if subject is None:
        return Struck(reading, heard, recordings)
    return Struck(reading, heard, recordings, subject, subject.today(reading))


def _tell(struck: Struck, entry: int | None, surprise: str | None, *, as_json: bool) -> None:
    """Show what was heard, doubts first; `entry` is its number in the log."""
    from barmodel_cli.bench.hear_entry import content
    from barmodel_cli.bench.hear_text import show_heard

    for warning in struck.heard.warnings if struck.heard is not None else ():
        caution(warning.text)
    if surprise:
        caution(surprise)
    if entry is not None and (twin := _typed_twice(struck, entry)):
        caution(twin)
    if as_json:
        print_json("hear", content(struck, entry))
        return
    show_heard(struck, recorded=entry is not None)
    if entry is not None:
        print(f"recorded as entry {entry}{_if_wrong(struck, surprise, entry)}")
    if entry is not None and struck.reading.temperature_c is None:
        tell(
            "no temperature told: it counts as that of the other readings since the last "
            "cut, or as 20 °C; a degree is about a cent, say --temperature 23"
        )
    if struck.target is not None:
        struck.today.show(struck.target)
    say(_next_step(struck, sure=surprise is None))


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


def _if_wrong(struck: Struck, surprise: str | None, entry: int) -> str:
    """How to take a reading back that may be of another bar."""
    if struck.subject is None or not (struck.of_another or surprise):
        return ""
    path = struck.subject.path
    return f"; if it was another bar, take it back: barmodel log {path} --cancel {entry}"


def _typed_twice(struck: Struck, entry: int) -> str | None:
    """What to do about pitches given by hand that stand in the log already."""
    from barmodel_cli.bench.heard_before import typed_before

    if struck.subject is None or struck.heard is not None:
        return None
    twin = typed_before(struck.subject.document, struck.reading)
    if twin is None:
        return None
    return (
        f"entry {twin} has the very same pitches, and nothing was cut between; if they were typed "
        "twice, take this back, or it counts as two strikes: "
        f"barmodel log {struck.subject.path} --cancel {entry}"
    )


def _next_step(struck: Struck, *, sure: bool) -> str:
    from barmodel_cli.bench.verdict import finished, limits_in_words

    subject, target = struck.subject, struck.target
    if subject is None or target is None:
        return "next: the same with --into BARFILE, to name the lines by that bar and record them"
    path, cents = subject.path, struck.today.away(struck.reading.hz, target)
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
    return f"next: {next_step(path, subject.document.with_entries(struck.reading))}"


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
