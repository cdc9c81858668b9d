"""Load a case, run it, and see which of its checks notice what is made wrong."""

from __future__ import annotations

import importlib
import inspect
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from validation.check import Check, Controls

FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one case gave."""

    name: str
    title: str
    about: str
    checks: tuple[Check, ...]
    noticed: dict[str, frozenset[str]]
    """By what was made wrong, the keys of the checks that failed for it, as they should."""
    skipped: str | None
    seconds: float
    remarks: tuple[str, ...] = ()

    @property
    def unproved(self) -> tuple[str, ...]:
        """Checks that failed for nothing that was made wrong."""
        proved = frozenset[str]().union(*self.noticed.values())
        return tuple(check.key for check in self.checks if check.key not in proved)

    @property
    def good(self) -> int:
        """How many checks passed."""
        return sum(check.passed for check in self.checks)

    @property
    def passed(self) -> bool:
        """Every check passed, and every one was seen to fail."""
        whole = bool(self.checks) and self.good == len(self.checks)
        return self.skipped is not None or (whole and not self.unproved)


def case_names() -> list[str]:
    """Folders that hold a case."""
    return sorted(path.parent.name for path in FOLDER.glob("*/case.py"))


def load(name: str) -> ModuleType:
    """Import a case by its folder's name."""
    return importlib.import_module(f"validation.{name}.case")


def is_slow(name: str) -> bool:
    """Whether pytest leaves the case to this runner."""
    return bool(getattr(load(name), "SLOW", False))


def run_case(name: str, *, full: bool = False) -> Outcome:
    """Run one case and its negative controls."""
    case = load(name)
    skip = getattr(case, "skipped", str)() or None
    began = time.perf_counter()
    if skip is not None:
        return Outcome(name, case.TITLE, case.ABOUT, (), {}, str(skip), 0.0)
    sized = {"full": True} if full and "full" in inspect.signature(case.checks).parameters else {}
    checks = tuple(case.checks(**sized))
    remarks = tuple(case.remarks(**sized)) if hasattr(case, "remarks") else ()
    undisturbed(case)
    noticed = noticed_by(checks, case.negative_controls())
    seconds = time.perf_counter() - began
    return Outcome(name, case.TITLE, case.ABOUT, checks, noticed, None, seconds, remarks)


def undisturbed(case: ModuleType) -> None:
    """Refuse controls on a sample so small that it fails with nothing made wrong.

    Raises
    ------
    ValueError
        Naming what fails.
    """
    small: list[Check] = getattr(case, "undisturbed", list)()
    if failed := [check.key for check in small if not check.passed]:
        raise ValueError(f"the sample of the controls fails by itself: {', '.join(failed)}")


def noticed_by(checks: Sequence[Check], controls: Controls) -> dict[str, frozenset[str]]:
    """Keys of the checks that failed in each control.

    Raises
    ------
    ValueError
        If two checks share a key, or a control is no fair one: of an unknown check, with another
        expected number, or with a narrower tolerance.
    """
    _differ([check.key for check in checks])
    known = {check.key: check for check in checks}
    for wrong, perturbed in controls.items():
        _differ([check.key for check in perturbed])
        for check in perturbed:
            true = known.get(check.key)
            if true is None:
                raise ValueError(f"control {wrong!r} has a check of its own: {check.key!r}")
            if check.expected != true.expected or check.tolerance < true.tolerance:
                raise ValueError(
                    f"control {wrong!r}, {check.key!r}: {check.expected!r} ± {check.tolerance!r} "
                    f"instead of {true.expected!r} ± {true.tolerance!r}; make ours wrong, not these"
                )
    return {
        wrong: frozenset(check.key for check in perturbed if check.noticed)
        for wrong, perturbed in controls.items()
    }


def _differ(keys: Sequence[str]) -> None:
    if twice := {key for key in keys if keys.count(key) > 1}:
        raise ValueError(f"keys must differ, these do not: {sorted(twice)}")
