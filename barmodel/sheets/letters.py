"""The letters of the sheets: how wide they are, and a font file of only those that were used.

Two faces of DejaVu Sans, which comes with matplotlib and may be embedded freely.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from matplotlib import get_data_path
from matplotlib.ft2font import FT2Font, LoadFlags

FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
ASCENT, DESCENT, CAPITAL = 0.76, 0.24, 0.73
"""Reach of letters over and under the line they stand on, and height of figures. [em]"""
PER_EM = 1000.0
"""Widths in a PDF count in thousandths of the size of the type."""
NEEDED = (b"cvt ", b"fpgm", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp", b"prep")
"""What a PDF reader uses of a TrueType file (ISO 32000-1:2008, 9.9, from memory)."""

_MORE, _WORDS, _SCALE, _TWO_SCALES, _MATRIX = 0x20, 0x01, 0x08, 0x40, 0x80
"""Flags of a letter put together from others (TrueType reference, table glyf, from memory)."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """One letter of a face: its number there and how far it moves the pen. [1], [1/1000 em]"""

    number: int
    advance: float


@cache
def _face(bold: bool) -> FT2Font:
    face = FT2Font(str(_path(bold)))
    face.set_size(PER_EM, 72.0)
    return face


def _path(bold: bool) -> Path:
    return Path(get_data_path()) / "fonts" / "ttf" / FILES[bold]


@cache
def glyph_of(letter: str, bold: bool) -> Glyph:
    """Look up one letter; what the face does not have becomes its empty box."""
    face = _face(bold)
    number = face.get_char_index(ord(letter))
    drawn = face.load_glyph(number, flags=LoadFlags.NO_HINTING)
    return Glyph(int(number), float(drawn.linearHoriAdvance) / 65536.0)


def width_in_ems(words: str, bold: bool) -> float:
    """Width of words over the size of the type; kerning is left out. [1]

    Examples
    --------
    >>> round(width_in_ems("mm", False), 3)
    1.948
    """
    return sum(glyph_of(letter, bold).advance for letter in words) / PER_EM


def font_file(bold: bool, glyphs: set[int]) -> bytes:
    """TrueType file with the outlines of some glyphs only; numbers stay as they are."""
    data = _path(bold).read_bytes()
    tables = _tables(data)
    long = struct.unpack_from(">h", tables[b"head"], 50)[0] == 1
    count = struct.unpack_from(">H", tables[b"maxp"], 4)[0] + 1
    places = struct.unpack_from(f">{count}{'L' if long else 'H'}", tables[b"loca"])
    starts = [place if long else 2 * place for place in places]
    outlines = tables[b"glyf"]
    kept = _with_parts(outlines, starts, {0} | glyphs)
    body, loca = bytearray(), [0]
    for number in range(count - 1):
        if number in kept:
            body += outlines[starts[number] : starts[number + 1]]
            body += b"\0" * (-len(body) % 4)
        loca.append(len(body))
    tables[b"glyf"] = bytes(body)
    tables[b"loca"] = struct.pack(f">{count}L", *loca)
    head = bytearray(tables[b"head"])
    struct.pack_into(">L", head, 8, 0)  # the checksum of the old file
    struct.pack_into(">h", head, 50, 1)
    tables[b"head"] = bytes(head)
    return _joined({tag: tables[tag] for tag in NEEDED if tag in tables})


def _tables(data: bytes) -> dict[bytes, bytes]:
    found = {}
    for index in range(struct.unpack_from(">H", data, 4)[0]):
        tag, _, start, length = struct.unpack_from(">4sLLL", data, 12 + 16 * index)
        found[tag] = data[start : start + length]
    return found


def _with_parts(outlines: bytes, starts: list[int], wanted: set[int]) -> set[int]:
    """Glyphs wanted and those they are put together from."""
    found, waiting = set(), list(wanted)
    while waiting:
        number = waiting.pop()
        if number in found:
            continue
        found.add(number)
        at = starts[number]
        if starts[number + 1] > at and struct.unpack_from(">h", outlines, at)[0] < 0:
            waiting += _parts(outlines, at + 10)
    return found


def _parts(outlines: bytes, at: int) -> list[int]:
    parts, flags = [], _MORE
    while flags & _MORE:
        flags, number = struct.unpack_from(">HH", outlines, at)
        parts.append(number)
        at += 8 if flags & _WORDS else 6
        at += 2 if flags & _SCALE else 4 if flags & _TWO_SCALES else 8 if flags & _MATRIX else 0
    return parts


def _joined(tables: dict[bytes, bytes]) -> bytes:
    """One font file of some tables, in the order of their tags."""
    count = len(tables)
    power = 1 << (count.bit_length() - 1)
    head = struct.pack(">LHHHH", 0x00010000, count, 16 * power, power.bit_length() - 1,
                       16 * (count - power))  # fmt: skip
    start, directory, body = 12 + 16 * count, b"", b""
    for tag, table in tables.items():
        padded = table + b"\0" * (-len(table) % 4)
        total = sum(struct.unpack(f">{len(padded) // 4}L", padded)) & 0xFFFFFFFF
        directory += struct.pack(">4sLLL", tag, total, start + len(body), len(table))
        body += padded
    return head + directory + body
