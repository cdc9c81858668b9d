"""The runner itself: what it takes for a proof, and what it refuses."""

from __future__ import annotations

import math
from dataclasses import replace
from types import ModuleType

import pytest

from validation.cases import Outcome, noticed_by, undisturbed
from validation.check import Check
from validation.report import PROVED, report, state, table, without_numbers_of_ours

TRUE = Check(
    key="pitch",
    expected=440.0,
    computed=440.1,
    tolerance=0.5,
    unit="Hz",
    source="ISO 16",
    tag="published",
    reason="half a unit of the last digit",
)
OTHER = replace(TRUE, key="length")
OFF = replace(TRUE, computed=441.0)


def outcome(noticed: dict[str, frozenset[str]]) -> Outcome:
    return Outcome("made_up", "Made up", "Nothing.", (TRUE, OTHER), noticed, None, 0.0)


def test_a_check_is_proved_by_any_control_that_it_fails_in() -> None:
    controls = {"sharp": [OFF, OTHER], "long": [replace(OTHER, computed=500.0)]}
    noticed = noticed_by([TRUE, OTHER], controls)
    assert noticed == {"sharp": frozenset({"pitch"}), "long": frozenset({"length"})}
    assert outcome(noticed).unproved == ()
    assert outcome(noticed).passed


def test_a_check_that_fails_for_nothing_is_named_and_the_case_is_not_passed() -> None:
    found = outcome(noticed_by([TRUE, OTHER], {"sharp": [OFF, OTHER]}))
    assert found.unproved == ("length",)
    assert not found.passed
    assert "Never seen to fail: length" in table(found)
    assert "not proved" in state(found)


def test_a_sample_that_fails_by_itself_proves_nothing() -> None:
    case = ModuleType("made_up")
    undisturbed(case)  # most cases need none
    vars(case)["undisturbed"] = lambda: [TRUE]
    undisturbed(case)
    vars(case)["undisturbed"] = lambda: [TRUE, replace(OFF, key="too small")]
    with pytest.raises(ValueError, match="fails by itself: too small"):
        undisturbed(case)


@pytest.mark.parametrize("computed", [math.nan, math.inf])
def test_no_number_is_no_proof(computed: float) -> None:
    nothing = replace(TRUE, computed=computed)
    assert not nothing.passed
    assert noticed_by([TRUE], {"nothing heard": [nothing]}) == {"nothing heard": frozenset()}


@pytest.mark.parametrize(
    ("unfair", "says"),
    [
        (replace(TRUE, expected=300.0), "make ours wrong"),
        (replace(TRUE, tolerance=0.01), "make ours wrong"),
        (replace(TRUE, key="weight"), "of its own"),
    ],
)
def test_a_control_may_not_move_the_source_narrow_the_tolerance_or_ask_something_else(
    unfair: Check, says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        noticed_by([TRUE], {"unfair": [unfair]})


def test_keys_must_differ() -> None:
    with pytest.raises(ValueError, match="keys must differ"):
        noticed_by([TRUE, TRUE], {})
    with pytest.raises(ValueError, match="keys must differ"):
        noticed_by([TRUE], {"sharp": [OFF, OFF]})


def test_the_report_says_what_was_made_wrong_and_is_stale_when_that_changes() -> None:
    proved = {"all": frozenset({"pitch", "length"})}
    written = table(outcome(proved))
    assert PROVED in written
    assert "- all: 2 failed" in written
    renamed = table(outcome({"everything": frozenset({"pitch", "length"})}))
    unproved = table(outcome({"all": frozenset({"pitch"})}))
    assert without_numbers_of_ours(renamed) != without_numbers_of_ours(written)
    assert without_numbers_of_ours(unproved) != without_numbers_of_ours(written)


def test_how_many_failed_may_differ_by_machine() -> None:
    one = outcome({"all": frozenset({"pitch", "length"}), "some": frozenset({"pitch"})})
    two = outcome({"all": frozenset({"pitch", "length"}), "some": frozenset({"length"})})
    none = outcome({"all": frozenset({"pitch", "length"}), "some": frozenset()})
    texts = {without_numbers_of_ours(table(found)) for found in (one, two, none)}
    assert len(texts) == 1


def test_cases_that_were_not_run_keep_their_place_in_the_report() -> None:
    first = report([replace(outcome({}), title="Pitch and air", name="air_and_pitch")])
    second = report([replace(outcome({}), title="A whole set", name="whole_set")], first)
    assert second.count("## Pitch and air") == second.count("## A whole set") == 1
