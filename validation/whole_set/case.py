"""A whole set as `barmodel instrument` writes it: in tune, even, on straight cords, resumable."""

from __future__ import annotations

import csv
import itertools
import math
import tempfile
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from barmodel.bar import Bar
from barmodel.files import bar_as_designed, read_bar_file, target_of
from barmodel.modes import solve
from barmodel.pitch import Target
from barmodel.undercut import Arch
from barmodel.units import MM
from validation.check import Check, Controls
from validation.kit.compare import compared
from validation.whole_set.runs import Records, killed_and_resumed, records, whole, write_set

TITLE = "A whole set"
ABOUT = """\
A made-up marimba, three modes tuned up to C4, two to C6, one above. `barmodel instrument` runs in
a process of its own. The bar files it writes are solved anew by the solid; lengths and nodes are
read from them, and the cords are fitted here, by another line of code, to bars laid side by side
with their gaps. A second run is killed (SIGKILL) time and again at moments nobody chose, and
resumed: nothing that was done may be done again, and in the end nothing may differ. By default the
five bars about the change of register at C4 are made, at full size all 61, C2 to C7, as in the
report."""

SMALL, LARGE = ("B3", "D#4"), ("C2", "C7")
KILLS = {False: 2, True: 5}
GAP = 8.0 * MM
"""Between naturals, where the set file says nothing. [m]"""
ACCIDENTALS = "#"


@dataclass(frozen=True, slots=True)
class Made:
    """One bar as its file has it."""

    note: str
    bar: Bar
    target: Target

    @property
    def length(self) -> float:
        return self.bar.blank.length


@dataclass(frozen=True, slots=True)
class Runs:
    """What two runs left behind."""

    made: tuple[Made, ...]
    holes: dict[str, float]
    final: Records
    """Of the run that was left alone."""
    after: tuple[Records, ...]
    """Of the other, after each kill and at its end."""


def checks(*, full: bool = False) -> list[Check]:
    runs = _runs(full)
    return [*_bars(runs.made, runs.holes), *_records(runs.final, runs.after)]


def negative_controls() -> Controls:
    runs = _runs(False)
    # bars and records are altered where they lie: no input of a right program makes it leave a
    # refusal without its reason or do a bar again, it would take a wrong one
    at, note = 1, runs.made[1].note  # C4, a natural between two others
    spoiled = (*runs.made[:at], _longer_and_deeper(runs.made[at]), *runs.made[at + 1 :])
    silent = _altered(runs.final, note, state="refused", reason=None)
    again = _altered(runs.after[-1], note, seconds=99.0)
    other = _altered(runs.after[-1], note, least_mm=5.0)
    return {
        f"{note} 12 mm longer and 0.05 mm deeper": _bars(spoiled, runs.holes),
        f"{note} refused without a word": _records(silent, runs.after),
        f"{note} done again after the last kill": _records(runs.final, (runs.after[-1], again)),
        f"{note} cut to 5 mm in the end": _records(runs.final, (*runs.after[:-1], other)),
    }


def _longer_and_deeper(one: Made) -> Made:
    arch = one.bar.undercut[0]
    assert isinstance(arch, Arch)
    moved = replace(arch, start=arch.start + 6.0 * MM, end=arch.end + 6.0 * MM)
    longer = replace(one.bar.blank, length=one.length + 12.0 * MM)
    deeper = replace(moved, depth=arch.depth + 0.05 * MM)
    return replace(one, bar=Bar(blank=longer, undercut=(deeper,)))


def _altered(records: Records, note: str, **changes: object) -> Records:
    return {**records, note: {**records[note], **changes}}


@cache
def _runs(full: bool) -> Runs:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lowest, highest = LARGE if full else SMALL
        set_file = write_set(folder, lowest=lowest, highest=highest)
        whole(set_file, folder / "whole")
        after = tuple(killed_and_resumed(set_file, folder / "parts", kills=KILLS[full], seed=61))
        return Runs(
            made=_made(folder / "whole"),
            holes=_holes(folder / "whole"),
            final=records(folder / "whole"),
            after=after,
        )


def _different(one: Records, other: Records) -> int:
    """Bars that differ in anything but the time they took, or are only in one."""

    def content(bar: dict[str, object] | None) -> object:
        return bar and {name: value for name, value in bar.items() if name != "seconds"}

    return sum(content(one.get(n)) != content(other.get(n)) for n in {*one, *other})


