"""The picture of a strike: its lines, their names, and the tuned modes beside their aims."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.bench.hear_entry import LEAST_CONFIDENCE

if TYPE_CHECKING:
    from barmodel.strike import Hearing, Mode
    from barmodel_cli.bench.struck import Struck

SAME_CENTS = 12.0
"""A line of one strike so near to a mode is that mode."""


def draw(struck: Struck, path: Path) -> None:
    """Draw the loudest strike with the lines found, what they are to be, and the decays."""
    from barmodel.pitch import cents
    from barmodel.plots import save_figure
    from barmodel.plots.spectrum import Line, draw_spectrum
    from barmodel.strike.view import spectrum

    heard, target, today = struck.heard, struck.target, struck.today
    if heard is None:
        return
    strike = max(heard.strikes, key=lambda s: s.peak)
    recording = next(r for r in struck.recordings if r.name == strike.file)
    aims = () if target is None else tuple(today.hz(target).tolist())
    lines = []
    for partial in strike.partials:
        mode = _mode_at(heard, partial.hz)
        number = mode.number if mode is not None and mode.kind == "bending" else 0
        tuned = 0 < number <= len(aims)
        lines.append(
            Line(
                hz=partial.hz if mode is None else mode.hz,
                level_db=partial.level_db,
                name=_in_picture(mode),
                number=number,
                cents=float(cents(mode.hz, aims[number - 1])) if mode and tuned else None,
                decay_s=partial.decay_s if mode is None else mode.decay_s,
            )
        )
    hz, level_db = spectrum(recording, strike)
    title = recording.name if struck.document is None else struck.document.name
    subtitle = "" if struck.document is None else strike.file
    if (count := len(heard.strikes)) > 1:
        subtitle = f"the loudest strike, of {strike.file}; pitches are means of {count}"
    if today:
        subtitle += "; cents from what it is to be today"
    figure = draw_spectrum(hz, level_db, lines, target_hz=aims, title=title, subtitle=subtitle)
    save_figure(figure, path)


def _in_picture(mode: Mode | None) -> str:
    """Name of a line as the tables have it, with a question mark where it is not sure."""
    if mode is None:
        return ""
    kind = "mode" if mode.kind == "bending" else mode.kind
    doubt = " ?" if mode.kind == "bending" and mode.confidence < LEAST_CONFIDENCE else ""
    return f"{kind} {mode.number}{doubt}"


def _mode_at(heard: Hearing, hz: float) -> Mode | None:
    """The named mode that a line of one strike is part of."""
    near = [m for m in heard.modes if abs(1200.0 * math.log2(hz / m.hz)) < SAME_CENTS]
    return min(near, key=lambda m: abs(m.hz - hz), default=None)
