"""Run the validation cases: `python -m validation.run [CASE …] [--report] [--full]`.

A case is a folder `validation/NAME/` with a `case.py` that holds

- `TITLE` and `ABOUT`, what is compared and what may be learnt from it;
- `checks() -> list[Check]`, our numbers beside the source's;
- `negative_controls() -> Controls`, some of the same checks with something made wrong, by the
  words for what it is. Every check must fail in one of them at least, or nobody knows whether it
  can tell right from wrong. What is made wrong is something the computation starts from, or a
  constant of it; expected numbers stay, tolerances may only be wider (of a smaller sample), and
  the runner sees to both;
- optionally `undisturbed() -> list[Check]`, where the controls are tried on a smaller sample: the
  same sample with nothing made wrong, which must pass;
- optionally `SLOW = True`, when pytest should leave it to this runner.

A case that takes minutes at full size may define `checks(*, full=False)`, and run smaller by
default; its controls are always small. `remarks(*, full=False) -> list[str]`, when there is one,
gives lines below the table: figures that nothing is asked of, and that are therefore no checks.
"""

from __future__ import annotations

import argparse
import sys

from validation.cases import Outcome, case_names, run_case
from validation.report import REPORT, report, state


def _tell(outcome: Outcome) -> None:
    print(
        f"{outcome.name:24} {outcome.good:3} of {len(outcome.checks):3}  {outcome.seconds:6.1f} s  "
        f"{state(outcome).replace('**', '')}"
    )
    for check in outcome.checks:
        if not check.passed:
            print(
                f"    {check.key}: source {check.expected:.8g}, computed "
                f"{check.computed:.8g} {check.unit}, tolerance {check.tolerance:.2g}"
            )
    for key in outcome.unproved:
        print(f"    {key}: never failed, whatever was made wrong")


def main() -> int:
    """Run from the command line; 0 if every case passed."""
    parser = argparse.ArgumentParser(prog="python -m validation.run", description=__doc__)
    parser.add_argument("cases", nargs="*", metavar="CASE", help="all of them when left out")
    parser.add_argument(
        "--report", action="store_true", help=f"write {REPORT.name}; only the named cases anew"
    )
    parser.add_argument("--full", action="store_true", help="long cases at full size")
    options = parser.parse_args()
    names = options.cases or case_names()
    if unknown := sorted(set(names) - set(case_names())):
        parser.error(f"there is no case {', '.join(unknown)}; there are {', '.join(case_names())}")
    outcomes = []
    for name in names:
        outcomes.append(run_case(name, full=options.full))
        _tell(outcomes[-1])
    if options.report:
        old = REPORT.read_text(encoding="utf-8") if options.cases and REPORT.exists() else ""
        REPORT.write_text(report(outcomes, old), encoding="utf-8")
        print(f"wrote {REPORT}")
    return 0 if all(outcome.passed for outcome in outcomes) else 1


if __name__ == "__main__":
    sys.exit(main())
