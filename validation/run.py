"""Run the validation cases: `python -m validation.run [CASE …] [--report]`.

A case is a folder with a `case.py` that offers TITLE, ABOUT, `checks()` and `negative_control()`
(the same checks with something broken on purpose, of which at least one must fail). A case that
cannot run here says why through `skipped()`. The same cases feed pytest and REPORT.md.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from validation.check import Check

FOLDER = Path(__file__).parent
REPORT = FOLDER / "REPORT.md"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one case found."""

    name: str
    title: str
    about: str
    checks: tuple[Check, ...]
    skipped: str = ""

    @property
    def failed(self) -> tuple[Check, ...]:
        return tuple(check for check in self.checks if not check.passed)


def case_names() -> list[str]:
    return sorted(path.parent.name for path in FOLDER.glob("*/case.py"))


def load(name: str) -> ModuleType:
    return importlib.import_module(f"validation.{name}.case")


def reason_to_skip(case: ModuleType) -> str:
    """Why the case cannot run on this machine; empty if it can."""
    ask = getattr(case, "skipped", None)
    return str(ask() or "") if ask is not None else ""


def run(name: str) -> Outcome:
    case = load(name)
    about = " ".join(case.ABOUT.split())
    skipped = reason_to_skip(case)
    checks = () if skipped else tuple(case.checks())
    return Outcome(name, case.TITLE, about, checks, skipped)


def report(outcomes: list[Outcome]) -> str:
    return "\n".join(_report_lines(outcomes)) + "\n"


def _report_lines(outcomes: list[Outcome]) -> Iterator[str]:
    total = sum(len(outcome.checks) for outcome in outcomes)
    failed = sum(len(outcome.failed) for outcome in outcomes)
    yield "# Validation report"
    yield ""
    made = "Made by `python -m validation.run --report`"
    yield f"{made}: {total} checks, {failed} outside their limit."
    yield "Each line holds one number of ours against one we did not make."
    for outcome in outcomes:
        yield from _case_lines(outcome)


def _case_lines(outcome: Outcome) -> Iterator[str]:
    yield from ("", f"## {outcome.title}", "", outcome.about, "")
    if outcome.skipped:
        yield f"Skipped: {outcome.skipped}"
        return
    yield "| check | source | ours | difference | limit | unit | passed |"
    yield "|---|---|---|---|---|---|---|"
    for check in outcome.checks:
        yield _row(check)
    yield ""
    yield from dict.fromkeys(f"- {c.source} ({c.tag}). Limit: {c.reason}" for c in outcome.checks)


def _row(check: Check) -> str:
    difference = check.computed - check.expected
    cells = (
        check.key,
        f"{check.expected:.10g}",
        f"{check.computed:.7g}",
        f"{difference:.2g}",
        f"{check.tolerance:.3g}",
        check.unit,
        "yes" if check.passed else "**no**",
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def main() -> int:
    parser = argparse.ArgumentParser(description="Run the validation cases.")
    parser.add_argument("case", nargs="*", help="cases to run; all of them by default")
    parser.add_argument("--report", action="store_true", help="write validation/REPORT.md")
    options = parser.parse_args()
    unknown = sorted(set(options.case) - set(case_names()))
    if unknown:
        parser.error(f"no such case: {', '.join(unknown)}; there are {', '.join(case_names())}")
    outcomes = []
    for name in options.case or case_names():
        outcome = run(name)
        outcomes.append(outcome)
        state = outcome.skipped or f"{len(outcome.checks)} checks, {len(outcome.failed)} failed"
        print(f"{name}: {state}", file=sys.stderr, flush=True)
        for check in outcome.failed:
            print(f"  {_row(check)}", file=sys.stderr)
    if options.report:
        REPORT.write_text(report(outcomes), encoding="utf-8")
    return int(any(outcome.failed for outcome in outcomes))


if __name__ == "__main__":
    sys.exit(main())
