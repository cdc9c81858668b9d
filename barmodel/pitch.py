"""Notes, frequencies, cents, and the target a bar is tuned to.

Equal temperament about A4 (ISO 16:1975 sets 440 Hz; makers choose others). Octaves are counted
in scientific pitch: C4 is middle C, and the number changes between B and C.
"""

from __future__ import annotations

import difflib
import itertools
import math
import re
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmodel.errors import InputError

A4_HZ = 440.0
"""Standard tuning frequency, ISO 16:1975. [Hz]"""
A4_LOWEST_HZ, A4_HIGHEST_HZ = 380.0, 500.0
"""Range in which a tuning frequency is believed; all historical pitches lie inside. [Hz]"""
OCTAVES = range(-2, 11)
"""Octave numbers understood; wider than hearing on both sides."""
SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
MOST_RATIOS = 4
"""A target may tune this many bending modes."""
HIGHEST_RATIO = 1000.0
"""A ratio above is a slip of the pen (own judgement)."""

_LETTER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTAL = {"#": 1, "♯": 1, "b": -1, "♭": -1, "x": 2, "𝄪": 2, "𝄫": -2}
_NOTE = re.compile(r"([A-Ga-g])([#♯b♭x𝄪𝄫]{0,2})\s*([-−]?\d{1,2})")
_GERMAN = re.compile(r"([Hh]|[A-Ga-gHh]is|[CDFGcdfgh]es|[EeAa]s)\s*(-?\d{1,2})")
_FLAT_NAMES = ("Db", "Eb", "Gb", "Ab", "Bb")
_A4_SEMITONE = 57  # counted from C0


def note_semitone(name: str) -> int:
    """Read a note name as equal-tempered semitones above C0.

    Parameters
    ----------
    name : str
        Letter, accidentals, octave: `C3`, `d#3`, `E♭3`, `Fx4`, `C-1`. The octave belongs to the
        letter, so Cb4 sounds as B3.

    Raises
    ------
    InputError
        If the name is not a note; the nearest names are offered.

    Examples
    --------
    >>> note_semitone("A4"), note_semitone("Cb4") == note_semitone("B3")
    (57, True)
    """
    match = _NOTE.fullmatch(name.strip())
    if match is None:
        raise InputError(_unknown_note(name))
    octave = int(match[3].replace("−", "-"))
    if octave not in OCTAVES:
        raise InputError(
            f"note {name!r}: octave {octave} is outside hearing; "
            f"use octaves {OCTAVES[0]} to {OCTAVES[-1]} (C4 is middle C)"
        )
    return _LETTER[match[1].upper()] + sum(_ACCIDENTAL[a] for a in match[2]) + 12 * octave


def note_hz(name: str, *, a4_hz: float = A4_HZ) -> float:
    """Frequency of a note in equal temperament, a4_hz · 2^(n/12). [Hz]

    Parameters
    ----------
    name : str
        Note name as `note_semitone` reads it.
    a4_hz : float
        Tuning frequency of A4, 380 to 500. [Hz]

    Raises
    ------
    InputError
        If the name is not a note or the tuning frequency is out of range.

    Examples
    --------
    >>> round(note_hz("C3"), 5)
    130.81278
    """
    return check_a4(a4_hz) * float(2.0 ** ((note_semitone(name) - _A4_SEMITONE) / 12))


def note_of(semitone: int) -> str:
    """Name a semitone above C0, with sharps.

    Examples
    --------
    >>> note_of(41), note_of(57)
    ('F3', 'A4')
    """
    octave, step = divmod(semitone, 12)
    if octave not in OCTAVES:
        raise InputError(f"semitone {semitone} above C0 is outside hearing; check the range")
    return f"{SHARP_NAMES[step]}{octave}"


def nearest_note(hz: float, *, a4_hz: float = A4_HZ) -> tuple[str, float]:
    """Name the equal-tempered note nearest to a frequency.

    Parameters
    ----------
    hz : float
        Frequency. [Hz]
    a4_hz : float
        Tuning frequency of A4. [Hz]

    Returns
    -------
    name : str
        Note name, written with sharps.
    cents_away : float
        Cents by which `hz` is above the note, −50 to 50. [cents]

    Raises
    ------
    InputError
        If the frequency is not positive or lies outside the octaves understood.

    Examples
    --------
    >>> name, away = nearest_note(450.0)
    >>> name, round(away, 2)
    ('A4', 38.91)
    """
    above_a4 = cents(float(hz), check_a4(a4_hz)) / 100
    if not math.isfinite(above_a4):
        raise InputError(f"frequency {hz} Hz has no note; give a positive, finite frequency")
    semitone = round(above_a4) + _A4_SEMITONE
    if semitone // 12 not in OCTAVES:
        raise InputError(
            f"frequency {hz:g} Hz is outside the octaves {OCTAVES[0]} to {OCTAVES[-1]}; "
            "check its unit (Hz)"
        )
    return note_of(semitone), 100 * (above_a4 + _A4_SEMITONE - semitone)


