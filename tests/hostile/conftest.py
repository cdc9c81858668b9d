from __future__ import annotations

from tests.cli.conftest import bench

__all__ = ["bench"]
