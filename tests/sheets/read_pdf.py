"""Read straight lines back from a PDF, in millimetres, by a library that did not write it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True)
class Stroke:
    """One connected line as painted."""

    points: np.ndarray
    pen: float
    dash: tuple[float, ...]

    @property
    def upright(self) -> bool:
        return bool(np.ptp(self.points[:, 0]) < 1e-6)

    @property
    def level(self) -> bool:
        return bool(np.ptp(self.points[:, 1]) < 1e-6)

    @property
    def x(self) -> float:
        return float(self.points[:, 0].mean())

    @property
    def y(self) -> float:
        return float(self.points[:, 1].mean())


def strokes_of(path: Path) -> list[list[Stroke]]:
    """Straight strokes of every page."""
    reader = PdfReader(path)
    return [_of_page(page, reader) for page in reader.pages]


def _of_page(page, reader) -> list[Stroke]:
    pen, dash, lines, done = 1.0, (), [], []
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        values = operands
        if operator == b"w":
            pen = float(values[0])
        elif operator == b"d":
            dash = tuple(float(v) for v in values[0])
        elif operator == b"m":
            lines.append([values])
        elif operator == b"l":
            lines[-1].append(values)
        elif operator == b"cm":
            assert [float(v) for v in values] == [1, 0, 0, 1, 0, 0], "no hidden scaling"
        elif operator in (b"S", b"f", b"n", b"W", b"B", b"s"):
            if operator == b"S":
                for line in lines:
                    points = np.array([[float(a) for a in p] for p in line]) * MM_PER_POINT
                    done.append(Stroke(points, pen, dash))
            if operator != b"W":
                lines = []
    return done
