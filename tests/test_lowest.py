"""The lowest versions that are allowed are the lowest that were tried."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

NOT_TRIED = {"ruff", "mypy", "import-linter", "scipy-stubs", "sounddevice"}
"""Checkers run at one version, in CI; a microphone is not at hand."""


def test_every_lower_bound_was_tried() -> None:
    project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"].values()
    wanted = {word for part in (project["dependencies"], *extras) for word in part}
    bounds = dict(re.split(">=", word) for word in wanted)
    lines = Path(".ci/lowest.txt").read_text(encoding="utf-8").split()
    tried = dict(line.split("==") for line in lines)
    assert set(bounds) - NOT_TRIED == set(tried)
    for name, version in tried.items():
        assert f"{version}.".startswith(f"{bounds[name]}."), name
