"""Run the validation cases: `python -m validation.run [CASE …] [--report] [--full]`.

A case is a folder `validation/NAME/` with a `case.py` that holds

- `TITLE` and `ABOUT`, what is compared and what may be learnt from it;
- `checks() -> list[Check]`, our numbers beside the source's;
- `negative_control() -> list[Check]`, the same with something perturbed: at least one must fail,
  or the case could not have told right from wrong;
- optionally `SLOW = True`, when pytest should leave it to this runner;
- optionally `skipped() -> str`, the reason when it needs what not every machine has.

A case that takes minutes at full size may define `checks(*, full=False)`, and run smaller by
default. `remarks(*, full=False) -> list[str]`, when there is one, gives lines below the table:
figures that nothing is asked of, and that are therefore no checks.
"""

from __future__ import annotations

import argparse
import importlib
import inspect
import re
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from validation.check import Check

FOLDER = Path(__file__).parent
REPORT = FOLDER / "REPORT.md"
_OURS = re.compile(
    r"^(\| (?:[^|]|(?<=\\)\|)+ \| [^|]+ \|) [^|]+ \| [^|]+ \|(?= [^|]+ \| [^|]* \| )", re.M
)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one case gave."""

    name: str
    title: str
    about: str
    checks: tuple[Check, ...]
    control_failed: int
    """Checks of the negative control that failed, as they should."""
    skipped: str | None
    seconds: float
    remarks: tuple[str, ...] = ()

    @property
    def passed(self) -> bool:
        """Every check passed, and the negative control did not."""
        whole = bool(self.checks) and all(check.passed for check in self.checks)
        return self.skipped is not None or (whole and self.control_failed > 0)


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
    """Run one case and its negative control."""
    case = load(name)
    skip = getattr(case, "skipped", str)() or None
    began = time.perf_counter()
    if skip is not None:
        return Outcome(name, case.TITLE, case.ABOUT, (), 0, str(skip), 0.0)
    sized = {"full": True} if full and "full" in inspect.signature(case.checks).parameters else {}
    checks = tuple(case.checks(**sized))
    keys = [check.key for check in checks]
    if twice := {key for key in keys if keys.count(key) > 1}:
        raise ValueError(f"{name}: keys must differ, these do not: {sorted(twice)}")
    remarks = tuple(case.remarks(**sized)) if hasattr(case, "remarks") else ()
    control = sum(not check.passed for check in case.negative_control())
    seconds = time.perf_counter() - began
    return Outcome(name, case.TITLE, case.ABOUT, checks, control, None, seconds, remarks)


def table(outcome: Outcome) -> str:
    """One case as Markdown; nothing in it changes from run to run unless a number does."""
    head = f"## {outcome.title}\n\n{outcome.about.strip()}\n\nCase `validation/{outcome.name}/`. "
    if outcome.skipped is not None:
        return f"{head}Skipped: {outcome.skipped}.\n"
    missed = "" if outcome.passed else " **Not passed.**"
    total = len(outcome.checks)
    good = sum(check.passed for check in outcome.checks)
    lines = [
        f"{head}{good} of {total} within tolerance; "
        f"negative control failed {outcome.control_failed}, as it must.{missed}",
        "",
        "| what | source says | computed | difference | tolerance | unit | ok |",
        "|---|---:|---:|---:|---:|---|---|",
    ]
    lines += [
        f"| {_cell(c.key)} | {c.expected:.8g} | {_rounded(c, c.computed)} "
        f"| {_rounded(c, c.computed - c.expected, sign='+')} "
        f"| {c.tolerance:.2g} | {c.unit} | {'yes' if c.passed else '**no**'} |"
        for c in outcome.checks
    ]
    if outcome.remarks:
        lines += ["", *(f"- {remark}" for remark in outcome.remarks)]
    lines += ["", *_grouped("Sources", ((f"{c.source} [{c.tag}]", c.key) for c in outcome.checks))]
    lines += ["", *_grouped("Tolerances", ((c.reason, c.key) for c in outcome.checks)), ""]
    return "\n".join(lines)


def report(outcomes: Iterable[Outcome], old: str = "") -> str:
    """The whole report as Markdown.

    Cases that were not run keep their row and section of the `old` report, so that a case of
    many minutes need not be run again because a quick one has changed.
    """
    rows, sections = _parts(old)
    for outcome in outcomes:
        good = sum(check.passed for check in outcome.checks)
        link = f"[{outcome.title}](#{_anchor(outcome.title)})"
        rows[outcome.title] = f"| {link} | {good} of {len(outcome.checks)} | {_state(outcome)} |"
        sections[outcome.title] = table(outcome)
    titles = [title for title in (load(name).TITLE for name in case_names()) if title in sections]
    head = [
        "# What barmodel is held against",
        "",
        "Made by `python -m validation.run --report`; do not edit. Every number of a source is "
        "given as printed there, with its standing: *published* (read there), *from memory* "
        "(citation sound, digits not looked up again), *recomputed independently*, or *common "
        "practice, no source*. A negative control perturbs a constant and must fail.",
        "",
        "| case | within tolerance | |",
        "|---|---:|---|",
        *(rows[title] for title in titles),
        "",
    ]
    return "\n".join(head) + "\n" + "\n".join(sections[title] for title in titles)


def _parts(report_text: str) -> tuple[dict[str, str], dict[str, str]]:
    """Rows and sections of a report, by title."""
    head, *sections = report_text.split("\n## ")
    rows = {m[1]: m[0] for m in re.finditer(r"^\| \[(.+?)\]\(#.*$", head, re.MULTILINE)}
    texts = {text.split("\n", 1)[0]: f"## {text.rstrip()}\n" for text in sections}
    return rows, texts


def _state(outcome: Outcome) -> str:
    if outcome.skipped is not None:
        return f"skipped: {outcome.skipped}"
    return "passed" if outcome.passed else "**not passed**"


def _rounded(check: Check, number: float, *, sign: str = "") -> str:
    """Round to a hundredth of the tolerance: what lies beneath differs by machine."""
    exponent = int(f"{check.tolerance:e}".split("e")[1]) if check.tolerance > 0.0 else -8
    return f"{number:{sign}.{max(0, 2 - exponent)}f}"


def without_numbers_of_ours(markdown: str) -> str:
    """Report without what we computed, to tell a stale one from one of another machine."""
    return _OURS.sub(r"\1 … | … |", markdown)


def _grouped(heading: str, pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Say each text once, with the checks it belongs to when there are several texts."""
    keys: dict[str, list[str]] = {}
    for text, key in pairs:
        keys.setdefault(text, []).append(key)
    if len(keys) == 1:
        return [f"{heading}: {next(iter(keys))}."]
    lines = [f"{heading}:", ""]
    for text, members in keys.items():
        shown = ", ".join(members[:3]) + (f" and {len(members) - 3} more" if members[3:] else "")
        lines.append(f"- {text} ({shown}).")
    return lines


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _anchor(title: str) -> str:
    kept = (c for c in title.lower().replace(" ", "-") if c.isalnum() or c in "-_")
    return "".join(kept)


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
        outcome = run_case(name, full=options.full)
        outcomes.append(outcome)
        good = sum(check.passed for check in outcome.checks)
        print(
            f"{name:24} {good:3} of {len(outcome.checks):3}  {outcome.seconds:6.1f} s  "
            f"{_state(outcome).replace('**', '')}"
        )
        for check in outcome.checks:
            if not check.passed:
                print(
                    f"    {check.key}: source {check.expected:.8g}, computed "
                    f"{check.computed:.8g} {check.unit}, tolerance {check.tolerance:.2g}"
                )
    if options.report:
        old = REPORT.read_text(encoding="utf-8") if options.cases and REPORT.exists() else ""
        REPORT.write_text(report(outcomes, old), encoding="utf-8")
        print(f"wrote {REPORT}")
    return 0 if all(outcome.passed for outcome in outcomes) else 1


if __name__ == "__main__":
    sys.exit(main())
