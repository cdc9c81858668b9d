"""The top level holds what was agreed and nothing else; no file names a machine's own paths."""

from __future__ import annotations

import re
import subprocess
import sys

AGREED = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "barmodel",
    "cli",
    "tests",
    "validation",
    "examples",
}
MACHINE_PATH = re.compile(r"(?<![\w.])/(?:home|root|work|Users)/\w")


def tracked() -> list[str]:
    """Files under version control."""
    out = subprocess.run(["git", "ls-files", "-z"], capture_output=True, text=True, check=True)
    return [name for name in out.stdout.split("\0") if name]


def main() -> int:
    """Print what is wrong; 0 if nothing is."""
    wrong = []
    for name in tracked():
        top = name.split("/", 1)[0]
        if not top.startswith(".") and top not in AGREED:
            wrong.append(f"{name}: not in the agreed layout")
        try:
            with open(name, encoding="utf-8") as file:
                text = file.read()
        except (UnicodeDecodeError, FileNotFoundError):
            continue
        if name != ".ci/layout.py" and MACHINE_PATH.search(text):
            wrong.append(f"{name}: holds a path of one machine")
    print("\n".join(wrong) or "layout as agreed")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
