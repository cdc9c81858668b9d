from __future__ import annotations

import functools

import pytest
from typer.main import get_command

from barmodel_cli import app
from tests.cli.conftest import bench

__all__ = ["bench"]

build = app.build_app
built = functools.cache(lambda verb: get_command(build(verb)))


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Build each command once; commands are called thousands of times here."""
    monkeypatch.setattr(app, "build_app", built)
