"""The walk through a bar in README.md, command by command, as it stands there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

from tests.cli.conftest import Bench
from tests.strike.made_up import README_BLANK, write_strikes

README = Path(__file__).parents[2] / "README.md"


def commands() -> list[list[str]]:
    """Every line of `## Use` that calls the tool, without its remark."""
    use = README.read_text(encoding="utf-8").split("## Use")[1].split("\n## ")[0]
    blocks = re.findall(r"```sh\n(.*?)```", use, re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    return [shlex.split(line, comments=True)[1:] for line in lines if line.startswith("barmodel ")]


def test_the_walk_in_the_readme_can_be_walked(bench: Bench) -> None:
    for seed in (1, 2):
        write_strikes(bench.folder / f"blank{seed}.wav", README_BLANK, seed=seed)
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


def test_answers_end_with_the_next_step(bench: Bench) -> None:
    """Of the commands that the walk above does not hold to it."""
    bench.start()
    for words in (("woods",), ("woods", "padauk"), ("hear", "--how", "G3"), ("log", "G3")):
        assert bench(*words).err.splitlines()[-1].startswith("next: barmodel"), words


def test_the_cutters_in_the_readme_can_be_used(bench: Bench) -> None:
    (listed,) = re.findall(r"```toml\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    (bench.folder / "cutters.toml").write_text(listed, encoding="utf-8")
    bench.start()
    words = ("--at", "150", "--depth", "0.3")
    for name in ("bigdrum", "card"):
        assert bench("try", "G3", *words, "--cutter", name).code == 0
    (bench.folder / "cutters.toml").write_text(
        listed.replace('"drum" ', '"saw" '), encoding="utf-8"
    )
    wrong = bench("try", "G3", *words, "--cutter", "card")
    assert wrong.code == 3
    assert 'a cutter is written as [cutters.bigdrum], and under it kind = "drum"' in wrong.told
