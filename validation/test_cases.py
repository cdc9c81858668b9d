"""Every validation case as a test, and its negative control: a check that cannot fail is none."""

from __future__ import annotations

import pytest

from validation.run import case_names, load, reason_to_skip


@pytest.mark.parametrize("name", case_names())
def test_case_holds(name: str) -> None:
    case = load(name)
    if reason := reason_to_skip(case):
        pytest.skip(reason)
    checks = case.checks()
    assert checks, f"{name} compares nothing"
    failed = [check for check in checks if not check.passed]
    assert not failed, "\n".join(
        f"{c.key}: {c.computed:.8g} {c.unit}, {c.source} says {c.expected:.8g} ± {c.tolerance:.3g}"
        for c in failed
    )


@pytest.mark.parametrize("name", case_names())
def test_case_can_fail(name: str) -> None:
    case = load(name)
    if reason := reason_to_skip(case):
        pytest.skip(reason)
    assert any(not check.passed for check in case.negative_control())
