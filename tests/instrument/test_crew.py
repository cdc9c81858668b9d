"""One bad bar never stops the others, whatever happens to it."""

from __future__ import annotations

import os
import re
import time
from dataclasses import replace

import pytest

from barmodel.design import Limits
from barmodel.instrument import Outcome, Task, crew, design_bar
from barmodel.instrument import one as one_module
from barmodel.instrument.crew import MOST, Crew
from barmodel.instrument.trial import request_for
from barmodel.pitch import note_semitone
from tests.instrument.plans import plan


def task(note: str, length: float, **fixed: float) -> Task:
    semitone = note_semitone(note)
    return Task(
        semitone=semitone,
        request=request_for(plan("C3", "D5"), semitone, length, fixed=fixed),
        hole_diameter=6.4e-3,
    )


def deadly(item: Task) -> Outcome:
    """Stand in for a design that takes its process with it."""
    if item.semitone == note_semitone("D3"):
        os._exit(1)
    return Outcome(semitone=item.semitone, digest=item.digest, state="designed")


def test_a_design_says_what_a_maker_asks_for() -> None:
    made = design_bar(task("C4", 0.36))
    assert made.designed
    assert made.even
    assert max(map(abs, made.cents)) < 0.5
    assert made.model == "solid"
    near, far = made.nodes
    assert near + far == pytest.approx(0.36, abs=1e-6)
    assert 0.18 < near / 0.36 < 0.21
    # trade: at C3 a support 2 mm off the node moves with 1.9 % of the middle (own calculation)
    c3 = design_bar(task("C3", 0.46))
    assert 2e-3 * c3.node_slope == pytest.approx(0.019, abs=0.002)
    # and holes of 6.4 mm flatten mode 1 of long bars by a cent or two, 5 cents at 240 mm
    assert -2.0 < c3.hole_cents[0] < 0.0


def test_impossible_bars_are_refused_with_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(one_module, "ADVISE", False)
    thin = plan("C3", "D5", limits=Limits(keep=0.012))
    refused = design_bar(replace(task("C3", 0.46), request=request_for(thin, 36, 0.46)))
    assert refused.state == "refused"
    assert "stopped by" in refused.reason


def test_measures_that_cannot_be_held_are_let_go_and_told() -> None:
    made = design_bar(task("C#4", 0.36, fullness=9.0, start=0.45))
    assert made.designed
    assert not made.even
    assert "let go" in made.reason


def test_a_bug_in_one_bar_is_its_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a bug")

    monkeypatch.setattr(one_module, "find", broken)
    failed = design_bar(task("C4", 0.36))
    assert failed.state == "failed"
    assert re.fullmatch(r"ZeroDivisionError: a bug \(test_crew.py, line \d+\)", failed.reason)


def test_a_process_that_dies_costs_its_own_bar_only() -> None:
    tasks = [task(note, 0.4) for note in ("C3", "C#3", "D3", "D#3", "E3", "F3")]
    with crew(2) as hands:
        outcomes = {item.semitone: item for item in hands.each(deadly, tasks)}
    assert len(outcomes) == 6
    dead = outcomes.pop(note_semitone("D3"))
    assert dead.state == "failed"
    assert "died" in dead.reason
    assert all(item.designed for item in outcomes.values())


def test_a_process_may_die_while_an_outcome_is_written_down() -> None:
    tasks = [task(note, 0.4) for note in ("C3", "D3", "C#3", "D#3", "E3", "F3")]
    outcomes = []
    with crew(2) as hands:
        for item in hands.each(deadly, tasks):
            time.sleep(0.3 if not outcomes else 0.0)  # by now D3 has taken its process with it
            outcomes.append(item)
    assert sorted(item.semitone for item in outcomes) == sorted(item.semitone for item in tasks)
    assert [item.semitone for item in outcomes if not item.designed] == [note_semitone("D3")]


def test_digest_tells_tasks_apart_and_nothing_else() -> None:
    first = task("C4", 0.36)
    assert first.digest == task("C4", 0.36).digest
    others = [
        task("C4", 0.3601),
        task("C#4", 0.36),
        task("C4", 0.36, fullness=3.0),
        replace(first, clear=True),
    ]
    assert len({first.digest, *(item.digest for item in others)}) == 5


def test_no_number_of_cores_hires_without_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Crew, "hire", lambda self: None)
    with crew(10**20) as hands:
        assert hands.count == MOST
