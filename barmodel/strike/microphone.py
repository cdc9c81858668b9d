"""Recording at the bench, through the optional extra `mic`."""

from __future__ import annotations

import numpy as np

from barmodel.errors import InputError, MissingExtraError, RecordingError
from barmodel.strike.records import Recording

RATE_HZ = 48000.0
LONGEST_S = 60.0
"""Longest recording taken. [s]"""


def record(seconds: float) -> Recording:
    """Record one channel from the default microphone.

    Parameters
    ----------
    seconds : float
        How long, at most a minute. [s]

    Raises
    ------
    InputError
        If the time makes no sense.
    MissingExtraError
        If the extra `mic`, or the sound library it needs, is not installed.
    RecordingError
        If there is no microphone or it cannot be used.
    """
    if not 0.1 <= seconds <= LONGEST_S:
        raise InputError(
            f"recording for {seconds:g} s is not possible; ask for 0.1 to {LONGEST_S:g} s"
        )
    try:
        import sounddevice
    except (ImportError, OSError):  # OSError: the package is there, its sound library is not
        raise MissingExtraError(
            "recording needs the extra `mic`: pip install 'barmodel[mic]' (and the system's "
            "PortAudio library); or record with any program and give the WAV file"
        ) from None
    try:
        samples = sounddevice.rec(
            int(seconds * RATE_HZ), samplerate=RATE_HZ, channels=1, dtype="float32"
        )
        sounddevice.wait()
    except sounddevice.PortAudioError as error:
        raise RecordingError(
            f"no microphone can be used ({error}); plug one in, or give a WAV file"
        ) from None
    return Recording(np.asarray(samples, dtype=float).T, RATE_HZ, name="microphone")
