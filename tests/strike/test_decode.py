"""Every depth and kind of file gives the same sound; every broken one a reason."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.io import wavfile

from barmodel.errors import MissingExtraError, RecordingError
from barmodel.strike import decode, read_recording
from tests.strike.made_up import RATE, ring

WAVE = ring(0.1)


def wav(
    samples: np.ndarray,
    *,
    bits: int,
    tag: int = 1,
    channels: int = 1,
    rate: int = 48000,
    order: str = "<",
    extensible: bool = False,
    promised: int | None = None,
) -> bytes:
    """A WAV file made by hand, so that the reader is not tested against its own writer."""
    if tag == 3:
        body = samples.astype(f"{order}f{bits // 8}").tobytes()
    elif bits == 8:
        body = np.round(samples * 127 + 128).astype("u1").tobytes()
    elif bits == 24:
        whole = np.round(samples * (2**23 - 1)).astype(">i4" if order == ">" else "<i4")
        raw = whole.tobytes()
        rows = np.frombuffer(raw, "u1").reshape(-1, 4)
        body = (rows[:, 1:] if order == ">" else rows[:, :3]).tobytes()
    else:
        body = np.round(samples * (2 ** (bits - 1) - 1)).astype(f"{order}i{bits // 8}").tobytes()
    frame = channels * bits // 8
    form = struct.pack(
        order + "HHIIHH", 0xFFFE if extensible else tag, channels, rate, rate * frame, frame, bits
    )
    if extensible:
        guid = b"\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x008\x9bq"
        form += struct.pack(order + "HHI", 22, bits, 4) + struct.pack(order + "H", tag) + guid
    size = len(body) if promised is None else promised
    chunks = b"WAVE" + b"fmt " + struct.pack(order + "I", len(form)) + form
    chunks += b"LIST" + struct.pack(order + "I", 3) + b"abc\0"
    chunks += b"data" + struct.pack(order + "I", size) + body
    return (b"RIFX" if order == ">" else b"RIFF") + struct.pack(order + "I", len(chunks)) + chunks


@pytest.mark.parametrize(
    ("options", "step"),
    [
        ({"bits": 8}, 1 / 100),
        ({"bits": 16}, 1e-4),
        ({"bits": 16, "order": ">"}, 1e-4),
        ({"bits": 16, "extensible": True}, 1e-4),
        ({"bits": 24}, 1e-6),
        ({"bits": 24, "extensible": True}, 1e-6),
        ({"bits": 32}, 1e-8),
        ({"bits": 32, "tag": 3}, 1e-7),
        ({"bits": 64, "tag": 3}, 1e-12),
        ({"bits": 32, "tag": 3, "extensible": True}, 1e-7),
    ],
)
def test_every_depth_holds_the_same_sound(
    tmp_path: Path, options: dict[str, object], step: float
) -> None:
    path = tmp_path / "bar.wav"
    path.write_bytes(wav(WAVE, **options))
    found = read_recording(path)
    assert found.rate == RATE
    assert np.abs(found.samples[0] - WAVE).max() < step
    assert len(found.digest) == 64


def test_channels_are_rows(tmp_path: Path) -> None:
    path = tmp_path / "two.wav"
    wavfile.write(path, 44100, np.stack([WAVE, -WAVE], axis=1).astype("f4"))
    assert np.allclose(read_recording(path).samples[1], -WAVE, atol=1e-6)


def test_torn_file_is_used_as_far_as_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "torn.wav"
    path.write_bytes(wav(WAVE, bits=16)[: 44 + 12 + 2 * 2000 + 1])
    found = read_recording(path)
    assert 1900 < found.samples.shape[1] <= 2000
    assert [c.code for c in found.cautions] == ["truncated"]


@pytest.mark.parametrize("promised", [0, 0xFFFFFFFF])
def test_streamed_file_without_a_length(tmp_path: Path, promised: int) -> None:
    path = tmp_path / "streamed.wav"
    path.write_bytes(wav(WAVE, bits=16, promised=promised))
    assert read_recording(path).samples.shape[1] == WAVE.size


@pytest.mark.parametrize(
    ("content", "word"),
    [
        (b"", "empty"),
        (b"RIFF\x00\x00\x00\x00WAVE", "no sound"),
        (wav(WAVE, bits=16, rate=0), "0 Hz"),
        (wav(WAVE, bits=16, channels=0), "cannot be"),
        (wav(WAVE, bits=8, tag=7), "µ-law"),
        (wav(WAVE[:0], bits=16), "no samples"),
        (b"a letter to the maker", "not a"),
    ],
)
def test_broken_files_give_a_reason(tmp_path: Path, content: bytes, word: str) -> None:
    path = tmp_path / "bad.wav"
    path.write_bytes(content)
    with pytest.raises(RecordingError, match=word):
        read_recording(path)


def test_folder_and_missing_file(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="folder"):
        read_recording(tmp_path)
    with pytest.raises(RecordingError, match="no such file"):
        read_recording(tmp_path / "none.wav")
    with pytest.raises(RecordingError):
        read_recording("x" * 5000 + "\0.wav")


def test_gigabyte_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "huge.wav"
    with path.open("wb") as stream:
        stream.write(wav(WAVE, bits=16, promised=0xFFFFFFFF))
        stream.truncate(2**30)  # sparse: takes no room
    with pytest.raises(RecordingError, match="MB"):
        read_recording(path)


def test_long_recording_is_refused_by_its_header(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(decode, "MOST_SAMPLES", 1000)
    path = tmp_path / "long.wav"
    path.write_bytes(wav(WAVE, bits=16))
    with pytest.raises(RecordingError, match="samples"):
        read_recording(path)


def test_flac_through_the_extra_and_without_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    soundfile = pytest.importorskip("soundfile")
    path = tmp_path / "bar.flac"
    soundfile.write(path, WAVE, 48000)
    assert np.abs(read_recording(path).samples[0] - WAVE).max() < 1e-4

    def absent(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(decode.importlib, "import_module", absent)
    with pytest.raises(MissingExtraError, match="'audio'"):
        read_recording(path)


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_random_bytes_give_a_recording_or_a_reason(tmp_path: Path, data: st.DataObject) -> None:
    whole = wav(WAVE[:64], bits=16, extensible=data.draw(st.booleans()))
    start = data.draw(st.sampled_from([b"", b"RIFF", whole[:12], whole[:40], whole[:60], whole]))
    content = bytearray(start + data.draw(st.binary(max_size=200)))
    for _ in range(data.draw(st.integers(0, 4))):
        if content:
            content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    path = tmp_path / "fuzz.wav"
    path.write_bytes(io.BytesIO(content).getvalue())
    try:
        found = read_recording(path)
    except (RecordingError, MissingExtraError):
        return
    assert np.all(np.isfinite(found.samples))
