"""Reads a set file, `barmodel.files.set_document`, into a plan in SI."""

from __future__ import annotations

import os
from pathlib import Path

from pydantic import ValidationError

from barmodel.bar import bears_blows
from barmodel.design import Limits
from barmodel.errors import BarModelError, FileError
from barmodel.files.bars import wood_of
from barmodel.files.problems import check_schema, file_error
from barmodel.files.set_document import (
    SET_SCHEMA,
    AirPart,
    LengthsPart,
    RailsPart,
    SetDocument,
    ShapePart,
)
from barmodel.files.set_plank import plank_of
from barmodel.files.store import read_toml
from barmodel.instrument import LengthRule, RailRule, SetPlan, semitones_of
from barmodel.pitch import note_semitone
from barmodel.units import MM
from barmodel.weather import Condition
from barmodel.wood import Wood


def read_set_file(path: str | os.PathLike[str]) -> SetPlan:
    """Read the description of an instrument.

    Parameters
    ----------
    path : path
        A TOML file.

    Raises
    ------
    FileError
        If it cannot be read, or a value is wrong; the message names file and field.
    """
    return plan_of(read_set_document(path), file_name=Path(path).name)


def read_set_document(path: str | os.PathLike[str]) -> SetDocument:
    """Read a set file as it stands, every field of its kind; `plan_of` looks at what it says.

    Parameters
    ----------
    path : path
        A TOML file.

    Raises
    ------
    FileError
        If it cannot be read, or a field is none.
    """
    where = Path(path)
    content = read_toml(where)
    check_schema(where.name, content.get("schema"), SET_SCHEMA, written=f'schema = "{SET_SCHEMA}"')
    try:
        return SetDocument.model_validate(content, strict=False)
    except ValidationError as error:
        raise file_error(where.name, error, SetDocument) from None


def plan_of(document: SetDocument, *, file_name: str = "set.toml") -> SetPlan:
    """Turn a set file into SI; errors name the part of the file they are about.

    Raises
    ------
    FileError
        If a value cannot be used.
    """
    part = "lowest, highest"
    try:
        lowest, highest = note_semitone(document.lowest), note_semitone(document.highest)
        part = "ratios"
        ratios = semitones_of(document.ratios or {document.lowest: (1.0, 4.0, 10.0)}, part)
        part = "width_mm"
        widths = {note: mm * MM for note, mm in semitones_of(document.width_mm, part).items()}
        part = "stretch_cents"
        stretch = semitones_of(document.stretch_cents, part)
        part = "stock.wood"
        wood = wood_of(document.stock.wood)
        part = "lengths"
        lengths = _lengths(document.lengths)
        part = "shape"
        limits = _limits(document.shape, wood)
        part = "rails"
        rails = _rails(document.rails)
        part = "room, bench"
        room, bench = _air(document.room), _air(document.bench)
        planks, remarks = [], []
        for item in document.planks:
            part = f"plank {item.name}"
            plank, remark = plank_of(item, document.stock.wood)
            if plank is not None:
                planks.append(plank)
            if remark:
                remarks.append(f"{part}: {remark}")
        part = ""
        return SetPlan(
            name=document.name or file_name.removesuffix(".toml").removesuffix(".set"),
            lowest=lowest,
            highest=highest,
            a4_hz=document.a4_hz,
            ratios=ratios,
            widths=widths,
            stretch=stretch,
            thickness=document.stock.thickness_mm * MM,
            wood=wood,
            family=document.shape.family,
            limits=limits,
            clear=document.shape.clear,
            lengths=lengths,
            rails=rails,
            room=room,
            bench=bench,
            planks=tuple(planks),
            remarks=tuple(remarks),
            board_length=_metres(document.stock.board_length_mm),
            board_width=_metres(document.stock.board_width_mm),
            kerf=document.stock.kerf_mm * MM,
            spare=document.stock.spare_mm * MM,
        )
    except FileError:
        raise
    except BarModelError as error:
        raise FileError(": ".join(filter(None, (file_name, part, str(error))))) from None


def _metres(value: float | None) -> float | None:
    return None if value is None else value * MM


def _lengths(part: LengthsPart) -> LengthRule:
    given = semitones_of(part.given_mm, "given_mm")
    return LengthRule(
        given={note: mm * MM for note, mm in given.items()},
        along=part.along,
        least_centre=_metres(part.least_centre_mm),
        most_centre=_metres(part.most_centre_mm),
        adjust=part.adjust_percent / 100.0,
    )


def _limits(part: ShapePart, wood: Wood) -> Limits:
    keep = part.keep_mm or bears_blows(wood) / MM
    return Limits(
        keep=keep * MM,
        clear_ends=_metres(part.clear_ends_mm),
        drum_radius=_metres(part.drum_radius_mm),
        bit_diameter=_metres(part.bit_diameter_mm),
    )


def _rails(part: RailsPart) -> RailRule:
    return RailRule(
        gap=part.gap_mm * MM,
        hole_diameter=part.hole_diameter_mm * MM,
        lean=(part.lean_naturals, part.lean_accidentals),
    )


def _air(part: AirPart | None) -> Condition | None:
    if part is None:
        return None
    return Condition.settled(
        temperature_c=part.temperature_c, relative_humidity=part.humidity_percent / 100.0
    )
