"""Every reader of a file gives an answer or a reason, in little time, whatever stands in it."""

from __future__ import annotations

import json
import random
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from barmodel.errors import BarModelError
from barmodel.files import (
    bar_as_designed,
    bar_as_is,
    read_bar_file,
    read_cut_file,
    read_cutters,
    read_entries,
)
from barmodel.files.set_file import read_set_file
from barmodel.files.set_readings import read_readings
from barmodel.files.set_work import read_work
from tests.hostile import mutants

PATIENCE_S = 10.0
"""Far above what any file takes, far below what an endless one would. [s]"""


class Reader(NamedTuple):
    name: str
    read: Callable[[Path], Any]
    whole: str


def whole_bar(path: Path) -> None:
    document = read_bar_file(path)
    for made in (bar_as_is, bar_as_designed):
        made(document).profile.least_thickness()


READERS = (
    Reader("G3.bar.json", whole_bar, json.dumps(mutants.BAR)),
    Reader("s.set.toml", read_set_file, mutants.toml_text(mutants.SET)),
    Reader("readings.csv", read_readings, mutants.READINGS),
    Reader("cutters.toml", read_cutters, mutants.toml_text(mutants.CUTTERS)),
    Reader("entries.json", read_entries, json.dumps(mutants.BAR["log"][1]["entries"])),
    Reader("cut.json", read_cut_file, json.dumps(mutants.CUT)),
    Reader("work.json", lambda path: read_work(path.parent), '{"bars": {}, "lengths": null}'),
)
every_reader = pytest.mark.parametrize("reader", READERS, ids=lambda reader: reader.name)


def refused(reader: Reader, folder: Path, content: bytes) -> bool:
    """Read a file; whether it was refused. Anything but an answer or a reason is raised."""
    path = folder / reader.name
    path.write_bytes(content)
    began = time.monotonic()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            reader.read(path)
    except BarModelError as error:
        told = str(error)
        assert told
        assert "\x1b" not in told
        return True
    finally:
        assert time.monotonic() - began < PATIENCE_S
    return False


@every_reader
def test_whole_files_are_read(reader: Reader, tmp_path: Path) -> None:
    assert not refused(reader, tmp_path, reader.whole.encode())


@every_reader
def test_bytes_changed_at_random_give_an_answer_or_a_reason(reader: Reader, tmp_path: Path) -> None:
    chance = random.Random(reader.name)
    data = reader.whole.encode()
    count = sum(refused(reader, tmp_path, mutants.damaged(data, chance)) for _ in range(100))
    assert count > 20, "damage that never harms tries nothing"


@every_reader
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.one_of(st.binary(max_size=300), st.text(max_size=300).map(str.encode)))
def test_anything_at_all_gives_an_answer_or_a_reason(
    reader: Reader, tmp_path: Path, data: bytes
) -> None:
    refused(reader, tmp_path, data)


@every_reader
def test_line_ends_and_a_mark_in_front_do_not_matter(reader: Reader, tmp_path: Path) -> None:
    lines = reader.whole.replace(", ", ",\n") if reader.name.endswith("json") else reader.whole
    for text in (lines.replace("\n", "\r\n"), "\ufeff" + lines, "\ufeff" + lines + "\r\n\r\n"):
        assert not refused(reader, tmp_path, text.encode())


@pytest.mark.parametrize("field", sorted({path[0] for path in mutants.places(mutants.BAR)}))
def test_odd_values_in_any_field_of_a_bar(field: str, tmp_path: Path) -> None:
    inside = [path for path in mutants.places(mutants.BAR) if path[0] == field]
    cases = [(path, value) for path in inside for value in mutants.ODD_VALUES]
    cases = random.Random(field).sample(cases, min(150, len(cases)))
    texts = [json.dumps(mutants.changed(mutants.BAR, *case)) for case in cases]
    count = sum(refused(READERS[0], tmp_path, text.encode()) for text in texts)
    assert count > 0.3 * len(cases)


def test_odd_values_in_any_field_of_a_set_or_a_list_of_cutters(tmp_path: Path) -> None:
    for reader, whole in ((READERS[1], mutants.SET), (READERS[3], mutants.CUTTERS)):
        cases = [(path, value) for path in mutants.places(whole) for value in mutants.ODD_VALUES]
        for path, value in random.Random(9).sample(cases, 60):
            text = mutants.toml_text(mutants.changed(whole, path, value))
            refused(reader, tmp_path, text.encode("utf-8", "surrogatepass"))


BAR_BEGIN = '{"schema": "barmodel/bar/1", '


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("G3.bar.json", "[" * 1_000_000),
        ("G3.bar.json", BAR_BEGIN + '"log": [' + "{}," * 1_000_000 + "{}]}"),
        (
            "G3.bar.json",
            BAR_BEGIN + '"log": [{"kind":"cut","entries":[' + "{}," * 900_000 + "1]}]}",
        ),
        ("G3.bar.json", "9" * 3_000_000),
        ("G3.bar.json", " " * 5_000_000),
        ("s.set.toml", "a." * 140_000 + "b = 1"),
        ("s.set.toml", "a = " + "[" * 290_000),
        ("s.set.toml", "".join(f"[a{i}]\n" for i in range(30_000))),
        ("readings.csv", 'note,mode1_hz\nA4,"' + "9" * 280_000),
        ("cutters.toml", "a = '''" + "x" * 280_000),
        ("entries.json", "[" + "{}," * 1_000_000 + "{}]"),
        ("cut.json", '{"entries": [' + "{}," * 1_000_000 + "{}]}"),
        ("cut.json", '{"a": ' * 500_000),
        ("work.json", '{"bars": {' + ",".join(f'"k{i}": {{}}' for i in range(50_000)) + "}}"),
    ],
    ids=range(14),
)
def test_vast_files_are_refused_in_little_time_and_memory(
    tmp_path: Path, name: str, text: str
) -> None:
    resource = pytest.importorskip("resource")
    reader = next(reader for reader in READERS if reader.name == name)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert refused(reader, tmp_path, text.encode())
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert grown < 1_000_000, "more than 1 GB, in KiB"
