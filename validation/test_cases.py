"""Every case passes, each of its checks is seen to fail, and the report is up to date."""

from __future__ import annotations

from functools import cache

import pytest

from validation.cases import Outcome, case_names, is_slow, load, run_case
from validation.report import PROVED, REPORT, parts, table, without_numbers_of_ours

QUICK = [name for name in case_names() if not is_slow(name)]
SLOW = [name for name in case_names() if is_slow(name)]


@cache
def outcome_of(name: str) -> Outcome:
    found = run_case(name)
    if found.skipped is not None:
        pytest.skip(found.skipped)
    return found


@pytest.mark.parametrize("name", QUICK)
def test_numbers_of_the_source_are_met(name: str) -> None:
    outcome = outcome_of(name)
    missed = [
        f"{check.key}: {check.computed:.8g} instead of {check.expected:.8g} ± "
        f"{check.tolerance:.2g} {check.unit} ({check.source})"
        for check in outcome.checks
        if not check.passed
    ]
    assert outcome.checks
    assert not missed, "\n".join(missed)


@pytest.mark.parametrize("name", QUICK)
def test_every_check_can_fail(name: str) -> None:
    unproved = outcome_of(name).unproved
    assert not unproved, "nothing that is made wrong is noticed by:\n" + "\n".join(unproved)


@pytest.mark.parametrize("name", QUICK)
def test_everything_made_wrong_is_noticed(name: str) -> None:
    idle = [wrong for wrong, keys in outcome_of(name).noticed.items() if not keys]
    assert not idle


@pytest.mark.parametrize("name", QUICK)
def test_every_number_says_where_it_is_from_and_why_the_tolerance(name: str) -> None:
    for check in outcome_of(name).checks:
        assert check.source.strip(), check.key
        assert check.reason.strip(), check.key
        assert check.tolerance >= 0.0, check.key


@pytest.mark.parametrize("name", QUICK)
def test_report_is_not_stale(name: str) -> None:
    expected = without_numbers_of_ours(table(outcome_of(name)))
    written = without_numbers_of_ours(REPORT.read_text(encoding="utf-8"))
    assert expected in written, "run: python -m validation.run --report"


@pytest.mark.parametrize("name", SLOW)
def test_slow_case_is_in_the_report_and_all_proved(name: str) -> None:
    _, sections = parts(REPORT.read_text(encoding="utf-8"))
    assert PROVED in sections[load(name).TITLE]
