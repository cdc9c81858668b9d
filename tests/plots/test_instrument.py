"""Chart of a set: what stands out is found and named, words stay on the paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.errors import InputError
from barmodel.plots.evenness import standing_out
from barmodel.plots.instrument import SetRows, draw_set
from tests.plots.words import check_words

NOTES = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")


def made_up(count: int, first: int = 36) -> SetRows:
    """A smooth set whose nodes lie on their cords; the bar a quarter up is missing."""
    names = tuple(f"{NOTES[s % 12]}{s // 12 - 1}" for s in range(first, first + count))
    step = np.arange(count) / (count - 1)
    length = 0.50 - 0.30 * step
    length[count // 4] = np.nan
    nodes = np.stack([-0.3 * length, 0.3 * length], axis=1)
    cents = np.stack([np.sin(7 * step), 2 * np.cos(9 * step), np.where(step > 0.4, np.nan, 8.0)], 1)
    cents[count // 4] = np.nan
    return SetRows(
        names=names, accidental=np.array(["♯" in name for name in names]), length=length,
        width=np.full(count, 0.05), middle_thickness=0.02 * length + 0.004, nodes=nodes,
        cords=nodes.copy(), cents=cents,
    )  # fmt: skip


def words_of(rows: SetRows, **kind: float) -> list[str]:
    figure = draw_set(rows, title="a set", subtitle="made up", **kind)
    check_words(figure)
    return [text.get_text() for text in figure.texts]


@pytest.mark.parametrize("count", [8, 37, 61])
def test_a_smooth_set_has_nothing_to_mark_but_what_is_missing(count: int) -> None:
    rows = made_up(count)
    said = words_of(rows)
    assert f"missing: {rows.names[count // 4]}" in said
    assert not any(
        line.startswith(("over", "length", "uneven", "too thin", "off:")) for line in said
    )


def test_what_stands_out_is_named() -> None:
    rows = made_up(37)
    length, thick = rows.length.copy(), rows.middle_thickness.copy()
    nodes, cents = rows.nodes.copy(), rows.cents.copy()
    length[20] += 0.004
    thick[24] -= 0.001
    nodes[12, 1] += 0.0025
    cents[30, 0] = 3.1
    rows = replace(rows, length=length, middle_thickness=thick, nodes=nodes, cents=cents)
    said = words_of(rows, least_thickness=0.0082)
    for head, index in (
        ("length uneven: ", 20),
        ("uneven: ", 24),
        ("over 2 mm: ", 12),
        ("off: ", 30),
    ):
        assert head + rows.names[index] in said
    assert f"too thin: {rows.names[35]}, {rows.names[36]}" in said
    assert "node off its cord: largest 2.5 mm" in said


def test_standing_out_finds_all_and_spares_their_neighbours() -> None:
    row = np.linspace(500.0, 200.0, 40) - 30 * np.sin(np.linspace(0, 3, 40))
    row[[11, 13, 30]] += (5.0, -4.0, 3.0)
    row[5] = np.nan
    assert np.flatnonzero(standing_out(row, least=2.0)).tolist() == [11, 13, 30]
    assert not standing_out(np.array([]), least=1.0).any()


def test_rows_that_do_not_fit_are_named() -> None:
    with pytest.raises(InputError, match="length needs one value for each of 8"):
        replace(made_up(8), length=np.zeros(7))
    with pytest.raises(InputError, match="cents"):
        replace(made_up(8), cents=np.zeros((7, 3)))


def test_a_mode_that_no_bar_is_tuned_in_is_not_counted() -> None:
    rows = made_up(8)
    rows.cents[:, 2] = np.nan
    said = words_of(rows)
    assert any(text.startswith("mode 2") for text in said)
    assert not any("mode 3" in text for text in said)
