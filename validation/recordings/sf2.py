"""Read the samples of a SoundFont 2 file: just enough to take recorded bars out of it.

RIFF `sfbk`: the list `sdta` holds one chunk `smpl` of 16-bit samples, the list `pdta` a chunk
`shdr` of 46-byte records (name, start, end, loop, rate, key …). SoundFont Technical
Specification 2.04, section 7.10; from memory.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

_RECORD = struct.Struct("<20s5IBbHH")


@dataclass(frozen=True, slots=True)
class Sample:
    """One recorded sample: full scale 1, and its rate. [Hz]"""

    name: str
    rate: float
    samples: NDArray[np.float64]


def read_samples(path: Path, names: set[str]) -> dict[str, Sample]:
    """Read the named samples of a file; names not in it are absent."""
    chunks = dict(_chunks(path))
    start, _ = chunks[b"smpl"]
    place, size = chunks[b"shdr"]
    found = {}
    with path.open("rb") as stream:
        stream.seek(place)
        headers = stream.read(size)
        for record in _RECORD.iter_unpack(headers[: size - size % _RECORD.size]):
            name = record[0].split(b"\0")[0].decode("latin1")
            if name not in names:
                continue
            first, last, rate = record[1], record[2], record[5]
            stream.seek(start + 2 * first)
            raw = stream.read(2 * (last - first))
            found[name] = Sample(name, float(rate), np.frombuffer(raw, dtype="<i2") / 32768.0)
    return found


def _chunks(path: Path) -> list[tuple[bytes, tuple[int, int]]]:
    """Every chunk that is not a list, with its place and size."""
    found = []
    total = path.stat().st_size
    with path.open("rb") as stream:
        place = 12
        while place + 8 <= total:
            stream.seek(place)
            kind, size = struct.unpack("<4sI", stream.read(8))
            if kind == b"LIST":
                place += 12
                continue
            found.append((kind, (place + 8, size)))
            place += 8 + size + (size & 1)
    return found