@overload
def cents(hz: float, reference_hz: float) -> float: ...
@overload
def cents(hz: ArrayLike, reference_hz: ArrayLike) -> NDArray[np.float64]: ...
def cents(hz: ArrayLike, reference_hz: ArrayLike) -> float | NDArray[np.float64]:
    """Interval from a reference to a frequency, 1200·log2(hz/reference).

    Parameters
    ----------
    hz, reference_hz : float or ndarray, broadcastable
        Frequencies. NaN (a mode not heard) gives NaN. [Hz]

    Returns
    -------
    float or ndarray
        Positive when `hz` is sharp of the reference. [cents]

    Raises
    ------
    InputError
        If a frequency is zero or negative.

    Examples
    --------
    >>> cents(880.0, 440.0)
    1200.0
    """
    upper = np.asarray(hz, dtype=np.float64)
    lower = np.asarray(reference_hz, dtype=np.float64)
    if np.any(upper <= 0) or np.any(lower <= 0):
        raise InputError(
            f"frequencies must be above 0 Hz to be compared in cents (got {upper} against "
            f"{lower}); leave out modes that were not found"
        )
    interval = 1200 * np.log2(upper / lower)
    return float(interval) if interval.ndim == 0 else interval


def shift_hz(hz: float, cents_up: float) -> float:
    """Frequency that lies a number of cents above another, hz · 2^(cents_up/1200). [Hz]

    Parameters
    ----------
    hz : float
        [Hz]
    cents_up : float
        Negative to go down. [cent]

    Examples
    --------
    >>> shift_hz(440.0, 1200.0)
    880.0
    """
    return hz * float(2.0 ** (cents_up / 1200))


def check_a4(a4_hz: float) -> float:
    """Return the tuning frequency if it can be believed, else raise `InputError`. [Hz]"""
    if not A4_LOWEST_HZ <= a4_hz <= A4_HIGHEST_HZ:
        moved = [a4_hz * by for by in (10.0, 0.1, 1000.0)]  # a digit lost or doubled, or kHz
        near = [f"{hz:g}" for hz in moved if A4_LOWEST_HZ <= hz <= A4_HIGHEST_HZ]
        meant = f"; did you mean {near[0]}?" if near else ""
        raise InputError(
            f"A4 = {a4_hz} Hz is not a tuning frequency in use; "
            f"give {A4_LOWEST_HZ:g} to {A4_HIGHEST_HZ:g} Hz, usually 440 to 443{meant}"
        )
    return float(a4_hz)


def parse_ratios(text: str) -> tuple[float, ...]:
    """Read a list of mode ratios such as `1:4:10` or `1, 3.932, 9.8`.

    Raises
    ------
    InputError
        If the text is not a list of numbers that starts at 1 and ascends.

    Examples
    --------
    >>> parse_ratios("1:4:9.8")
    (1.0, 4.0, 9.8)
    """
    if ":" in text and "," in text:
        raise InputError(
            f"ratios {text!r}: colons stand between the ratios and decimals have a point; write "
            f"{text.replace(',', '.')}"
        )
    try:
        ratios = tuple(float(part) for part in re.split(r"\s*[:,;]\s*|\s+", text.strip()))
    except ValueError:
        raise InputError(
            f"ratios {text!r} are not numbers; write them as 1:4:10, decimals with a point"
        ) from None
    return _checked_ratios(ratios)


