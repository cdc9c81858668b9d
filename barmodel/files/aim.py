"""What a bar is tuned to, as files hold it: told in words, compared, and as options of `log`."""

from __future__ import annotations

import numpy as np
from pydantic import Field, model_validator

from barmodel.files.cuts import Record
from barmodel.pitch import Target, note_semitone

SAME_CENTS = 1e-3
"""Aims no farther apart are one; a set file's stretch is told to this. [cent]"""
_DECIMALS = 4


class TargetPart(Record):
    """What the bar is tuned to."""

    note: str
    a4_hz: float = 440.0
    ratios: tuple[float, ...] = Field(default=(1.0, 4.0, 10.0), max_length=12, fail_fast=True)
    offset_cents: float = 0.0

    @model_validator(mode="after")
    def _can_be_tuned_to(self) -> TargetPart:
        target_of(self)
        return self


def target_of(part: TargetPart) -> Target:
    """Return the target that a file states."""
    return Target(part.note, part.a4_hz, part.ratios, part.offset_cents)


def target_part(target: Target) -> TargetPart:
    """Return the file's form of a target."""
    return TargetPart(
        note=target.note,
        a4_hz=target.a4_hz,
        ratios=target.ratios,
        offset_cents=target.offset_cents,
    )


def same_aim(one: TargetPart, other: TargetPart) -> bool:
    """Whether two targets ask the same of a bar, however they say it.

    Parameters
    ----------
    one, other : TargetPart

    Examples
    --------
    >>> same_aim(TargetPart(note="A#3"), TargetPart(note="Bb3"))
    True
    >>> same_aim(TargetPart(note="A3"), TargetPart(note="A3", ratios=(1.0, 4.0)))
    False
    """
    if len(one.ratios) != len(other.ratios):
        return False
    apart = target_of(one).cents(target_of(other).hz)
    return bool(np.abs(apart).max() <= SAME_CENTS)


def same_note(one: TargetPart, other: TargetPart) -> bool:
    """Whether two targets name the same note, whatever A4 is.

    Parameters
    ----------
    one, other : TargetPart
    """
    return note_semitone(one.note) == note_semitone(other.note)


def aim_in_words(part: TargetPart) -> str:
    """Say a target as a maker does.

    Examples
    --------
    >>> aim_in_words(TargetPart(note="A#3", a4_hz=443.0, offset_cents=-5.0))
    'A#3 (A4 = 443, 1:4:10, -5 cents)'
    """
    offset = f", {part.offset_cents:+.4g} cents" if part.offset_cents else ""
    return f"{part.note} (A4 = {part.a4_hz:g}, {ratios_in_words(part)}{offset})"


def ratios_in_words(part: TargetPart) -> str:
    """The ratios as they are given: 1:4:10.

    Parameters
    ----------
    part : TargetPart
    """
    return ":".join(map(_number, part.ratios))


def aim_options(there: TargetPart, wanted: TargetPart) -> str:
    """Options of `barmodel log` that bring a bar from one target to another.

    Parameters
    ----------
    there, wanted : TargetPart
        As it is, and as it is to be.

    Examples
    --------
    >>> aim_options(TargetPart(note="A3"), TargetPart(note="G#3", a4_hz=443.0))
    '--note G#3 --a4 443'
    """
    options = []
    if not same_note(there, wanted):
        options.append(f"--note {wanted.note}")
    if there.a4_hz != wanted.a4_hz:
        options.append(f"--a4 {_number(wanted.a4_hz)}")
    if there.ratios != wanted.ratios:
        options.append(f"--ratios {ratios_in_words(wanted)}")
    if abs(there.offset_cents - wanted.offset_cents) > SAME_CENTS / 2:
        options.append(f"--offset {_number(round(wanted.offset_cents, _DECIMALS))}")
    return " ".join(options)


def _number(value: float) -> str:
    """A number with all its digits, and no more."""
    return repr(float(value)).removesuffix(".0")
