"""Which notes a blank can become."""

from __future__ import annotations

from dataclasses import replace

import pytest

from barmodel.bar import Blank
from barmodel.design import Request, find
from barmodel.design.notes import notes_for
from barmodel.errors import NoSolutionError
from barmodel.pitch import Target
from barmodel.wood import from_partial

BLANK = Blank(
    length=0.372, width=0.053, thickness=0.022, wood=from_partial(density=1000.0, e_long=21e9)
)
TARGET = Target("C4")


def test_notes_run_without_a_gap_and_get_thicker_upwards() -> None:
    notes = notes_for(BLANK, TARGET)
    semitones = [note.semitone for note in notes]
    assert semitones == list(range(semitones[0], semitones[0] + len(notes)))
    assert "C4" in [note.note for note in notes]
    least = [note.least for note in notes]
    assert least == sorted(least)
    assert least[0] >= 6e-3 > least[0] - 0.4e-3  # one lower would be too thin


def test_the_note_asked_for_does_not_matter() -> None:
    one, other = notes_for(BLANK, replace(TARGET, note="C6")), notes_for(BLANK, TARGET)
    assert [note.note for note in one] == [note.note for note in other]
    assert [note.least for note in one] == pytest.approx([note.least for note in other], rel=1e-3)


def test_highest_note_is_the_highest_with_a_design() -> None:
    highest = notes_for(BLANK, TARGET)[-1]
    design = find(Request(blank=BLANK, target=replace(TARGET, note=highest.note), model="beam"))
    assert design.bar.profile.least_thickness()[0] == pytest.approx(highest.least, rel=0.02)
    above = replace(TARGET, note="E4")
    assert highest.note == "D4"
    with pytest.raises(NoSolutionError):
        find(Request(blank=BLANK, target=above, model="beam"), advise=False)


def test_stiffer_wood_of_one_size_and_weight_reaches_higher() -> None:
    stiff = replace(BLANK, wood=from_partial(density=1000.0, e_long=26e9))
    assert notes_for(stiff, TARGET)[-1].semitone > notes_for(BLANK, TARGET)[-1].semitone


def test_a_blank_that_can_be_none_of_them() -> None:
    assert notes_for(replace(BLANK, thickness=0.0045, length=0.1), TARGET) == ()
