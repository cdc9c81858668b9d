"""Readings of a set: a table anybody may have made, in any spreadsheet."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from barmodel.errors import FileError
from barmodel.files.set_readings import read_readings

HEAD = "note,mode1_hz,mode2_hz,mode3_hz\n"


def write(folder: Path, text: str) -> Path:
    path = folder / "readings.csv"
    path.write_bytes(text.encode())
    return path


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_a_mark_in_front_do_not_matter(tmp_path: Path, ends: str, mark: str) -> None:
    text = mark + HEAD + "C4,261.5,1046,-\n F#4 , 370 ,,3700\n"
    found = read_readings(write(tmp_path, text.replace("\n", ends)))
    assert list(found) == [48, 54]
    assert found[48][:2] == (261.5, 1046.0)
    assert math.isnan(found[48][2])
    assert math.isnan(found[54][1])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "its first line must be"),
        ("note;mode1_hz;mode2_hz\nC4;261,5;1046\n", "separate the cells by commas"),
        (HEAD, "holds no reading"),
        (HEAD + "C4,261,5,1046\n", "line 2: modes count upward.*decimals are written with a point"),
        (HEAD + "C4,261,5,1046,2\n", "line 2: more cells than columns; decimals"),
        (HEAD + 'C4,"261,5"\n', "mode1_hz: '261,5' is not a frequency in hertz; decimals"),
        (HEAD + "C4,nan\n", "is not a frequency"),
        (HEAD + "C4,1e999\n", "is not a frequency"),
        (HEAD + "C4,-3\n", "is not a frequency"),
        (HEAD + "C4,300\nC4,301\n", "line 3: C4 stands twice"),
        (HEAD + "H9,300\n", "line 2: note 'H9'"),
        (HEAD + 'C4,"' + "9" * 200_000, "not a readable table"),
        ("\0" * 200_000, "not a readable table|first line"),
        ("x" * 400_000, "holds more than 0.3 MB"),
    ],
    ids=range(14),
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(FileError, match=told):
        read_readings(write(tmp_path, text))
