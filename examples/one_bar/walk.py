"""One bar from plank to finished, with a made-up plank in place of the maker's own.

`python examples/one_bar/walk.py FOLDER` makes the plank and its recordings, calls the commands of
the README one after the other, makes every cut a little wrong, as hands and routers do, and writes
bar file and pictures to FOLDER. What the plank really is, only this file knows; the commands know
what they hear. Everything here is invented.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from scipy.io import wavfile

from barmodel.bar import Bar, Blank
from barmodel.files import read_bar_file, with_entries_cut
from barmodel.files.cuts import EndsCut, TableCut
from barmodel.modes import solve
from barmodel.units import MM
from barmodel.wood import species
from barmodel_cli.app import call

NAME = "a3"
PLANK = Blank(
    length=350 * MM,
    width=58 * MM,
    thickness=21 * MM,
    wood=replace(species("padauk").wood().scaled(e_factor=1.07, g_factor=0.9), density=786.0),
)
"""What the plank really is: stiffer along the grain and softer in shear than the table says."""
RATE = 48000
MOST_ROUNDS = 6


@dataclass(slots=True)
class Workshop:
    """The plank on the bench, and what was said about it.

    Attributes
    ----------
    folder : Path
        Where bar file, recordings and pictures are.
    random : numpy.random.Generator
        Hands, room and microphone.
    miss : list of float
        By how much each cut so far became too deep. [m]
    said : list of (str, str)
        Commands and their answers.
    """

    folder: Path
    random: np.random.Generator = field(default_factory=lambda: np.random.default_rng(3))
    miss: list[float] = field(default_factory=list)
    said: list[tuple[str, str]] = field(default_factory=list)

    def barmodel(self, line: str) -> str:
        """Call one command; what it prints."""
        out = io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.chdir(self.folder):
            code = call(line.split())
        if code:
            raise RuntimeError(f"barmodel {line}: exit code {code}")
        self.said.append((line, out.getvalue()))
        return out.getvalue()

    def bar(self) -> Bar:
        """The bar as it really is: the cuts of the record, each missed by a little."""
        bar = Bar(blank=PLANK)
        cuts = read_bar_file(self.folder / f"{NAME}.bar.json").cuts
        entries = [entry for cut in cuts for entry in cut.entries]
        for k, entry in enumerate(entries):
            if k == len(self.miss):
                depth = getattr(entry, "depth_mm", 0.0)
                scatter = 0.1 if depth > 3.0 else 0.02 + 0.05 * depth
                self.miss.append(float(self.random.normal(0.0, scatter)))
            if not isinstance(entry, EndsCut | TableCut):
                deeper = max(entry.depth_mm + self.miss[k], 1e-3)
                entry = entry.model_copy(update={"depth_mm": deeper})
            bar = with_entries_cut(bar, [entry])
        return bar

    def strike(self, file: str) -> None:
        """Record five strikes on the bar."""
        hz = solve(self.bar(), families=["bending"]).bending_hz
        t = np.arange(int(0.8 * RATE)) / RATE
        strikes = []
        for _ in range(5):
            held = 2.0 ** (self.random.normal(0.0, 0.7) / 1200)  # the grip detunes a little
            ring = sum(
                level * self.random.uniform(0.7, 1.3) * np.exp(-t / decay)
                * np.sin(2 * np.pi * f * held * t)
                for f, level, decay in zip(hz, (1.0, 0.4, 0.25), (0.3, 0.1, 0.05), strict=True)
            )  # fmt: skip
            strikes.append(np.concatenate([np.zeros(RATE // 5), 0.2 * ring]))
        sound = np.concatenate(strikes)
        sound += 3e-4 * self.random.standard_normal(sound.size)
        wavfile.write(self.folder / file, RATE, (32767 * sound).astype(np.int16))


def walk(folder: Path) -> Workshop:
    """Take the bar home; the workshop then holds all that was said."""
    shop = Workshop(folder)
    shop.barmodel(
        f"start {NAME} --length 350 --width 58 --thickness 21 --mass 335g --wood padauk "
        "--note A3 --a4 442"
    )
    shop.strike("blank.wav")
    shop.barmodel(f"hear blank.wav --into {NAME} --temperature 20 --plot a3-blank.png")
    shop.barmodel(f"fit {NAME} --save")
    shop.barmodel(f"design {NAME} --save --plot a3-design.png")
    for number in range(MOST_ROUNDS):
        if json.loads(shop.barmodel(f"next {NAME} --json"))["state"] != "cut":
            break
        shop.barmodel(f"next {NAME} --save cut{number}.json")
        shop.barmodel(f"cut {NAME} --entries cut{number}.json")
        shop.strike(f"strike{number}.wav")
        shop.barmodel(f"hear strike{number}.wav --into {NAME} --temperature 20")
        if number == 0:
            shop.barmodel(f"map {NAME} --plot a3-map.png")
    shop.barmodel(f"next {NAME}")
    shop.barmodel(f"log {NAME} --plot a3-log.png")
    return shop


def main() -> int:
    """Print the whole conversation."""
    folder = Path(sys.argv[1])
    os.makedirs(folder, exist_ok=True)
    for line, answer in walk(folder).said:
        print(f"$ barmodel {line}\n{answer}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
