"""What the cases gave, as Markdown."""

from __future__ import annotations

import re
from collections.abc import Iterable

from validation.cases import FOLDER, Outcome, case_names, load
from validation.check import Check

REPORT = FOLDER / "REPORT.md"
PROVED = "Every check failed for something that was made wrong:"
_OURS = re.compile(
    r"^(\| (?:[^|]|(?<=\\)\|)+ \| [^|]+ \|) [^|]+ \| [^|]+ \|(?= [^|]+ \| [^|]* \| )", re.M
)
_FAILED = re.compile(r"^(- .+: )\d+( failed)$", re.M)


def table(outcome: Outcome) -> str:
    """One case as Markdown; nothing in it changes from run to run unless a number does."""
    head = f"## {outcome.title}\n\n{outcome.about.strip()}\n\nCase `validation/{outcome.name}/`. "
    if outcome.skipped is not None:
        return f"{head}Skipped: {outcome.skipped}.\n"
    lines = [
        f"{head}{outcome.good} of {len(outcome.checks)} within tolerance. {_proof(outcome)}",
        "",
        *(f"- {wrong}: {len(keys)} failed" for wrong, keys in outcome.noticed.items()),
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


def _proof(outcome: Outcome) -> str:
    """Say whether every check was seen to fail, above the list of what was made wrong."""
    if outcome.unproved:
        never = ", ".join(_cell(key) for key in outcome.unproved)
        return f"**Never seen to fail: {never}.** Made wrong in turn:"
    return PROVED


def report(outcomes: Iterable[Outcome], old: str = "") -> str:
    """The whole report as Markdown.

    Cases that were not run keep their row and section of the `old` report, so that a case of
    many minutes need not be run again because a quick one has changed.
    """
    rows, sections = parts(old)
    for outcome in outcomes:
        link = f"[{outcome.title}](#{_anchor(outcome.title)})"
        count = f"{outcome.good} of {len(outcome.checks)}"
        rows[outcome.title] = f"| {link} | {count} | {state(outcome)} |"
        sections[outcome.title] = table(outcome)
    titles = [title for title in (load(name).TITLE for name in case_names()) if title in sections]
    head = [
        "# What barmodel is held against",
        "",
        "Made by `python -m validation.run --report`; do not edit. Every number of a source is "
        "given as printed there, with its standing: *published* (read there), *from memory* "
        "(citation sound, digits not looked up again), *recomputed independently*, or *common "
        "practice, no source*. Then the computation is made wrong, in the ways listed, and every "
        "check must fail for one of them.",
        "",
        "| case | within tolerance | |",
        "|---|---:|---|",
        *(rows[title] for title in titles),
        "",
    ]
    return "\n".join(head) + "\n" + "\n".join(sections[title] for title in titles)


def parts(report_text: str) -> tuple[dict[str, str], dict[str, str]]:
    """Rows and sections of a report, by title."""
    head, *sections = report_text.split("\n## ")
    rows = {m[1]: m[0] for m in re.finditer(r"^\| \[(.+?)\]\(#.*$", head, re.MULTILINE)}
    texts = {text.split("\n", 1)[0]: f"## {text.rstrip()}\n" for text in sections}
    return rows, texts


def state(outcome: Outcome) -> str:
    """One word for a case, or why there is none."""
    if outcome.skipped is not None:
        return f"skipped: {outcome.skipped}"
    if outcome.good == len(outcome.checks) and outcome.unproved:
        return f"**{len(outcome.unproved)} checks not proved**"
    return "passed" if outcome.passed else "**not passed**"


def _rounded(check: Check, number: float, *, sign: str = "") -> str:
    """Round to a hundredth of the tolerance: what lies beneath differs by machine."""
    exponent = int(f"{check.tolerance:e}".split("e")[1]) if check.tolerance > 0.0 else -8
    return f"{number:{sign}.{max(0, 2 - exponent)}f}"


def without_numbers_of_ours(markdown: str) -> str:
    """Report without what we computed, to tell a stale one from one of another machine."""
    return _FAILED.sub(r"\1…\2", _OURS.sub(r"\1 … | … |", markdown))


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
