"""From the log of a bar file to the history the bench reasons about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.bench import Belief, Event, History, Standing
    from barmodel.files import BarDocument, CutMade
    from barmodel.pitch import Target
    from barmodel.undercut.piece import Array
    from barmodel_cli.bench.today import Today


def history_of(document: BarDocument, water_percent: float | None) -> History:
    """Return what happened to a bar, without what was cancelled.

    Parameters
    ----------
    document : BarDocument
    water_percent : float or None
        Water in the wood today, where that is known: to that the readings are brought. [%]
    """
    from barmodel.bench import CutMade, History, Reading
    from barmodel.files import Reading as ReadingEntry
    from barmodel.files import bar_as_is, bar_at_start, entries_made
    from barmodel_cli.asked.cutting import to_cuts
    from barmodel_cli.bench.water import drift_since

    bar_as_is(document)  # a cut that cannot be is named by its log entry there
    events: list[Event] = []
    for entry in document.valid_log:
        if isinstance(entry, ReadingEntry):
            if entry.drilled:
                events.append(CutMade(cuts=(), drilled=True))
            if any(entry.hz):
                drift = drift_since(document, entry, water_percent)
                events.append(
                    Reading(
                        hz=entry.hz,
                        error_cents=entry.standard_error_cents,
                        temperature_c=entry.temperature_c,
                        water_cents=drift.cents,
                        water_error=drift.standard_error,
                    )
                )
        else:
            cuts = tuple(to_cuts(entries_made(entry)))
            events.append(CutMade(cuts=cuts, measured=entry.measured_depth_mm is not None))
    return History(start=bar_at_start(document), events=tuple(events))


def last_heard(
    document: BarDocument,
    water_percent: float | None,
    *,
    count: int,
    known: Mapping[Bar, Array] | None = None,
    **how: Any,
) -> Standing | None:
    """What was last heard of each mode, and how far the model was off; None if nothing was.

    Parameters
    ----------
    document : BarDocument
    water_percent : float or None
        Water in the wood today, where that is known. [%]
    count : int
        Modes.
    known : mapping, optional
        Bending modes of bars already solved. [Hz]
    **how
        Model and mesh, as for `barmodel.bench.standing`.
    """
    from barmodel.bench import standing

    if not document.readings:
        return None
    return standing(history_of(document, water_percent), count=count, known=known, **how)


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
class Unheard:
    """Cuts made since the tuned modes were last heard.

    Attributes
    ----------
    since : tuple of int
        Cuts since each mode was heard; all of them where it never was.
    measured : int
        Of those since the mode that was heard longest ago, the ones somebody measured.
    ever : bool
        Whether any mode was heard at all.
    """

    since: tuple[int, ...]
    measured: int
    ever: bool

    @property
    def whole(self) -> bool:
        """Whether no mode was heard since the last cut."""
        return min(self.since) > 0

    @property
    def text(self) -> str:
        """Say that cents are carried over cuts; empty where there are none."""
        from barmodel.bench.words import mode_list

        most = max(self.since)
        if most == 0:
            return ""
        cuts = f"{most} cuts, {self.measured} of them measured"
        if self.measured == 0:
            cuts = "one cut whose depth" if most == 1 else f"{most} cuts whose depths"
            cuts += " nobody measured"
        elif self.measured == most:
            cuts = "one measured cut" if most == 1 else f"{most} measured cuts"
        if not self.ever:
            return f"this bar was never heard: its cents are computed, over {cuts}; listen first"
        late = [k for k, count in enumerate(self.since) if count]
        who, whose = ("this bar was", "its")
        if not self.whole:
            who, whose = mode_list(late), "its" if len(late) == 1 else "their"
            who += " was" if len(late) == 1 else " were"
        return (
            f"{who} not heard since the last cut: {whose} cents carry on over {cuts}; "
            "listen again first"
        )


def unheard_of(document: BarDocument) -> Unheard:
    """Count the cuts since each tuned mode of a bar was last heard."""
    from barmodel.files import CutMade

    since: dict[int, int] = {}
    cuts: list[CutMade] = []
    for entry in reversed(document.valid_log):
        if isinstance(entry, CutMade):
            cuts.append(entry)
            continue
        for mode, hz in enumerate(entry.hz):
            if hz is not None:
                since.setdefault(mode, len(cuts))
    counts = tuple(since.get(k, len(cuts)) for k in range(len(document.target.ratios)))
    measured = sum(cut.measured_depth_mm is not None for cut in cuts[: max(counts)])
    return Unheard(counts, measured, ever=bool(since))


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
    stands: Standing, computed_hz: Array, target: Target, today: Today, *, then: bool = False
) -> None:
    """Print computed frequencies carried to what the ear will say.

    Parameters
    ----------
    stands : Standing
    computed_hz : ndarray
        Of the bar as it is, or after a cut. [Hz]
    target : Target
    today : Today
        What is left above it.
    then : bool
        Whether a cut is being tried.
    """
    expected = stands.expected(computed_hz)
    computed, carried = target.cents(computed_hz), target.cents(expected)
    left = today.above(carried.size)
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
                *([cents_text(float(carried[index] - left[index]))] if today else []),
            )
        )
    when = "then" if then else "now"
    columns: tuple[str, ...] = (
        "mode",
        "last heard Hz",
        "when",
        "computed cents",
        "by the last reading",
        "= Hz",
    )
    if today:
        columns += ("from today's aim",)
    print()
    title = f"{when}, cents from target: computed, and by the last reading at its temperature"
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
    from barmodel_cli.bench.water import response_of

    try:
        response = response_of(document)
    except InputError:  # a species of the maker's own
        response = None
    return Belief.about(wood_of(document.wood, document.blank), response)
