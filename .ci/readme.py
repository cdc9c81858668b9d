"""Run the README: the set-up commands once, then every `barmodel` line, in a fresh folder.

Usage: readme.py FOLDER, which holds the environment `venv` made by `.ci/run`. The recordings that
the README speaks of are made up as in the tests, which must be on the path (`PYTHONPATH=.`).
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.strike.made_up import README_BLANK, write_strikes

BLOCK = re.compile(r"^```sh\n(.*?)^```", re.MULTILINE | re.DOTALL)
SETUP = re.compile(r".*pip install [^&]*")
RECORDING = re.compile(r"\S+\.wav")


def commands(text: str) -> list[str]:
    """Lines of the README's shell blocks; the installing part of the set-up lines left out."""
    lines = []
    for block in BLOCK.findall(text):
        for line in block.splitlines():
            parts = [part.strip() for part in line.split("&&")]
            kept = [p for p in parts if not SETUP.fullmatch(p) and "-m venv" not in p]
            kept = [p.split("#")[0].strip() for p in kept if "-m pytest" not in p]
            lines += [p for p in kept if p]
    return lines


def main() -> int:
    """Print each command that fails; 0 if none does."""
    venv = Path(sys.argv[1]).resolve() / "venv"
    todo = commands(Path("README.md").read_text(encoding="utf-8"))
    environment = os.environ | {"PATH": f"{venv / 'bin'}{os.pathsep}{os.environ['PATH']}"}
    environment.pop("PYTHONPATH", None)  # the commands are to run as installed
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for seed, name in enumerate(sorted(set(RECORDING.findall(" ".join(todo))))):
            write_strikes(Path(folder) / name, README_BLANK, seed=seed)
        for command in todo:
            line = command.replace(".venv/bin/", "")
            done = subprocess.run(
                line, shell=True, cwd=folder, env=environment, capture_output=True, text=True
            )
            print(f"{'ok  ' if done.returncode == 0 else 'FAIL'} {line}")
            if done.returncode:
                failed += 1
                print(done.stdout[-2000:], done.stderr[-2000:])
    if not todo:
        print("the README holds no command")
    return failed or not todo


if __name__ == "__main__":
    sys.exit(main())
