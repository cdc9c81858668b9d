"""Shared by all tests: numbers and property tests repeat exactly, pictures need no screen."""

from __future__ import annotations

import os

from hypothesis import settings

from barmodel_cli.app import THREADS

for name in THREADS:  # as the command sets them: with more, the last digits are others
    os.environ.setdefault(name, "1")
os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("ci", derandomize=True, deadline=None, max_examples=60)
settings.register_profile("search", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))
