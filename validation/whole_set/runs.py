"""Run `barmodel instrument` as a maker does, in a process of its own, undisturbed or killed."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

RUN = "from barmodel_cli.app import main; main()"
SET_FILE = Path(__file__).with_name("concert.set.toml")
Records = dict[str, dict[str, Any]]


def write_set(folder: Path, *, lowest: str = "C2", highest: str = "C7") -> Path:
    """Write the made-up set file for a range of notes; tables by note begin at the lowest."""
    text = SET_FILE.read_text(encoding="utf-8")
    text = text.replace('lowest = "C2"', f'lowest = "{lowest}"')
    text = text.replace('highest = "C7"', f'highest = "{highest}"')
    path = folder / "concert.set.toml"
    path.write_text(text, encoding="utf-8")
    return path


def begin(set_file: Path, folder: Path) -> subprocess.Popen[bytes]:
    """Begin a run that writes into a folder."""
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
    command = [sys.executable, "-c", RUN, "instrument", str(set_file), "--into", str(folder)]
    return subprocess.Popen(
        command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )


def whole(set_file: Path, folder: Path) -> None:
    """Run to the end."""
    process = begin(set_file, folder)
    said = process.communicate()[1].decode()
    if process.returncode != 0:
        raise RuntimeError(f"barmodel instrument ended with {process.returncode}: {said}")


def records(folder: Path) -> Records:
    """Records of the bars done so far, each with the seconds it took."""
    path = folder / "work.json"
    if not path.exists():
        return {}
    bars: Records = json.loads(path.read_text(encoding="utf-8"))["bars"]
    return bars


def killed_and_resumed(set_file: Path, folder: Path, *, kills: int, seed: int) -> Iterator[Records]:
    """Kill a run again and again at moments nobody chose, then let it end; records after each."""
    moment = random.Random(seed)
    for _ in range(kills):
        before, process = len(records(folder)), begin(set_file, folder)
        while len(records(folder)) == before and process.poll() is None:
            time.sleep(0.01)
        time.sleep(moment.uniform(0.0, 0.5))
        process.kill()
        process.communicate()
        yield records(folder)
    whole(set_file, folder)
    yield records(folder)
