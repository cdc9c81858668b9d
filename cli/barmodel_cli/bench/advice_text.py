"""The advice of `next` in words."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barmodel_cli.bench.held_back import held_back
from barmodel_cli.bench.untold import Change, cancels, what_then
from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.bench import Advice
    from barmodel.cuts import Cut
    from barmodel.files import BarDocument
    from barmodel_cli.asked.keeping import Least
    from barmodel_cli.bench.cords import Holes

HEADS = {
    "finished": "finished: leave it be",
    "cut": "cut",
    "measure": "listen again first",
    "rescue": "can still be saved: raise it at the ends",
    "stuck": "no sure way home with these cutters",
    "lost": "cannot become this note",
}
LEAST_MOVED = 0.3
"""Drift by water since a reading that is worth a word. [cent]"""
CRACK = "stop, it is probably cracked"


def show_advice(
    document: BarDocument,
    bar_file: Path,
    found: Advice,
    least: Least,
    saved: Path | None = None,
    *,
    holes: Holes | None,
) -> None:
    """Print the advice.

    Parameters
    ----------
    document : BarDocument
    bar_file : Path
    found : Advice
    least : Least
        The thickness that it keeps.
    saved : Path, optional
        Where its cut was written.
    holes : Holes or None
        Cord holes to come, for which the cents leave.
    """
    to_drill = holes is not None
    print(f"{document.name}, target {document.target.note}: {_head(found, to_drill=to_drill)}")
    _show_cut(document, found)
    print(f"why: {found.reason}")
    print()
    print_table(*_table(found))
    print(f"now: from all readings and cuts so far{_moved(found)}; `hear` shows one as it was")
    print(_at(found))
    for text in _without_a_cut(document, bar_file, found, holes):
        print(text)
    if told := held_back(found, least):
        print(told)
    if found.expected is not None:
        _show_outcome(bar_file, found, least, saved)
    for text in _as_another(document, bar_file, found):
        print(text)


def _as_another(document: BarDocument, bar_file: Path, found: Advice) -> Iterator[str]:
    """How to go on with a bar as what it could become instead."""
    from barmodel.files import ratios_in_words
    from barmodel_cli.bench.advice_json import could_become

    for part, command in could_become(document, bar_file, found):
        yield f"to make it {part.note} with {ratios_in_words(part)} instead: {command}"


def _at(found: Advice) -> str:
    """At what temperature a tuner shows these frequencies."""
    here, right = found.posterior.at_c, found.posterior.belief.reference_c
    text = f"Hz are as a tuner shows them at {here:g} °C"
    if abs(here - right) < 0.05:
        return text
    return f"{text}, as it was last heard; the bar is to be right at {right:g} °C"


def _moved(found: Advice) -> str:
    """How far readings were brought where the water in the wood has changed since."""
    moved = [reading.water_cents for reading in found.posterior.history.readings]
    far = [cents for cents in moved if abs(cents) >= LEAST_MOVED]
    if not far:
        return ""
    most = max(far, key=abs)
    which = "all of them" if len(far) == len(moved) else f"{len(far)} of {len(moved)}"
    return f", brought to the water in the wood today ({which}, by up to {most:+.1f} cents)"


def _cracked(found: Advice) -> bool:
    return found.state == "lost" and any(alarm.kind == "crack" for alarm in found.alarms)


def _head(found: Advice, *, to_drill: bool) -> str:
    if found.state == "finished" and to_drill:
        return "tuned as far as it goes before drilling: cut no more, drill its cord holes"
    return CRACK if _cracked(found) else HEADS[found.state]


def _show_cut(document: BarDocument, found: Advice) -> None:
    """Print the cut to make now: floors of a rough one, else a line for each."""
    from barmodel.bench.words import cut_words

    if found.state == "cut" and not any(found.tools):
        _show_floors(document, found)
        return
    length = found.posterior.bar.blank.length
    for cut, tool in zip(found.cuts, found.tools, strict=True):
        print(f"  {cut_words(cut, length, tool or None)}{_left_by(found, cut)}")


def _without_a_cut(
    document: BarDocument, bar_file: Path, found: Advice, holes: Holes | None
) -> Iterator[str]:
    """What to do where there is no cut to make now, and of readings that look like a crack."""
    if change := Change.of(document, found):
        yield from what_then(change, bar_file, holes)
        return
    if found.state == "finished" and holes is None:
        picture = f"{document.name}-log.png"
        yield f"\nthen: barmodel log {bar_file} --plot {picture}, to keep with the bar"
    if found.state == "stuck":
        yield f"\nthen: {_unstuck(bar_file, found)}"
    if found.state == "measure":
        yield f"\nthen: barmodel hear STRIKE.wav --into {bar_file}, or with --hz by hand"
        if slip := _slip(document, bar_file, found):
            yield slip
    if holes is not None and _went_off(found):
        since = _one_of(bar_file, _low_readings(document, found))
        yield (
            f"or, if cord holes were drilled since it was last heard: {since} for the readings "
            "since, and hear them with --drilled"
        )


def _went_off(found: Advice) -> bool:
    """Whether the bar is not where it was expected, as one is whose drilling was not told."""
    last = len(found.posterior.history.stages) - 1
    off = any(doubt.stage == last and doubt.alone for doubt in found.posterior.doubts)
    return off or found.state == "rescue"


def _show_outcome(bar_file: Path, found: Advice, least: Least, saved: Path | None) -> None:
    """Print what the cut leaves, how many rounds it takes, and how to record it."""
    from barmodel.bench.words import cut_words
    from barmodel.units import MM

    kept = f"; {least.mm:g} mm must remain, by the bar file" if least.of_file else ""
    print(f"\nthinnest then: {found.least_thickness / MM:.2f} mm{kept}")
    if found.state == "cut":
        rounds = "this is likely the last round"
        if found.rounds > 1:
            rounds = f"about {found.rounds} rounds left, this one included"
        if found.chance >= 0.005:
            rounds += f"; chance to be finished by it {100 * found.chance:.0f} %"
        print(rounds)
    if found.state == "rescue":
        _show_recipe(found)
    for other in found.rescues[1:]:
        print(f"or instead: {cut_words(other.first, found.posterior.bar.blank.length)}")
    print(f"then: {_command(bar_file, found, least.option, saved)}")


def _left_by(found: Advice, cut: Cut) -> str:
    """How thick the bar is then in the middle of a cut."""
    import numpy as np

    from barmodel.cuts import EndTrim
    from barmodel.units import MM

    if isinstance(cut, EndTrim):
        return ""
    middle = sum(cut.extent) / 2
    left = found.bar_then.profile.thickness(np.array([middle])).real[0]
    return f", {left / MM:.2f} mm remain"


def _show_floors(document: BarDocument, found: Advice) -> None:
    """Print the floors of a rough cut from the uncut underside, and how far the design is."""
    from barmodel.bench.floors import floors
    from barmodel.cuts import apply_cuts
    from barmodel.files import bar_as_designed
    from barmodel.units import MM

    bar = apply_cuts(found.posterior.history.bar, found.cuts, check=False)
    length = bar.blank.length / MM
    rows: list[tuple[object, ...]] = []
    design = bar_as_designed(document).undercut if document.design else ()
    for one in floors(bar, design):
        start, end = one.start / MM, one.end / MM
        if start == end:
            other = f" and {length - start:.1f}" if start < length / 2 - 0.05 else ""
            where = f"at {start:.1f}{other}"
        elif abs(start + end - length) < 0.1:
            where = f"{start:.1f}–{end:.1f}"
        else:
            where = f"{start:.1f}–{end:.1f} and {length - end:.1f}–{length - start:.1f}"
        rows.append(
            (where, f"{one.depth / MM:.2f}", f"{one.thickness / MM:.2f}", f"{one.short / MM:.2f}")
        )
    columns = ("from the left end, mm", "depth, mm", "remains, mm", "short of the design, mm")
    print_table(columns, rows, title="depths from the uncut underside, not one on the other:")


def _show_recipe(found: Advice) -> None:
    """Print what must follow the work at the ends, a cut a line, and what it all comes to."""
    from barmodel.bench.words import cut_words

    recipe = found.rescues[0]
    length = found.bar_then.blank.length
    if recipe.then:
        print("afterwards, about this; `next` says it anew once the bar was heard again:")
        for cut, tool in zip(recipe.then, recipe.tools, strict=True):
            print(f"  {cut_words(cut, length, tool)}")
    ends = ", ".join(cents_text(float(cents)) for cents in recipe.cents)
    print(
        f"all of it leaves the modes at about {ends} cents; chance to be finished by it, were "
        f"nothing heard on the way, {100 * recipe.chance:.0f} %"
    )


def _unstuck(bar_file: Path, found: Advice) -> str:
    """What to do about cutters that have no sure way home."""
    if found.others:
        return f"barmodel next {bar_file} " + " ".join(f"--cutter {name}" for name in found.others)
    more = min(2.0 * found.goal.risk, 0.4)
    return (
        f"barmodel next {bar_file} with other cutters (--cutter), wider limits (--tolerance) or a "
        f"greater risk (--risk {more:g})"
    )


def _slip(document: BarDocument, bar_file: Path, found: Advice) -> str | None:
    """How to take back what nothing bears out: a cut told twice, or a reading."""
    from barmodel.cuts import EndTrim
    from barmodel_cli.bench.advice_json import suspected_twins
    from barmodel_cli.bench.history import reading_numbers

    for pair, _mode in suspected_twins(document, found):
        return f"or, if entry {pair.second} was no second cut: {cancels(bar_file, pair.second)}"
    stages = reading_numbers(document)
    last = len(stages) - 1
    for doubt in found.posterior.doubts:
        if doubt.stage != last or not (doubt.alone or doubt.torn):
            continue
        numbers = stages[last] if doubt.torn else [stages[last][doubt.reading]]
        slip = f"or, if it was a slip: {_one_of(bar_file, numbers)}"
        made = found.posterior.history.stages[last].cut
        depths = () if made is None else [c for c in made.cuts if not isinstance(c, EndTrim)]
        if doubt.off_cents > 0.0 or not depths:
            return slip
        since = " and ".join(str(number) for number in stages[last])
        return (
            f"{slip}\nor, if the last cut went deeper than told (measure it): cancel the readings "
            f"since (entry {since}), record the rest of its depth as a cut of its own "
            f"(barmodel cut {bar_file} …), and hear it again"
        )
    return None


def _one_of(bar_file: Path, numbers: list[int]) -> str:
    """The command that takes an entry back; of several, whichever it is."""
    words = " or ".join(f"--cancel {number}" for number in numbers)
    return f"barmodel log {bar_file} {words}"


def _low_readings(document: BarDocument, found: Advice) -> list[int]:
    """Numbers of the readings that lie too low for the rest of their stage; all of it if none do.

    It is the last stage in which anything was heard.
    """
    from barmodel_cli.bench.history import reading_numbers

    stages = reading_numbers(document)
    last = max((k for k, numbers in enumerate(stages) if numbers), default=0)
    low = {
        doubt.reading
        for doubt in found.posterior.doubts
        if doubt.stage == last and doubt.off_cents < 0.0
    }
    return [number for k, number in enumerate(stages[last]) if k in low] or stages[last]


def _table(found: Advice) -> tuple[tuple[str, ...], list[tuple[object, ...]]]:
    goal, expected = found.goal, found.expected
    cents = goal.cents(found.present.log_hz)
    shown = 2.0 ** (found.posterior.heat_cents / 1200)
    rows: list[tuple[object, ...]] = []
    for mode in range(goal.count):
        sharp, flat = goal.tolerances[mode]
        row: list[object] = [
            f"mode {mode + 1}",
            hz_text(float(found.present.hz[mode] * shown)),
            hz_text(float(goal.target.hz[mode] * shown)),
            f"{cents_text(float(cents[mode]))} ± {found.present.error_cents[mode]:.1f}",
            f"+{sharp:g} −{flat:g}",
        ]
        if expected is not None:
            low, high = expected.band()
            row += [
                hz_text(float(expected.hz[mode] * shown)),
                cents_text(float(goal.cents(expected.log_hz)[mode])),
                f"{cents_text(float(goal.cents(_log(low))[mode]))} to "
                f"{cents_text(float(goal.cents(_log(high))[mode]))}",
            ]
        rows.append(tuple(row))
    columns: tuple[str, ...] = ("mode", "now Hz", "aim Hz", "cents", "allowed")
    if expected is not None:
        columns += ("then Hz", "cents", "90 % between")
    return columns, rows


def _log(hz: Any) -> Any:
    import numpy as np

    return np.log(hz)


def _command(bar_file: Path, found: Advice, keep: str, saved: Path | None) -> str:
    """The command that records the cut once it is made."""
    from barmodel.cuts import EndTrim
    from barmodel.units import MM

    first = found.cuts[0]
    if saved is not None:
        return f"barmodel cut {bar_file} --entries {saved}{keep}, and strike it again"
    if len(found.cuts) > 1 or not (isinstance(first, EndTrim) or found.tools[0]):
        return (
            f"barmodel next {bar_file}{keep} --save CUT.json, cut it, barmodel cut {bar_file} "
            f"--entries CUT.json{keep}, and strike it again"
        )
    if isinstance(first, EndTrim):
        return f"barmodel cut {bar_file} --ends {first.left / MM:g}, and strike it again"
    start, end = (edge / MM for edge in first.extent)
    return (
        f"barmodel cut {bar_file} --at {(start + end) / 2:g} --width {end - start:g} "
        f"--depth {first.deepest / MM:.2f} --cutter {found.tools[0]}{keep}, and strike it again"
    )
