"""Another aim for a bar: which one counts, what stays, what a file of it looks like."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import FileError
from barmodel.files import (
    AnyEntry,
    BarDocument,
    Cancellation,
    CutMade,
    EndsCut,
    NewAim,
    Reading,
    TargetPart,
    aim_options,
    append_entries,
    file_schemas,
    read_bar_file,
    same_aim,
)
from barmodel.files.store import document_text, write_bar_file
from barmodel.pitch import parse_ratios
from tests.files.samples import CONTRACT, content, document

RATIOS = st.sampled_from([(1.0,), (1.0, 4.0), (1.0, 3.0), (1.0, 4.0, 9.8), (1.0, 4.0, 10.0)])
TARGETS = st.builds(
    TargetPart,
    note=st.sampled_from(["G3", "F#3", "Gb3", "A#3"]),
    a4_hz=st.sampled_from([440.0, 442.0, 443.25]),
    ratios=RATIOS,
    offset_cents=st.floats(-60.0, 60.0),
)


def aimed(note: str, **fields: float) -> NewAim:
    return NewAim(target=TargetPart(note=note, a4_hz=442.0).model_copy(update=fields))


def test_the_last_aim_that_counts_is_the_target_and_cancelling_goes_back() -> None:
    bar = document().with_entries(Reading(hz=(200.0,)), aimed("F#3"), aimed("F3"))
    assert bar.target.note == "F3"
    assert bar.begun_for == document().target
    back = bar.with_entries(Cancellation(entry=3))
    assert back.target.note == "F#3"
    whole = back.with_entries(Cancellation(entry=2))
    assert whole.target == whole.begun_for
    assert json.loads(document_text(whole))["target"] == CONTRACT["target"]


def test_an_aim_is_neither_reading_nor_cut() -> None:
    bar = document().with_entries(aimed("F#3"))
    assert (bar.valid_log, bar.readings, bar.cuts, bar.begun) == ((), (), (), False)
    assert bar.targets == {1: bar.begun_for}


@given(st.lists(st.one_of(TARGETS, st.just("reading"), st.just("cut"), st.integers(1, 12))))
def test_any_log_of_aims_and_cancellations_is_read_back_as_it_was(steps: list[object]) -> None:
    bar = document()
    counting: dict[int, TargetPart] = {}
    then: list[TargetPart] = []
    for step in steps:
        number = len(bar.log) + 1
        entry: AnyEntry
        if isinstance(step, TargetPart):
            entry = NewAim(target=step)
        elif isinstance(step, int):
            gone = {e.entry for e in bar.log if isinstance(e, Cancellation)}
            if step >= number or step in gone or bar.log[step - 1].kind == "cancel":
                continue
            entry = Cancellation(entry=step)
            counting.pop(step, None)
        elif step == "cut":
            entry = CutMade(entries=(EndsCut(length_mm=0.1),))
        else:
            entry = Reading(hz=(200.0,))
        bar = bar.with_entries(entry)
        if isinstance(step, TargetPart):
            counting[number] = step
        then.append(counting[max(counting)] if counting else bar.begun_for)
    again = BarDocument.model_validate_json(document_text(bar))
    assert again == bar
    assert again.target == (then[-1] if then else bar.begun_for)
    last = max(counting, default=0)
    for number, target in again.targets.items():
        before = [n for n in counting if n < number]
        assert target == (counting[max(before)] if before else bar.begun_for)
    assert [aim.id for aim in again.aims] == sorted(counting)
    assert not last or again.aims[-1].id == last


@given(TARGETS, TARGETS)
def test_the_options_that_are_offered_lead_there(there: TargetPart, wanted: TargetPart) -> None:
    words = shlex.split(aim_options(there, wanted))
    given_ = dict(zip(words[::2], words[1::2], strict=True))
    then = TargetPart(
        note=given_.get("--note", there.note),
        a4_hz=float(given_.get("--a4", there.a4_hz)),
        ratios=parse_ratios(given_["--ratios"]) if "--ratios" in given_ else there.ratios,
        offset_cents=float(given_.get("--offset", there.offset_cents)),
    )
    assert same_aim(then, wanted)
    assert bool(words) or same_aim(there, wanted)


def test_a_design_knows_what_it_was_found_for() -> None:
    bar = document()
    assert bar.designed_for == bar.target
    assert not bar.design_is_old
    lower = bar.with_entries(aimed("F#3"))
    assert lower.design_is_old
    assert not lower.changed(design_target=lower.target).design_is_old
    assert not lower.changed(design=None).design_is_old
    assert not bar.with_entries(NewAim(target=bar.target)).design_is_old


def test_it_is_written_read_and_said_in_the_schema(tmp_path: Path) -> None:
    path = tmp_path / "G3.bar.json"
    write_bar_file(path, document())
    append_entries(path, aimed("F#3"))
    assert read_bar_file(path).target.note == "F#3"
    entry = json.loads(path.read_text(encoding="utf-8"))["log"][0]
    assert entry["kind"] == "aim"
    assert entry["target"]["note"] == "F#3"
    schema = file_schemas()["bar"]
    assert "target" in schema["properties"]
    assert schema["$defs"]["NewAim"]["properties"]["kind"]["const"] == "aim"


@pytest.mark.parametrize(
    ("target", "told"),
    [
        ({"note": "x"}, "log[0].target: note 'x' is not known"),
        ({"note": "G3", "a4_hz": 44.0}, "log[0].target: A4 = 44.0 Hz"),
        ({"note": "G3", "ratios": [4.0, 1.0]}, "log[0].target: ratios 4:1"),
        ({"note": "G3", "offset": 3.0}, "log[0].target.offset: unknown field; did you mean offset"),
        (None, "log[0].target: "),
    ],
)
def test_an_aim_that_cannot_be_is_refused(tmp_path: Path, target: object, told: str) -> None:
    path = tmp_path / "bar.bar.json"
    log = [{"kind": "aim", "id": 1, "target": target}]
    path.write_text(json.dumps(content(log=log)), encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_bar_file(path)
    assert told in str(caught.value)
