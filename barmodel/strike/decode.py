"""Read a sound file into samples, in bounded memory, with a reason when it cannot be.

WAV of any PCM or float depth goes through scipy; FLAC, OGG, AIFF and MP3 through the optional
package `soundfile` (extra `audio`). Sizes are checked before anything is read.
"""

from __future__ import annotations

import hashlib
import importlib
import io
import warnings
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import MissingExtraError, RecordingError
from barmodel.strike.records import Caution, Recording
from barmodel.strike.riff import clean_copy, find_sound, is_riff

LARGEST_FILE = 200_000_000
"""A file beyond this is not read. [bytes]"""
MOST_SAMPLES = 16_000_000
"""Samples over all channels; 5 minutes of 48 kHz mono fit. [-]"""
_ADVICE = "cut out the strikes (a few seconds) and save those"


def read_recording(path: str | Path) -> Recording:
    """Read a sound file.

    Parameters
    ----------
    path : str or Path
        WAV, or with the extra `audio` also FLAC, OGG, AIFF or MP3.

    Returns
    -------
    Recording
        Samples at full scale 1, one row per channel.

    Raises
    ------
    RecordingError
        If the path is not a readable sound file, or holds more than a few minutes.
    MissingExtraError
        If the file needs `soundfile` and it is not installed.
    """
    path = Path(path)
    size = _checked_size(path)
    try:
        with path.open("rb") as stream:
            head = stream.read(16)
    except OSError as error:
        raise RecordingError(f"{path}: cannot be read ({error.strerror}); check it") from error
    if is_riff(head):
        rate, samples, cautions = _read_wav(path, size)
    else:
        rate, samples = _read_other(path, head)
        cautions = ()
    return _checked(path, rate, samples, cautions)


def _checked_size(path: Path) -> int:
    try:
        if path.is_dir():
            raise RecordingError(f"{path}: is a folder; name the sound files in it")
        if not path.exists():
            raise RecordingError(f"{path}: there is no such file; check the name")
        if not path.is_file():
            raise RecordingError(f"{path}: is not a file; save the recording first")
        size = path.stat().st_size
    except RecordingError:  # an OSError too, and it says all there is to say
        raise
    except (OSError, ValueError) as error:
        raise RecordingError(f"{path!s:.200}: cannot be read ({error}); check the name") from error
    if size == 0:
        raise RecordingError(f"{path}: is empty; record the strike again")
    if size > LARGEST_FILE:
        raise RecordingError(
            f"{path}: has {size / 1e6:.0f} MB; at most {LARGEST_FILE / 1e6:.0f} MB are read, so "
            f"that a stray file cannot fill the memory; {_ADVICE}"
        )
    return size


def _read_wav(path: Path, size: int) -> tuple[float, NDArray[Any], tuple[Caution, ...]]:
    from scipy.io import wavfile

    with path.open("rb") as stream:
        sound = find_sound(stream, file_bytes=size, name=str(path))
    frames = sound.size // sound.frame_bytes
    if frames == 0:
        raise RecordingError(f"{path}: the WAV file holds no samples; record the strike again")
    _check_amount(path, frames * sound.channels)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            rate, samples = wavfile.read(io.BytesIO(clean_copy(path, sound)))
    except ValueError as error:
        raise RecordingError(
            f"{path}: the WAV file cannot be decoded ({error}); export it as PCM, 16 or 24 bit"
        ) from error
    cautions: tuple[Caution, ...] = ()
    if sound.promised > sound.size:
        missing = 100 * (1 - sound.size / sound.promised)
        cautions = (
            Caution(
                "truncated",
                f"{path.name} ends early: {missing:.0f} % of the sound its header promises is "
                "missing; what is there was used",
            ),
        )
    return float(rate), samples, cautions


def _read_other(path: Path, head: bytes) -> tuple[float, NDArray[Any]]:
    try:
        soundfile = importlib.import_module("soundfile")
    except (ImportError, OSError) as error:
        if _looks_compressed(head):
            raise MissingExtraError(
                f"{path}: only WAV files are read without the extra 'audio'; "
                "pip install 'barmodel[audio]', or save the recording as WAV"
            ) from error
        raise RecordingError(
            f"{path}: is not a WAV file; save the recording as WAV (other kinds of sound file "
            "need the extra 'audio')"
        ) from error
    try:
        info = soundfile.info(str(path))
        _check_amount(path, int(info.frames) * int(info.channels))
        samples, rate = soundfile.read(
            str(path), dtype="float64", always_2d=True, frames=int(info.frames)
        )
    except (RuntimeError, OSError, TypeError) as error:  # all that soundfile raises
        raise RecordingError(
            f"{path}: is not a sound file that can be read ({error}); save the recording as WAV"
        ) from error
    return float(rate), samples


def _looks_compressed(head: bytes) -> bool:
    known = (b"fLaC", b"OggS", b"FORM", b"ID3", b"\xff\xfb", b"\xff\xf3", b"\xff\xf2", b"caff")
    return head.startswith(known)


def _check_amount(path: Path, samples: int) -> None:
    if samples > MOST_SAMPLES:
        raise RecordingError(
            f"{path}: holds {samples / 1e6:.0f} million samples; at most "
            f"{MOST_SAMPLES / 1e6:.0f} million are read; {_ADVICE}"
        )


def _checked(
    path: Path, rate: float, samples: NDArray[Any], cautions: tuple[Caution, ...]
) -> Recording:
    scaled = _full_scale(samples)
    if scaled.size == 0:
        raise RecordingError(f"{path}: holds no samples; record the strike again")
    bad = ~np.isfinite(scaled)
    if bad.any():
        scaled = np.where(bad, 0.0, scaled)
        text = f"{path.name}: {int(bad.sum())} samples are not numbers and were taken as silence"
        cautions = (*cautions, Caution("damaged", text))
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    return Recording(
        np.clip(scaled, -1e6, 1e6).T, rate=rate, name=path.name, digest=digest, cautions=cautions
    )


def _full_scale(samples: NDArray[Any]) -> NDArray[np.float64]:
    """Bring any integer or float samples to full scale 1, frames along the first axis."""
    if samples.ndim == 1:
        samples = samples[:, None]
    if samples.dtype.kind == "u":
        half = float(2 ** (8 * samples.dtype.itemsize - 1))
        return (samples.astype(float) - half) / half
    if samples.dtype.kind == "i":
        return samples.astype(float) / float(2 ** (8 * samples.dtype.itemsize - 1))
    with np.errstate(invalid="ignore", over="ignore"):
        return samples.astype(float)
