"""Words of a picture stay on it, and none lies on another."""

from __future__ import annotations

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from barmodel.plots.style import look


def check_words(figure: Figure) -> None:
    with look():
        renderer = FigureCanvasAgg(figure).get_renderer()
        figure.draw(renderer)
        words = [t for t in _drawn(figure) if t.get_text().strip() and t.get_visible()]
        boxes = [t.get_window_extent(renderer) for t in words]
    whole = figure.bbox
    for text, box in zip(words, boxes, strict=True):
        inside = box.x0 >= 0 and box.y0 >= 0 and box.x1 <= whole.x1 and box.y1 <= whole.y1
        assert inside, text.get_text()
    for i, first in enumerate(boxes):
        for j in range(i):
            assert not first.padded(-1.0).overlaps(boxes[j].padded(-1.0)), (
                words[i].get_text(), words[j].get_text(),
            )  # fmt: skip


def _drawn(figure: Figure) -> list[Text]:
    """Words that reach the paper: of the ticks, only those inside the limits."""
    words = list(figure.texts)
    for axes in figure.axes:
        words += axes.texts
        if axes.axison:
            for axis in (axes.xaxis, axes.yaxis):
                words += [axis.label, *(tick.label1 for tick in axis._update_ticks())]
    return words
