"""Predictions start from what was last heard."""

from __future__ import annotations

import json

import pytest

from tests.cli.conftest import Bench


def test_try_and_modes_carry_the_last_reading(bench: Bench) -> None:
    bench.start()
    bench("cut", "G3", "--from", "80", "--to", "320", "--depth", "13")
    plain = json.loads(bench("modes", "G3", "--model", "beam", "--json").out)
    assert plain["heard_hz"] is None
    assert plain["expected_hz"] is None
    heard = plain["bending_hz"][0] * 2 ** (-34.4 / 1200)
    bench("hear", "--into", "G3", "--hz", f"{heard},-,-")
    now = json.loads(bench("modes", "G3", "--model", "beam", "--json").out)
    assert now["cents"][0] - now["expected_cents"][0] == pytest.approx(34.4, abs=0.01)
    assert now["expected_hz"][1] == pytest.approx(plain["bending_hz"][1])
    words = ("--at", "200", "--width", "30", "--depth", "0.5", "--model", "beam")
    tried = json.loads(bench("try", "G3", *words, "--json").out)
    assert tried["cents"][0] - tried["expected_cents"][0] == pytest.approx(34.4, abs=0.01)
    assert "by the last reading" in bench("try", "G3", *words).out
