"""From the log of a bar file to the history the bench reasons about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.bench import Belief, Event, History, Standing
    from barmodel.files import BarDocument, CutMade
    from barmodel.pitch import Target
    from barmodel.undercut.piece import Array


def history_of(document: BarDocument) -> History:
    """Return what happened to a bar, without what was cancelled."""
    from barmodel.bench import CutMade, History, Reading
    from barmodel.files import Reading as ReadingEntry
    from barmodel.files import bar_as_is, bar_at_start, entries_made
    from barmodel_cli.asked.cutting import to_cuts

    bar_as_is(document)  # a cut that cannot be is named by its log entry there
    events: list[Event] = []
    for entry in document.valid_log:
        if isinstance(entry, ReadingEntry):
            if entry.drilled:
                events.append(CutMade(cuts=(), drilled=True))
            if any(entry.hz):
                events.append(
                    Reading(
                        hz=entry.hz,
                        error_cents=entry.standard_error_cents,
                        temperature_c=entry.temperature_c,
                    )
                )
        else:
            cuts = tuple(to_cuts(entries_made(entry)))
            events.append(CutMade(cuts=cuts, measured=entry.measured_depth_mm is not None))
    return History(start=bar_at_start(document), events=tuple(events))


def reading_numbers(document: BarDocument) -> list[list[int]]:
    """Numbers of the readings that count, stage by stage: those before the first cut come first."""
    from barmodel.files import Reading

    stages: list[list[int]] = [[]]
    for entry in document.valid_log:
        if not isinstance(entry, Reading) or entry.drilled:
            stages.append([])
        if isinstance(entry, Reading) and any(entry.hz):
            stages[-1].append(entry.id)
    return stages


@dataclass(frozen=True, slots=True)
class Twins:
    """Two cuts alike in the log, and nothing heard between them.

    Attributes
    ----------
    first, second : int
        Numbers of the entries.
    stages : tuple of (int, int)
        Cuts that count, up to and with each.
    """

    first: int
    second: int
    stages: tuple[int, int]


def twins_of(document: BarDocument) -> list[Twins]:
    """Find cuts that may have been recorded twice."""
    found: list[Twins] = []
    since: list[tuple[CutMade, int]] = []
    stage = 0
    for entry in document.valid_log:
        if entry.kind != "cut":
            since = []
            stage += entry.drilled
            continue
        stage += 1
        alike = [(cut.id, at) for cut, at in since if cut.entries == entry.entries]
        if alike:
            found.append(Twins(alike[-1][0], entry.id, (alike[-1][1], stage)))
        since.append((entry, stage))
    return found


def print_heard(
    stands: Standing, computed_hz: Array, target: Target, *, then: bool = False
) -> None:
    """Print computed frequencies carried to what the ear will say.

    Parameters
    ----------
    stands : Standing
    computed_hz : ndarray
        Of the bar as it is, or after a cut. [Hz]
    target : Target
    then : bool
        Whether a cut is being tried.
    """
    expected = stands.expected(computed_hz)
    computed, carried = target.cents(computed_hz), target.cents(expected)
    rows = []
    for index in range(carried.size):
        since = int(stands.cuts_since[index])
        heard = float(stands.heard_hz[index])
        rows.append(
            (
                f"mode {index + 1}",
                hz_text(heard),
                "never" if heard != heard else _ago(since),
                cents_text(float(computed[index])),
                cents_text(float(carried[index])),
                hz_text(float(expected[index])),
            )
        )
    when = "then" if then else "now"
    columns = ("mode", "last heard Hz", "when", "computed cents", "by the last reading", "= Hz")
    print()
    title = f"{when}, cents from target: computed, and carried on from the last reading as it was"
    print_table(columns, rows, title=title)


def _ago(cuts: int) -> str:
    if cuts == 0:
        return "on this bar"
    return "one cut ago" if cuts == 1 else f"{cuts} cuts ago"


def belief_of(document: BarDocument) -> Belief:
    """What is believed of a bar beforehand, and how its species answers to heat."""
    from barmodel.bench import Belief
    from barmodel.errors import InputError
    from barmodel.files import wood_of
    from barmodel.wood import species

    response = None
    if document.wood.species is not None:
        try:
            response = species(document.wood.species).weather()
        except InputError:  # a species of the maker's own
            response = None
    return Belief.about(wood_of(document.wood, document.blank), response)
