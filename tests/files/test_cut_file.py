"""A cut in a file: which bar it is for, and plain lists made by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barmodel.errors import FileError
from barmodel.files import (
    CutFile,
    EndsCut,
    PocketCut,
    Reading,
    read_cut_file,
    read_entries,
    write_cut_file,
)
from tests.files.samples import document

CUTS = (PocketCut(start_mm=150.0, end_mm=190.0, depth_mm=2.0), EndsCut(length_mm=1.0))


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    heard = Reading(hz=(600.0,), date="2026-03-01")
    planned = CutFile.planned_for(document().with_entries(heard), CUTS)
    assert (planned.bar, planned.log_entries, planned.last_entry) == ("G3", 1, "2026-03-01")
    write_cut_file(tmp_path / "cut.json", planned)
    assert read_cut_file(tmp_path / "cut.json") == planned
    assert read_entries(tmp_path / "cut.json") == CUTS
    never = CutFile.planned_for(document(), CUTS)
    assert (never.log_entries, never.last_entry) == (0, None)


@pytest.mark.parametrize("whole", [False, True])
def test_entries_by_hand_are_for_any_bar(tmp_path: Path, whole: bool) -> None:
    path = tmp_path / "by_hand.json"
    entries = [entry.model_dump(mode="json") for entry in CUTS]
    content = {"schema": "barmodel/cut/1", "entries": entries} if whole else entries
    path.write_text("\n " + json.dumps(content))
    found = read_cut_file(path)
    assert (found.bar, found.log_entries, found.entries) == (None, None, CUTS)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('{"shape": "ends", "length_mm": 1.0}', 'by hand stand in a list, in brackets: [{'),
        ('{"schema": "barmodel/bar/1", "entries": []}', "is not a cut file"),
        ('{"schema": "barmodel/cut/2", "bars": ["A3"], "entries": []}', "newer barmodel"),
        ('{"schema": "barmodel/cut/1", "for": "A3", "entries": []}', "for: unknown field"),
        ('{"schema": "barmodel/cut/1", "entries": [{"shape": "x"}]}', "entries[0]: shape 'x'"),
        ('{"schema": "barmodel/cut/1", "bar": "A3"}', "entries: is missing"),
        ('{"schema": ', "is not readable JSON"),
        ('[{"shape": "ends"}]', "say either length_mm"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_named(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "cut.json"
    path.write_text(text)
    with pytest.raises(FileError, match=r"^cut\.json: ") as caught:
        read_cut_file(path)
    assert told in str(caught.value)
