"""Run the README: the set-up commands once, then every `barmodel` line, in a fresh folder.

Usage: readme.py FOLDER, which holds the environment `venv` made by `.ci/run`. The recordings that
the README speaks of are made up here, by `made_up_strike`.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.io import wavfile

BLOCK = re.compile(r"^```sh\n(.*?)^```", re.MULTILINE | re.DOTALL)
SETUP = re.compile(r".*pip install [^&]*")
RECORDING = re.compile(r"\S+\.wav")
RATE = 48000
BLANK_HZ = (690.0, 1780.0, 3180.0)
"""Modes 1 to 3 of the README's blank, made up. [Hz]"""


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


def made_up_strike(path: Path) -> None:
    """Write a recording of one strike on the blank, with noise of its own."""
    t = np.arange(RATE) / RATE
    ring = sum(
        level * np.exp(-t / decay) * np.sin(2 * np.pi * hz * t)
        for hz, level, decay in zip(BLANK_HZ, (1.0, 0.4, 0.2), (0.25, 0.1, 0.05), strict=True)
    )
    noise = 3e-4 * np.random.default_rng(len(path.name)).standard_normal(RATE + RATE // 5)
    sound = noise + np.concatenate([np.zeros(RATE // 5), 0.2 * ring])
    wavfile.write(path, RATE, (32767 * sound).astype(np.int16))


def main() -> int:
    """Print each command that fails; 0 if none does."""
    venv = Path(sys.argv[1]).resolve() / "venv"
    todo = commands(Path("README.md").read_text(encoding="utf-8"))
    environment = os.environ | {"PATH": f"{venv / 'bin'}{os.pathsep}{os.environ['PATH']}"}
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for name in sorted(set(RECORDING.findall(" ".join(todo)))):
            made_up_strike(Path(folder) / name)
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
