"""Find the sound inside a RIFF file without trusting its sizes.

The chunk list is walked with every length checked against the file, so a torn or lying header
costs a message, not memory. What is kept is rebuilt as a clean file for `scipy.io.wavfile`.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from barmodel.errors import RecordingError

_MOST_CHUNKS = 1000
_FORMATS = {0x0001: "PCM", 0x0003: "float", 0xFFFE: "extensible"}
_COMPRESSED = {0x0002: "ADPCM", 0x0006: "A-law", 0x0007: "µ-law", 0x0011: "ADPCM", 0x0055: "MP3"}


@dataclass(frozen=True, slots=True)
class RiffSound:
    """Where the sound of a RIFF file lies and what it is made of.

    Parameters
    ----------
    big_endian : bool
        True for RIFX.
    format_chunk : bytes
        Body of the `fmt ` chunk, as found.
    channels, rate, frame_bytes, bits : int
        From that chunk. [-, Hz, bytes, bits]
    start, size : int
        Place of the samples in the file, and the bytes really there. [bytes]
    promised : int
        Bytes the header promises. [bytes]
    """

    big_endian: bool
    format_chunk: bytes
    channels: int
    rate: int
    frame_bytes: int
    bits: int
    start: int
    size: int
    promised: int


def is_riff(head: bytes) -> bool:
    """Tell from its first bytes whether a file is RIFF, RIFX or RF64 sound."""
    return head[:4] in (b"RIFF", b"RIFX", b"RF64") and head[8:12] == b"WAVE"


def find_sound(stream: BinaryIO, *, file_bytes: int, name: str) -> RiffSound:
    """Walk the chunks of an open RIFF file.

    Parameters
    ----------
    stream : file opened for reading bytes
        Placed anywhere.
    file_bytes : int
        Length of the file. [bytes]
    name : str
        For messages.

    Returns
    -------
    RiffSound
        Format and place of the sound.

    Raises
    ------
    RecordingError
        If there is no format, no sound, or a kind of sound that is not read here.
    """
    stream.seek(0)
    big = stream.read(12)[:4] == b"RIFX"
    order = ">" if big else "<"
    position, form = 12, b""
    for _ in range(_MOST_CHUNKS):
        stream.seek(position)
        head = stream.read(8)
        if len(head) < 8:
            break
        kind, size = head[:4], struct.unpack(order + "I", head[4:])[0]
        body = position + 8
        if kind == b"fmt ":
            form = stream.read(min(size, 64))
        elif kind == b"data":
            # writers that stream put 0 or 0xFFFFFFFF here; RF64 keeps the true size elsewhere
            open_ended = size in (0, 0xFFFFFFFF)
            there = max(file_bytes - body, 0) if open_ended else min(size, file_bytes - body)
            return _described(form, order, body, there, there if open_ended else size, name)
        position = body + size + (size & 1)
    raise RecordingError(
        f"{name}: the WAV file holds no sound (no data chunk); it was probably torn while "
        "copying; copy it again"
    )


def _described(
    form: bytes, order: str, start: int, size: int, promised: int, name: str
) -> RiffSound:
    if len(form) < 16:
        raise RecordingError(f"{name}: the WAV header is damaged (no format); export it again")
    tag, channels, rate, _, block, bits = struct.unpack(order + "HHIIHH", form[:16])
    if tag not in _FORMATS:
        kind = _COMPRESSED.get(tag, f"format {tag:#06x}")
        raise RecordingError(
            f"{name}: the WAV file holds {kind} sound, which is compressed or unknown and blurs "
            "frequencies; export it as PCM, 16 or 24 bit"
        )
    if rate == 0:
        raise RecordingError(
            f"{name}: the sample rate is 0 Hz, so no frequency can be read; the header is "
            "damaged: export the recording again"
        )
    if channels == 0 or bits == 0 or block == 0 or block % channels:
        raise RecordingError(
            f"{name}: the WAV header says {channels} channels of {bits} bits in {block} bytes, "
            "which cannot be; export the recording again"
        )
    return RiffSound(order == ">", form, channels, rate, block, bits, start, size, promised)


def clean_copy(path: Path, sound: RiffSound) -> bytes:
    """Read the sound and wrap it in a header that tells the truth."""
    whole = sound.size - sound.size % sound.frame_bytes
    with path.open("rb") as stream:
        stream.seek(sound.start)
        samples = stream.read(whole)
    samples = samples[: len(samples) - len(samples) % sound.frame_bytes]
    order = ">" if sound.big_endian else "<"
    form = sound.format_chunk + b"\0" * (len(sound.format_chunk) & 1)
    pad = b"\0" * (len(samples) & 1)
    body = b"WAVE" + b"fmt " + struct.pack(order + "I", len(form)) + form
    body += b"data" + struct.pack(order + "I", len(samples)) + samples + pad
    return (b"RIFX" if sound.big_endian else b"RIFF") + struct.pack(order + "I", len(body)) + body
