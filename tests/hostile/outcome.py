"""What every call must keep to, whatever it is given."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Bench, Result

DOCUMENTED = {0, 2, 3, 4}
"""Exit codes of a call that nobody interrupts; 1 is a bug."""


def content(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones as well."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def faults(result: Result, before: dict[str, bytes], after: dict[str, bytes]) -> list[str]:
    """Say what a call did that it must not do."""
    out = []
    if result.code not in DOCUMENTED:
        out.append(f"exit code {result.code}")
    if "Traceback" in result.err:
        out.append("a traceback")
    if "Warning: " in result.err:
        out.append("a warning for programmers")
    if result.code and not result.err.strip():
        out.append("no word of why")
    if result.code and result.out:
        out.append("an answer although it failed")
    if result.code and after != before:
        out.append("files changed although it failed")
    debris = [name for name in after if name.endswith((".part", ".lock"))]
    return [*out, *(f"{name} left behind" for name in debris)]


def call(bench: Bench, *words: str) -> tuple[Result, list[str]]:
    """Run a command in the bench's folder; return the result and what is wrong with it."""
    before = content(bench.folder)
    result = bench(*words)
    return result, faults(result, before, content(bench.folder))
