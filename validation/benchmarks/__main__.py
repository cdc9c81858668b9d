"""Measure how fast the package is: `python -m validation.benchmarks [--report] [PART …]`.

Parts: beam, design, solid, start. Everything runs on one thread, ours and theirs in turns, and the
best of several rounds counts. Ratios hold on other machines; seconds do not.
"""

from __future__ import annotations

import os

# ruff: noqa: E402  the threads are settled before anything loads NumPy
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[_name] = "1"

import argparse
import importlib
import sys
from pathlib import Path

PARTS = ("beam", "design", "solid", "start")
REPORT = Path(__file__).with_name("RESULTS.md")


def main() -> int:
    """Run the parts asked for and print their tables."""
    parser = argparse.ArgumentParser(prog="python -m validation.benchmarks")
    parser.add_argument("part", nargs="*", help=f"any of {', '.join(PARTS)}; all by default")
    parser.add_argument("--report", action="store_true", help="write RESULTS.md as well")
    options = parser.parse_args()
    if unknown := sorted(set(options.part) - set(PARTS)):
        parser.error(f"no such part: {', '.join(unknown)}; there are {', '.join(PARTS)}")
    from validation.benchmarks.timing import table

    text = ["# Speed", "", " ".join(_intro().split()), ""]
    for part in options.part or PARTS:
        module = importlib.import_module(f"validation.benchmarks.{part}")
        print(f"{part} …", file=sys.stderr, flush=True)
        text += [f"## {part}", "", table(list(module.rows())), ""]
    print("\n".join(text))
    if options.report:
        REPORT.write_text("\n".join(text), encoding="utf-8")
    return 0


def _intro() -> str:
    return """Made by `python -m validation.benchmarks --report`: one thread, ours and theirs
    taking turns in one run, best of several, processor time. Ratios carry over to other machines,
    seconds do not. Errors are against a mesh four times finer (beam) and against the extrapolated
    values of case solid_independent (solid). scikit-fem solves half the width of the whole bar and
    spends most of its time in assembly, which is written for generality; the package also halves a
    symmetric bar along its length."""


if __name__ == "__main__":
    sys.exit(main())
