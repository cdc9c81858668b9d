"""Measure how fast the package is: `python -m validation.benchmarks [--report] [PART …]`.

Parts: beam, design, solid, start, whole_set. Everything runs on one thread, ours and theirs in
turns, and the best of several rounds counts; only a whole set runs on all cores. Ratios hold on
other machines; seconds do not.
"""

from __future__ import annotations

import argparse
import importlib
import os
import sys
from pathlib import Path

PARTS = ("beam", "design", "solid", "start", "whole_set")
REPORT = Path(__file__).with_name("RESULTS.md")


def main() -> int:
    """Run the parts asked for and print their tables."""
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"  # before anything loads NumPy
    parser = argparse.ArgumentParser(prog="python -m validation.benchmarks")
    parser.add_argument("part", nargs="*", help=f"any of {', '.join(PARTS)}; all by default")
    parser.add_argument(
        "--report", action="store_true", help="write RESULTS.md as well; only the named parts anew"
    )
    options = parser.parse_args()
    if unknown := sorted(set(options.part) - set(PARTS)):
        parser.error(f"no such part: {', '.join(unknown)}; there are {', '.join(PARTS)}")
    from validation.benchmarks.timing import table

    sections = _old_sections()
    for part in options.part or PARTS:
        module = importlib.import_module(f"validation.benchmarks.{part}")
        print(f"{part} …", file=sys.stderr, flush=True)
        sections[part] = table(list(module.rows()))
        print(f"## {part}\n\n{sections[part]}\n")
    if options.report:
        text = ["# Speed", "", " ".join(_intro().split()), ""]
        for part in PARTS:
            if part in sections:
                text += [f"## {part}", "", sections[part], ""]
        REPORT.write_text("\n".join(text), encoding="utf-8")
    return 0


def _old_sections() -> dict[str, str]:
    """Tables of the report as it is: parts that are not run keep theirs."""
    if not REPORT.exists():
        return {}
    _, *parts = REPORT.read_text(encoding="utf-8").split("\n## ")
    return {name: body.strip() for name, _, body in (part.partition("\n") for part in parts)}


def _intro() -> str:
    return """Made by `python -m validation.benchmarks --report`: one thread, ours and theirs
    taking turns in one run, best of several, processor time. Ratios carry over to other machines,
    seconds do not. Errors are against a mesh four times finer (beam) and against the extrapolated
    values of case solid_independent (solid). scikit-fem solves half the width of the whole bar and
    spends most of its time in assembly, which is written for generality; the package also halves a
    symmetric bar along its length. A whole set runs on all cores, single designs in between."""


if __name__ == "__main__":
    sys.exit(main())
