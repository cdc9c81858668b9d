"""Files with something wrong in them: bytes at random, and every field with odd values."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from typing import Any

BAR: dict[str, Any] = {
    "schema": "barmodel/bar/1",
    "name": "G3",
    "blank": {
        "length_mm": 400.0, "width_mm": 60.0, "thickness_mm": 22.0, "mass_g": 400.0, "plank": "P1",
    },
    "wood": {"species": "padauk", "density_kg_m3": 750.0, "e_long_gpa": 12.0, "sawn": "flat"},
    "target": {"note": "G3", "a4_hz": 442.0, "ratios": [1.0, 4.0, 10.0], "offset_cents": 0.0},
    "undercut": [{"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 5.0}],
    "design": [{"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0}],
    "design_target": {"note": "G3", "ratios": [1.0, 4.0]},
    "keep_mm": 3.0,
    "log": [
        {
            "kind": "reading", "id": 1, "date": "2026-03-01", "hz": [520.0, 1300.0, None],
            "standard_error_cents": [1.0, 1.0, None], "temperature_c": 20.0,
            "moisture_percent": 8.5,
            "partials": [{"hz": 520.0, "level_db": -3.0, "decay_s": 0.5}],
            "held_at_mm": [90.0], "sources": [{"name": "a.wav", "sha256": None}],
        },
        {
            "kind": "cut", "id": 2, "date": "2026-03-02 10:00", "tool": "drum",
            "entries": [
                {"shape": "pocket", "start_mm": 100.0, "end_mm": 300.0, "depth_mm": 1.0},
                {"shape": "table", "x_mm": [190.0, 200.0, 210.0], "depth_mm": [0.0, 0.3, 0.0]},
                {"shape": "ends", "left_mm": 0.1, "right_mm": 0.2},
            ],
        },
        {
            "kind": "cut", "id": 3, "date": "2026-03-03", "measured_depth_mm": 0.3,
            "entries": [{"shape": "groove", "at_mm": 150.0, "depth_mm": 0.4, "section": "round",
                         "radius_mm": 30.0, "mirror": True}],
        },
        {"kind": "cancel", "id": 4, "date": "2026-03-03", "entry": 3, "remark": "not cut"},
        {
            "kind": "aim", "id": 5, "date": "2026-03-04",
            "target": {"note": "F#3", "a4_hz": 443.0, "ratios": [1.0, 4.0], "offset_cents": -2.0},
        },
    ],
}  # fmt: skip
"""A bar file that holds a bit of everything. Made up."""
CUT: dict[str, Any] = {
    "schema": "barmodel/cut/1", "bar": "G3", "log_entries": 1, "last_entry": "2026-03-01",
    "entries": BAR["log"][1]["entries"],
}  # fmt: skip
"""A cut file for it."""
SET: dict[str, Any] = {
    "schema": "barmodel/set/1", "name": "made up", "lowest": "F5", "highest": "F#5",
    "a4_hz": 442.0, "ratios": {"F5": [1, 4]}, "stretch_cents": {"F5": 1.0}, "width_mm": {"F5": 40},
    "stock": {"thickness_mm": 20.0, "wood": {"species": "padauk"}, "board_length_mm": 1800.0,
              "board_width_mm": 180.0, "kerf_mm": 3.0, "spare_mm": 10.0},
    "lengths": {"given_mm": {"F5": 250.0}, "along": "notes", "adjust_percent": 30.0},
    "shape": {"family": "arch", "keep_mm": 6.0, "drum_radius_mm": 30.0},
    "rails": {"gap_mm": 8.0, "hole_diameter_mm": 6.4, "lean_naturals": 0.5},
    "room": {"temperature_c": 21.0, "humidity_percent": 50.0},
    "planks": [{"name": "p1", "length_mm": 900.0, "width_mm": 60.0, "thickness_mm": 22.0,
                "mass_g": 900.0, "tap_hz": [111.0, 304.0], "quality_factor": 100.0}],
}  # fmt: skip
CUTTERS: dict[str, Any] = {
    "schema": "barmodel/cutters/1",
    "cutters": {"big": {"kind": "drum", "radius_mm": 32}, "bull": {"kind": "bit", "width_mm": 10}},
}
READINGS = "note,mode1_hz,mode2_hz,mode3_hz\nF3,174.5,698,1746\nF#3,-,740,\nC4,261.6,1046.5,2616\n"
ODD_VALUES: tuple[Any, ...] = (
    None, True, "", "x", 0, -0.0, -1, 5e-324, 1e-300, 1e9, 1.7976931348623157e308, 2**70, [], {},
    [1], [0, 0], [None], "$x_{$", "💥" * 50, "a\u202eb\u0301", "\x1b[2J", "A" * 199, 0.5, 1e4,
    "2026-13-01",
)  # fmt: skip
TOKENS = (
    b"\0", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"nan", b"1e999", b"-", b"9" * 5000, b"[", b"{",
    b"]", b"}", b'"', b"'", b"\n", b"\r\n", b"\r", b",", b"=", b"\\ud800", b"null", b"0x10",
    b"[" * 3000, b"{a=" * 3000, b'"""', b"#", b"-0", b"1e-320", b".", b"a." * 600,
)  # fmt: skip


def toml(value: Any) -> str:
    """A value as TOML, tables in line."""
    if isinstance(value, dict):
        inner = ", ".join(f"{json.dumps(name)} = {toml(item)}" for name, item in value.items())
        return "{" + inner + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value) if isinstance(value, str | bool) or value is None else repr(value)


def toml_text(content: dict[str, Any]) -> str:
    """A whole TOML file."""
    return "".join(f"{json.dumps(name)} = {toml(value)}\n" for name, value in content.items())


def places(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Paths of everything in a document, but for the whole."""
    inner = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in inner:
        yield (*path, key)
        if isinstance(value, dict | list):
            yield from places(value, (*path, key))


def changed(document: dict[str, Any], path: tuple[Any, ...], value: Any) -> dict[str, Any]:
    """A document with one thing in it replaced."""
    out = copy.deepcopy(document)
    node: Any = out
    for key in path[:-1]:
        node = node[key]
    node[path[-1]] = value
    return out


def damaged(data: bytes, chance: random.Random) -> bytes:
    """Bytes with one or two places changed, filled, cut out or doubled."""
    out = bytearray(data)
    for _ in range(chance.randint(1, 2)):
        at = chance.randrange(len(out) + 1)
        end = min(len(out), at + chance.randint(1, 60))
        kind = chance.randrange(6)
        if kind < 3:
            out[at : at + 1] = bytes([chance.randrange(32, 127 if kind else 256)])
        elif kind == 3:
            out[at:at] = chance.choice(TOKENS)
        elif kind == 4:
            del out[at:end]
        else:
            out[at:at] = out[at:end]
    return bytes(out)
