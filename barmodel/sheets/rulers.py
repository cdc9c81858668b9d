"""Check rulers: a printed length to measure, and a box to write into what it measures."""

from __future__ import annotations

import numpy as np

from barmodel.sheets.paper import LINE, Page


def level_ruler(page: Page, left: float, bottom: float, right: float, scale: float) -> int:
    """Draw a level ruler as long as fits; return its true length. [mm]"""
    length = _round_length(right - left - 62.0, scale)
    _ruler(page, left, bottom + 3.5, length, scale, upright=False)
    x = left + length * scale + 5.0
    page.box(x, bottom + 0.3, 24.0, 9.0, pen=LINE)
    page.text(x + 26.0, bottom + 7.0, f"must be {length} mm", size=8.5, room=right - x - 26.0)
    page.text(x + 26.0, bottom + 2.6, "write it in the box", size=8.5, room=right - x - 26.0)
    return length


def upright_ruler(page: Page, left: float, bottom: float, top: float, scale: float) -> int:
    """Draw an upright ruler as long as fits; return its true length. [mm]"""
    length = _round_length(top - bottom - 28.0, scale)
    _ruler(page, left + 1.0, bottom, length, scale, upright=True)
    page.box(left + 0.3, bottom + length * scale + 3.5, 9.0, 23.0, pen=LINE)
    page.text(left + 7.0, bottom + length * scale / 2, f"must be {length} mm", size=8.5,
              turned=True, align="center")  # fmt: skip
    return length


def _round_length(room: float, scale: float) -> int:
    return max(50, int(room / scale // 10) * 10)


def _ruler(
    page: Page, left: float, bottom: float, length: int, scale: float, *, upright: bool
) -> None:
    places = np.arange(0, length + 1, 10) * scale
    ends = np.array([0.0, length * scale])
    zero = np.zeros(2)
    if upright:
        page.line(left + zero, bottom + ends, pen=LINE)
    else:
        page.line(left + ends, bottom + zero, pen=LINE)
    for index, place in enumerate(places):
        reach = 2.5 if index % 5 == 0 or index == places.size - 1 else 1.3
        if upright:
            page.line([left, left + reach], [bottom + place] * 2, pen=LINE)
        else:
            page.line([left + place] * 2, [bottom, bottom + reach], pen=LINE)
