"""Shared by all tests: property tests repeat exactly, pictures need no screen."""

from __future__ import annotations

import os

from hypothesis import settings

os.environ.setdefault("MPLBACKEND", "Agg")

settings.register_profile("ci", derandomize=True, deadline=None, max_examples=60)
settings.register_profile("search", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))