@dataclass(frozen=True, slots=True)
class Target:
    """What the first bending modes of a bar are tuned to.

    Parameters
    ----------
    note : str
        Note of the fundamental.
    a4_hz : float
        Tuning frequency of A4. [Hz]
    ratios : tuple of float, 1 to 4
        Tuned modes over the fundamental, ascending from 1.
    offset_cents : float
        Shift of the whole target: stretch, season, or what a later finish will cost. [cents]

    Examples
    --------
    >>> Target("F3", ratios=(1.0, 4.0, 10.0)).hz.round(2)
    array([ 174.61,  698.46, 1746.14])
    """

    note: str
    a4_hz: float = A4_HZ
    ratios: tuple[float, ...] = (1.0, 4.0, 10.0)
    offset_cents: float = 0.0

    def __post_init__(self) -> None:
        note_hz(self.note, a4_hz=self.a4_hz)
        object.__setattr__(self, "ratios", _checked_ratios(self.ratios))
        if not abs(self.offset_cents) <= 1200:  # also refuses NaN
            raise InputError(
                f"offset of {self.offset_cents} cents is more than an octave; name another note"
            )

    @property
    def fundamental_hz(self) -> float:
        """Target of the first mode, offset included. [Hz]"""
        return shift_hz(note_hz(self.note, a4_hz=self.a4_hz), self.offset_cents)

    @property
    def hz(self) -> NDArray[np.float64]:
        """Target of each tuned mode, shape (len(ratios),), read-only. [Hz]"""
        hz = self.fundamental_hz * np.array(self.ratios)
        hz.setflags(write=False)
        return hz

    def cents(self, bending_hz: ArrayLike) -> NDArray[np.float64]:
        """Cents by which each tuned mode is sharp of its target.

        Parameters
        ----------
        bending_hz : array_like, shape (n,), n >= len(ratios)
            Bending modes 1, 2, …; further ones are ignored, NaN stands for one not known. [Hz]

        Returns
        -------
        ndarray, shape (len(ratios),)
            Positive when sharp. [cents]

        Raises
        ------
        InputError
            If there are fewer modes than ratios.
        """
        modes = np.asarray(bending_hz, dtype=np.float64).reshape(-1)
        count = len(self.ratios)
        if modes.size < count:
            raise InputError(
                f"{modes.size} bending modes are known but the target has {count} ratios; "
                "find more modes, or shorten the list of ratios"
            )
        return cents(modes[:count], self.hz)


def _checked_ratios(ratios: tuple[float, ...]) -> tuple[float, ...]:
    """Return the ratios as floats, or raise `InputError` saying which rule they break."""
    values = tuple(float(ratio) for ratio in ratios)
    shown = ":".join(f"{ratio:g}" for ratio in values)
    if not 1 <= len(values) <= MOST_RATIOS:
        raise InputError(
            f"{len(values)} ratios given; a target takes 1 to {MOST_RATIOS}, such as 1:4:10"
        )
    if values[0] != 1.0:
        raise InputError(f"ratios {shown} must start at 1, the fundamental, as 1:4:10")
    ascending = all(low < high for low, high in itertools.pairwise(values))
    if not ascending or not math.isfinite(values[-1]):
        raise InputError(f"ratios {shown} must ascend, because modes are counted upward")
    if values[-1] > HIGHEST_RATIO:
        raise InputError(
            f"ratios {shown}: {values[-1]:g} is no mode's that can be tuned; write them as 1:4:10"
        )
    return values


def _from_german(letters: str) -> str:
    """English name of a German one: h, fis, es, as.

    Examples
    --------
    >>> [_from_german(name) for name in ("h", "fis", "es", "as", "des", "his")]
    ['B', 'F#', 'Eb', 'Ab', 'Db', 'B#']
    """
    step = "B" if letters[0] == "h" else letters[0].upper()
    ending = letters[1:]
    return step + ("#" if ending == "is" else "b" if ending in ("es", "s") else "")


def _unknown_note(name: str) -> str:
    """Say that a name is not a note, and offer the nearest names."""
    if german := _GERMAN.fullmatch(name.strip()):
        meant = _from_german(german[1].lower()) + german[2]
        return (
            f"note {name!r} is not known; did you mean {meant}? English names are read: B is the "
            "German H, Bb the German B (C4 is middle C)"
        )
    # makers in half of Europe write H for B natural
    tidy = re.sub("^[Hh]", "B", name.strip())
    tidy = tidy[:1].upper() + tidy[1:]
    if re.fullmatch(r"[A-G][#♯b♭]?", tidy):
        return f"note {name!r} lacks its octave; write {tidy}3 or {tidy}4 (C4 is middle C)"
    known = [f"{step}{octave}" for octave in range(1, 9) for step in (*SHARP_NAMES, *_FLAT_NAMES)]
    near = difflib.get_close_matches(tidy, known, n=3, cutoff=0.5)
    offer = f"did you mean {', '.join(near)}?" if near else "write it as C3, D#3 or Eb4"
    return f"note {name!r} is not known; {offer} (C4 is middle C)"
