"""The walk through a bar in README.md, command by command, as it stands there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import Any

import numpy as np
from scipy.io import wavfile

README = Path(__file__).parents[2] / "README.md"
RATE = 48000
BLANK_HZ = (690.0, 1780.0, 3180.0)


def commands() -> list[list[str]]:
    """Every line of `## Use` that calls the tool, without its remark."""
    use = README.read_text(encoding="utf-8").split("## Use")[1].split("\n## ")[0]
    blocks = re.findall(r"```sh\n(.*?)```", use, re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    return [shlex.split(line, comments=True)[1:] for line in lines if line.startswith("barmodel ")]


def strike(path: Path, seed: int) -> None:
    """Make up a recording of one strike on the blank."""
    t = np.arange(RATE) / RATE
    ring = sum(
        a * np.exp(-t / tau) * np.sin(2 * np.pi * hz * t)
        for hz, a, tau in zip(BLANK_HZ, (1.0, 0.4, 0.2), (0.25, 0.1, 0.05), strict=True)
    )
    noise = 3e-4 * np.random.default_rng(seed).standard_normal(RATE + 9600)
    sound = noise + np.concatenate([np.zeros(9600), 0.2 * ring])
    wavfile.write(path, RATE, (32767 * sound).astype(np.int16))


def test_the_walk_in_the_readme_can_be_walked(bench: Any) -> None:
    strike(bench.folder / "blank1.wav", 1)
    strike(bench.folder / "blank2.wav", 2)
    walk = commands()
    assert len(walk) >= 15
    assert {"hear", "fit", "design", "next", "cut", "map", "log"} <= {words[0] for words in walk}
    said = {}
    for words in walk:
        result = bench(*words)
        assert result.code == 0, (words, result.err)
        said[" ".join(words[:2])] = result.out + result.err
    assert "next: barmodel fit a3.bar.json --save" in said["hear blank1.wav"]
    assert "next: barmodel design a3.bar.json --save" in said["fit a3"]
    assert "was tapped" not in said["design a3"]  # the fit before it counts
    assert "next: barmodel next a3.bar.json" in said["hear --hz"]
    assert (bench.folder / "a3-map.png").exists()


def test_answers_end_with_the_next_step(bench: Any) -> None:
    """Of the commands that the walk above does not hold to it."""
    bench.start()
    for words in (("woods",), ("woods", "padauk"), ("hear", "--how", "G3"), ("log", "G3")):
        assert bench(*words).err.splitlines()[-1].startswith("next: barmodel"), words
