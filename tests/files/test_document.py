from __future__ import annotations

import contextlib
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import FileError
from barmodel.files import (
    BarDocument,
    Cancellation,
    CutMade,
    EndsCut,
    PocketCut,
    Reading,
    file_schemas,
    read_bar_file,
)
from barmodel.files.store import document_text
from tests.files.samples import CONTRACT, content, document


def refusal(tmp_path: Any, text: str) -> str:
    path = tmp_path / "bar.bar.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_bar_file(path)
    return str(caught.value)


def test_agreed_file_is_read_and_written_back_unchanged() -> None:
    written = json.loads(document_text(document()))
    assert {key: written[key] for key in ("blank", "target", "undercut", "design", "log")} == {
        key: CONTRACT[key] for key in ("blank", "target", "undercut", "design", "log")
    }
    assert CONTRACT["wood"].items() <= written["wood"].items()


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"colour": "red"}, "colour: unknown field"),
        ({"blank": CONTRACT["blank"] | {"length": 3}}, "blank.length: unknown field; did you"),
        ({"design": [CONTRACT["design"][0] | {"depth_mm": "9"}]}, "design[0].depth_mm: must be a"),
        ({"design": [{"shape": "hole"}]}, "'hole' is unknown; 'arch', 'pocket'"),
        ({"design": [{"depth_mm": 3.0}]}, "design[0]: lacks 'shape'"),
        ({"blank": CONTRACT["blank"] | {"width_mm": -3.0}}, "blank.width_mm: "),
        ({"schema": "barmodel/bar/2"}, "newer"),
        ({"schema": "something"}, "is not a bar file"),
        ({"log": [{"kind": "reading", "id": 2, "hz": [200.0]}]}, "log entry 1 has id 2"),
        ({"log": [{"kind": "reading", "id": 1, "hz": [None]}]}, "no mode was heard"),
        ({"log": [{"kind": "reading", "id": 1, "hz": [300.0, 200.0]}]}, "must ascend"),
        ({"log": [{"kind": "reading", "id": 1, "hz": [2.0], "date": "May"}]}, "is not a date"),
        ({"log": [{"kind": "cancel", "id": 1, "entry": 1}]}, "cannot be cancelled"),
    ],
)
def test_wrong_field_is_named(tmp_path: Any, changes: dict[str, Any], told: str) -> None:
    message = refusal(tmp_path, json.dumps(content(**changes)))
    assert message.startswith("bar.bar.json: ")
    assert told in message


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_that_are_none_are_refused(tmp_path: Any, word: str) -> None:
    text = json.dumps(CONTRACT).replace('"length_mm": 400.0', f'"length_mm": {word}')
    assert "blank.length_mm" in refusal(tmp_path, text)


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "[" * 100_000, '{"schema": 3}'])
def test_what_is_no_bar_file_is_refused(tmp_path: Any, text: str) -> None:
    refusal(tmp_path, text)


@given(st.binary(max_size=200), st.integers(0, 900))
def test_damaged_bytes_never_escape_as_another_error(
    tmp_path_factory: Any, junk: bytes, at: int
) -> None:
    path = tmp_path_factory.mktemp("junk") / "bar.bar.json"
    whole = json.dumps(CONTRACT).encode()
    path.write_bytes(whole[:at] + junk + whole[at:])
    with contextlib.suppress(FileError):
        read_bar_file(path)


def test_cancelled_entries_do_not_count() -> None:
    bar = document().with_entries(
        Reading(hz=(600.0,)),
        CutMade(entries=(EndsCut(length_mm=2.0),)),
        Cancellation(entry=2),
        CutMade(entries=(PocketCut(start_mm=100.0, end_mm=300.0, depth_mm=4.0),)),
    )
    assert [entry.id for entry in bar.log] == [1, 2, 3, 4]
    assert [cut.id for cut in bar.cuts] == [4]
    assert [reading.id for reading in bar.readings] == [1]


def test_every_length_and_frequency_in_the_schema_says_its_unit() -> None:
    schema = file_schemas()["bar"]
    parts = [schema, *schema["$defs"].values()]
    numbers = {
        name
        for part in parts
        for name, field in part.get("properties", {}).items()
        if '"number"' in json.dumps(field)
    }
    units = (
        "_mm",
        "_g",
        "_kg_m3",
        "_gpa",
        "hz",
        "_cents",
        "_c",
        "_percent",
        "_s",
        "_db",
        "_degrees",
    )
    pure = {"nu_long_width", "nu_long_thick", "nu_width_thick", "ratios", "fullness"}
    assert {name for name in numbers if not name.endswith(units)} == pure


def test_document_cannot_be_changed_in_place() -> None:
    bar = document()
    with pytest.raises(ValueError, match="frozen"):
        bar.name = "other"
    assert isinstance(bar.changed(name="other"), BarDocument)


@pytest.mark.parametrize(
    ("part", "field", "value"),
    [
        ("blank", "length_mm", 5e-324),
        ("blank", "width_mm", 1e300),
        ("blank", "mass_g", 1e-300),
        ("wood", "e_long_gpa", 1e308),
        ("wood", "density_kg_m3", 5e-324),
        ("wood", "nu_long_thick", 1e300),
    ],
)
def test_numbers_no_bar_has_are_refused_before_they_overflow(
    tmp_path: Any, part: str, field: str, value: float
) -> None:
    changed = {part: CONTRACT[part] | {field: value}}
    assert f"{part}.{field}: " in refusal(tmp_path, json.dumps(content(**changed)))


def test_a_target_that_cannot_be_is_refused_before_anything_is_recorded(tmp_path: Any) -> None:
    changed = {"target": CONTRACT["target"] | {"note": "x"}}
    assert "target: note 'x' is not known" in refusal(tmp_path, json.dumps(content(**changed)))


@pytest.mark.parametrize("name", ["a\nb", "a\x1b[31m", "a\0", "", "a" * 201, "a\u2028b", "a\u0085"])
def test_names_that_steer_a_terminal_or_break_a_drawing_are_refused(
    tmp_path: Any, name: str
) -> None:
    assert "name: " in refusal(tmp_path, json.dumps(content(name=name)))


@pytest.mark.parametrize("name", ["木琴 3", "e\u0301", "بار", "👩\u200d🔧", "a/b", "$x_{$", "#1"])
def test_names_in_any_script_are_kept(name: str) -> None:
    assert json.loads(document_text(document(name=name)))["name"] == name


def test_a_remark_may_have_lines() -> None:
    assert Reading(hz=(300.0,), remark="one\n\ttwo").remark == "one\n\ttwo"
    with pytest.raises(ValueError, match="no letter"):
        Reading(hz=(300.0,), remark="\x1b[2J")
