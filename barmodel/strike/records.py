"""Records of a strike, from the samples of a file to the modes of a bar.

Plain frozen data, in the order in which they arise: `Recording` (samples), `Strike` (a stretch of
it), `Partial` (one decaying line), `Expected` (a mode the caller predicts), `Mode` (a line with a
name), `Caution` (what went wrong, in plain words) and `Hearing` (all of it). `as_json` turns a
hearing into a dictionary of numbers and strings.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import InputError, RecordingError

Samples = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Recording:
    """Sound pressure as a file held it, one row per channel, full scale 1.

    Parameters
    ----------
    samples : ndarray, shape (channels, frames)
        The signal; full scale is 1. [-]
    rate : float
        Samples per second. [Hz]
    name : str
        What to call it in messages, usually the file's name.
    digest : str
        SHA-256 of the file, hexadecimal; empty when not read from a file.
    cautions : tuple of Caution
        What the reader of the file had to repair.
    """

    samples: Samples
    rate: float
    name: str = "recording"
    digest: str = ""
    cautions: tuple[Caution, ...] = ()

    def __post_init__(self) -> None:
        samples = np.array(self.samples, dtype=float, ndmin=2)
        if not (np.isfinite(self.rate) and self.rate > 0):
            raise RecordingError(
                f"{self.name}: the sample rate is {self.rate:g} Hz; it must be positive, or no "
                "frequency can be read; export the recording again as 48 kHz WAV"
            )
        if samples.ndim != 2 or samples.shape[1] == 0:
            raise RecordingError(f"{self.name}: holds no samples; record the strike again")
        samples.setflags(write=False)
        object.__setattr__(self, "samples", samples)

    @property
    def seconds(self) -> float:
        """Length of the recording. [s]"""
        return float(self.samples.shape[1] / self.rate)


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing a maker should know about a recording.

    Parameters
    ----------
    code : str
        Short fixed word, for programs: `clipping`, `hum`, `double hit`, …
    text : str
        What was found, why it matters and what to do, in plain words.
    """

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Strike:
    """A stretch of a recording in which one blow rings.

    Parameters
    ----------
    file : str
        The recording's name.
    start_s, end_s : float
        The stretch analysed, from just after the blow to the next blow or the end. [s]
    peak : float
        Largest sample of the stretch, full scale 1. [-]
    partials : tuple of Partial
        Lines found in this strike alone, from low to high.
    """

    file: str
    start_s: float
    end_s: float
    peak: float
    partials: tuple[Partial, ...] = ()


@dataclass(frozen=True, slots=True)
class Partial:
    """One decaying line: a·exp(−t/τ)·cos(2π f t + φ).

    Parameters
    ----------
    hz : float
        Frequency f. [Hz]
    standard_error_cents : float
        Standard error of the bar's frequency: of the fits, and of how much strikes differ. [cents]
    uncertainty_cents : float
        Half of the 95 % interval of the frequency. [cents]
    level_db : float
        Level at the blow relative to the strongest line. [dB]
    decay_s : float or None
        Time τ in which the amplitude falls to 1/e; None when it does not fall. [s]
    decay_error_s : float or None
        Standard error of the decay time. [s]
    snr_db : float
        Amplitude over its standard error. [dB]
    strikes : int
        Number of strikes in which it was found.
    steady : bool
        True when the line sounds before the blow or does not fade: hum or the room, not the bar.
    drift_cents : float or None
        Frequency early minus late in the ring; None when it cannot be told. [cents]
    """

    hz: float
    standard_error_cents: float
    uncertainty_cents: float
    level_db: float
    decay_s: float | None
    decay_error_s: float | None
    snr_db: float
    strikes: int = 1
    steady: bool = False
    drift_cents: float | None = None

    @property
    def quality(self) -> float | None:
        """Quality factor Q = π f τ. [-]"""
        return None if self.decay_s is None else float(np.pi * self.hz * self.decay_s)


@dataclass(frozen=True, slots=True)
class Expected:
    """A mode predicted for this bar.

    Parameters
    ----------
    kind : str
        `bending`, `torsional`, `lateral` or `axial`.
    number : int
        Counted from 1 within its kind.
    hz : float
        Predicted frequency. [Hz]
    standard_error_cents : float
        Uncertainty of this one prediction, apart from what all modes share. [cents]
    amplitude : float
        How strongly this blow and hold should bring the mode out, 1 = fully, 0 = not at all. [-]
    """

    kind: str
    number: int
    hz: float
    standard_error_cents: float = 50.0
    amplitude: float = 1.0

    def __post_init__(self) -> None:
        if not (np.isfinite(self.hz) and self.hz > 0):
            raise InputError(
                f"expected {self.kind} mode {self.number}: frequency {self.hz} Hz must be positive"
            )
        if not self.standard_error_cents > 0:
            raise InputError(
                f"expected {self.kind} mode {self.number}: the standard error "
                f"{self.standard_error_cents} cents must be positive; no prediction is exact"
            )


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another reading of the same line, or another line for the same mode.

    Parameters
    ----------
    text : str
        In words.
    hz : float
        Of the line. [Hz]
    probability : float
        [1]
    predicted_hz : float, optional
        Of the mode that the line would be instead. [Hz]
    """

    text: str
    hz: float
    probability: float
    predicted_hz: float | None = None


@dataclass(frozen=True, slots=True)
class Mode:
    """A line with a name.

    Parameters
    ----------
    kind, number : str, int
        As in `Expected`.
    hz, standard_error_cents, uncertainty_cents, level_db, decay_s
        As in `Partial`.
    confidence : float
        Probability that the name is right, as far as the data tell. [-]
    predicted_hz : float or None
        What was expected, when a prediction was given. [Hz]
    alternatives : tuple of Alternative
        Rival readings, the likeliest first.
    """

    kind: str
    number: int
    hz: float
    standard_error_cents: float
    uncertainty_cents: float
    level_db: float
    decay_s: float | None
    confidence: float
    predicted_hz: float | None = None
    alternatives: tuple[Alternative, ...] = ()


@dataclass(frozen=True, slots=True)
class Hearing:
    """What was heard in one or several recordings of the same bar.

    Parameters
    ----------
    partials : tuple of Partial
        All lines, combined over strikes, from low to high.
    modes : tuple of Mode
        The lines that could be named, bending modes first.
    pattern : str
        The kind of bar the names rest on: `prediction`, `blank`, `tuned 1:4:10`, …, or `none`.
    warnings : tuple of Caution
        What to know before trusting the numbers.
    strikes : tuple of Strike
        The strikes used, with their own lines.
    rates : tuple of float
        Sample rate of each recording. [Hz]
    """

    partials: tuple[Partial, ...]
    modes: tuple[Mode, ...]
    pattern: str
    warnings: tuple[Caution, ...]
    strikes: tuple[Strike, ...] = ()
    rates: tuple[float, ...] = field(default_factory=tuple)

    def mode(self, number: int) -> Mode | None:
        """Return a bending mode by its number, or None when it was not found."""
        found = (m for m in self.modes if m.kind == "bending" and m.number == number)
        return next(found, None)


def as_json(hearing: Hearing) -> dict[str, Any]:
    """Turn a hearing into plain dictionaries, lists, strings and numbers.

    Frequencies are in hertz, times in seconds, levels in decibels below the strongest line;
    `uncertainty_cents` is half of the 95 % interval.
    """
    data: dict[str, Any] = asdict(hearing)
    for partial, record in zip(data["partials"], hearing.partials, strict=True):
        partial["quality"] = record.quality
    return data