def _made(folder: Path) -> tuple[Made, ...]:
    found = []
    for path in folder.glob("*.bar.json"):
        document = read_bar_file(path)
        found.append(Made(document.name, bar_as_designed(document), target_of(document.target)))
    return tuple(sorted(found, key=lambda item: item.target.hz[0]))


def _holes(folder: Path) -> dict[str, float]:
    with (folder / "bars.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return {row["note"]: float(row["hole_mm"]) * MM for row in rows if row["hole_mm"]}


def _bars(made: tuple[Made, ...], tabled: dict[str, float]) -> list[Check]:
    """In tune, even, and on straight cords."""
    solved = [solve(m.bar, count=len(m.target.ratios), families=["bending"]) for m in made]
    wrong = [
        float(np.abs(m.target.cents(modes.bending_hz[: len(m.target.ratios)])).max())
        for m, modes in zip(made, solved, strict=True)
    ]
    nodes = np.array([modes.nodes[0][0] for modes in solved])
    holes = np.array([tabled.get(m.note, math.nan) for m in made])
    return [
        compared(
            "worst tuned mode of any bar, solved anew",
            0.0,
            max(wrong, default=math.nan),
            0.5,
            "cent",
            "the solid's own share of a design is met to 0.5 cent",
            source="ISO 16:1975 and equal temperament, times the ratios asked for",
            tag="published",
        ),
        _even("lengths", np.array([m.length for m in made])),
        _even("places of the first node", nodes),
        *_on_cords(*_cords(made, nodes, holes)),
    ]


def _records(final: Records, after: tuple[Records, ...]) -> list[Check]:
    """Nothing without a reason, nothing twice, nothing else after a kill."""
    silent = sum(bar["state"] != "designed" and not bar.get("reason") for bar in final.values())
    twice = sum(
        now[note] != bar
        for earlier, now in itertools.pairwise(after)
        for note, bar in earlier.items()
    )
    return [
        _count("bars without a design and without a reason", silent),
        _count("bars done before a kill and done again", twice),
        _count("bars that came out otherwise after kills", _different(final, after[-1])),
    ]


def _on_cords(misfit: float, hole_error: float) -> list[Check]:
    return [
        compared(
            "nodes from the straight cord of their row",
            0.0,
            misfit / MM,
            2.0,
            "mm",
            "2 to 4 mm off a node cost no ring that is heard (from memory)",
            source="a straight line fitted through the nodes of a row by regression, as builders "
            "publish",
            tag="common practice, no source",
        ),
        compared(
            "holes from that line",
            0.0,
            hole_error / MM,
            0.01,
            "mm",
            "tables are written to a micrometre, nodes found to a few",
            source="least squares line through the nodes, fitted by numpy to bars laid out here",
            tag="recomputed independently",
        ),
    ]


def _cords(made: tuple[Made, ...], nodes: np.ndarray, holes: np.ndarray) -> tuple[float, float]:
    """Worst distance of a node from its cord, and of a hole in the table from it. [m]"""
    place, edge = [], 0.0
    for item in made:
        if ACCIDENTALS in item.note:
            place.append(edge - GAP / 2)
        else:
            place.append(edge + item.bar.blank.width / 2)
            edge += item.bar.blank.width + GAP
    x, lengths = np.array(place), np.array([item.length for item in made])
    half = lengths / 2 - nodes
    off = np.zeros(x.size)
    for accidental in (False, True):
        row = np.array([(ACCIDENTALS in item.note) == accidental for item in made])
        off[row] = half[row] - np.polyval(np.polyfit(x[row], half[row], 1), x[row])
    cord = lengths / 2 - (half - off)
    return float(np.abs(off).max()), float(np.abs(holes - cord).max())


def _even(what: str, values: np.ndarray) -> Check:
    return compared(
        f"largest second difference of {what} from bar to bar",
        0.0,
        float(np.abs(np.diff(values, 2)).max()) / MM,
        2.0,
        "mm",
        "a step of two millimetres is seen",
        source="own rule: a row of bars looks even, and a straight-edge lies on its ends",
        tag="common practice, no source",
    )


def _count(what: str, number: int) -> Check:
    return compared(
        what,
        0.0,
        number,
        0.0,
        "",
        "either it does or it does not",
        source="own rule: a stopped run goes on as if it had not been stopped",
        tag="recomputed independently",
    )
