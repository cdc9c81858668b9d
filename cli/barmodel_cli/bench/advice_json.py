"""The advice of `next` for programs, and its cut as a file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmodel.bench import Advice
    from barmodel.cuts import Cut
    from barmodel.files import BarDocument, CutEntry, TargetPart
    from barmodel_cli.bench.history import Twins


def entries_of(cuts: Sequence[Cut]) -> list[CutEntry]:
    """Cuts as entries of a bar file."""
    from barmodel.cuts import EndTrim
    from barmodel.files import EndsCut, GrooveCut, entry_of
    from barmodel.units import MM

    out: list[CutEntry] = []
    for cut in cuts:
        if isinstance(cut, EndTrim):
            out.append(EndsCut(length_mm=round(cut.left / MM, 3)))
            continue
        entry = entry_of(cut)
        if isinstance(entry, GrooveCut) and entry.section == "round":
            entry = entry.model_copy(update={"width_mm": None})
        out.append(entry)
    return out


def cautions_of(document: BarDocument, bar_file: Path, found: Advice) -> list[str]:
    """What there is to mind: alarms, readings that were set aside, a cut recorded twice."""
    from barmodel_cli.bench.aim_text import old_design
    from barmodel_cli.bench.history import reading_numbers

    stages = reading_numbers(document)
    rough = found.state == "cut" and not any(found.tools)
    return [
        *([old_design(document, bar_file)] if rough and document.design_is_old else []),
        *found.warnings,
        *(
            f"mode {doubt.mode + 1} of entry {stages[doubt.stage][doubt.reading]} lies "
            f"{doubt.off_cents:+.0f} cents from what fits the rest; it was set aside"
            for doubt in found.posterior.doubts
            if doubt.mode < found.goal.count  # of others nobody asks
        ),
        *_untold_warmth(found, stages),
        *_recorded_twice(document, bar_file, found),
    ]


def _untold_warmth(found: Advice, numbers: list[list[int]]) -> Iterator[str]:
    """Readings on the bar as it is that do not say how warm it was, beside others that do."""
    last = found.posterior.history.stages[-1]
    untold = [n for n, r in zip(numbers[-1], last.readings, strict=True) if r.temperature_c is None]
    if untold and len(untold) < len(last.readings):
        told = [r.temperature_c for r in last.readings if r.temperature_c is not None]
        warm = sum(told) / len(told)
        which = ", ".join(str(number) for number in untold)
        yield (
            f"{'entry' if len(untold) == 1 else 'entries'} {which} without a temperature: taken to "
            f"be as warm as the other readings since the last cut, {warm:g} °C"
        )


def _recorded_twice(document: BarDocument, bar_file: Path, found: Advice) -> Iterator[str]:
    for pair, mode in suspected_twins(document, found):
        yield (
            f"entries {pair.first} and {pair.second} are the same cut with no reading between, "
            f"and mode {mode + 1} moved as by one of them: was it recorded twice? "
            f"To take it back: barmodel log {bar_file} --cancel {pair.second}"
        )


def suspected_twins(document: BarDocument, found: Advice) -> list[tuple[Twins, int]]:
    """Cuts that stand twice in the log, where the bar moved as by one; and the mode that tells."""
    from barmodel.bench.twice import made_once
    from barmodel_cli.bench.history import twins_of

    told = [(pair, made_once(found.posterior, *pair.stages)) for pair in twins_of(document)]
    return [(pair, mode) for pair, mode in told if mode is not None]


def content_of(document: BarDocument, bar_file: Path, found: Advice) -> dict[str, Any]:
    """The advice for programs."""
    from barmodel.bench.model import WOOD
    from barmodel.units import MM

    goal, count = found.goal, found.goal.count
    expected = found.expected
    low, high = (None, None) if expected is None else expected.band()
    bar, history = found.posterior.bar, found.posterior.history
    return {
        "state": found.state,
        "reason": found.reason,
        "cut": [entry.model_dump(mode="json") for entry in entries_of(found.cuts)],
        "cutter": found.tools,
        "target_hz": goal.target.hz,
        "tolerance_cents": [[float(a), float(b)] for a, b in goal.tolerances[:count]],
        "risk": goal.risk,
        "readings_moved_cents": [reading.water_cents for reading in history.readings],
        "now_hz": found.present.hz[:count],
        "now_cents": goal.cents(found.present.log_hz),
        "now_standard_error_cents": found.present.error_cents[:count],
        "expected_hz": None if expected is None else expected.hz[:count],
        "expected_cents": None if expected is None else goal.cents(expected.log_hz),
        "low_hz": None if low is None else low[:count],
        "high_hz": None if high is None else high[:count],
        "band": 0.90,
        "chance_finished": found.chance,
        "rounds_left": found.rounds,
        "minimum_thickness_mm": found.least_thickness / MM,
        "rescues": [
            {
                "end_mm": one.end_mm,
                "how": type(one.first).__name__,
                "then_at_mm": [sum(cut.extent) / 2 / MM for cut in one.then],
                "then_depth_mm": [cut.deepest / MM for cut in one.then],
                "then": [entry.model_dump(mode="json") for entry in entries_of(one.then)],
                "then_cutter": one.tools,
                "then_cents": one.cents,
                "chance": one.chance,
            }
            for one in found.rescues
            if one.works
        ],
        "other_cutters": found.others,
        "could_become": [
            {"note": part.note, "ratios": list(part.ratios), "command": command}
            for part, command in could_become(document, bar_file, found)
        ],
        "offset_cents": found.posterior.offset_cents[:count],
        "wood": {name: getattr(bar.blank.wood, name) / 1e9 for name in WOOD},
        "alarms": [{"kind": alarm.kind, "text": alarm.text} for alarm in found.alarms],
        "warnings": cautions_of(document, bar_file, found),
    }


def could_become(
    document: BarDocument, bar_file: Path, found: Advice
) -> list[tuple[TargetPart, str]]:
    """What else the bar could become, and the command that makes it the aim."""
    from barmodel.files import aim_options
    from barmodel_cli.asked.aims import too_far

    named = []
    for one in found.renames:
        # the goal's own target leaves for the room and for holes; the file's does not
        fields = {"note": one.target.note} if one.semitones else {}
        ratios = document.target.ratios[: len(one.target.ratios)]
        part = document.target.model_copy(update={**fields, "ratios": ratios})
        command = f"barmodel log {bar_file} {aim_options(document.target, part)}"
        named.append((part, command + " --unusual" * bool(too_far(document, part))))
    return named


def write_cut(path: Path, document: BarDocument, found: Advice) -> None:
    """Write the cut, and the bar it is for, whole or not at all."""
    from barmodel.files import CutFile, write_cut_file

    write_cut_file(path, CutFile.planned_for(document, tuple(entries_of(found.cuts))))
