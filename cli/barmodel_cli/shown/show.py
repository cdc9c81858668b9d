"""How answers look: tables for people, JSON for programs, progress for long work."""

from __future__ import annotations

import contextlib
import json
import math
import os
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from barmodel_cli.exits import say
from barmodel_cli.shown.layout import column_widths, stacked

WIDTH_OF_FILES = 110
"""Letters in a line of a table that goes into a file or a pipe, so that it can be printed."""
JSON_VERSION = 1
"""Version of the JSON output; goes up when a key changes its meaning or goes away."""


def print_json(kind: str, content: Mapping[str, Any]) -> None:
    """Print one answer as JSON: its kind and version, then its content.

    Parameters
    ----------
    kind : str
        Name of the command.
    content : mapping
        Numbers, arrays, texts; NaN and infinity become null.
    """
    answer = {"schema": f"barmodel/{kind}/{JSON_VERSION}", **content}
    whole = (sys.stdout.encoding or "").lower().startswith("utf")
    print(json.dumps(plain(answer), ensure_ascii=not whole, allow_nan=False))


def plain(value: Any) -> Any:
    """Turn arrays, tuples, numpy numbers and NaN into what JSON can hold."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def print_table(
    columns: Sequence[str], rows: Iterable[Sequence[object]], *, title: str | None = None
) -> None:
    """Print a table; a column whose cells are numbers is set flush right.

    Words are never broken: where the columns do not fit, each row becomes a few lines.

    Parameters
    ----------
    columns : sequence of str
        Headings, with units.
    rows : iterable of sequences
        Cells; None shows as a dash.
    title : str, optional
        A line above the table.
    """
    from rich import box
    from rich.table import Table

    cells = [["–" if cell is None else str(cell) for cell in row] for row in rows]
    flush = [
        bool(cells) and all(_looks_numeric(row[index]) for row in cells)
        for index in range(len(columns))
    ]
    console = _console()
    widths = column_widths(columns, cells, console.width, whole=flush)
    if title:
        print(title)
    if widths is None:
        print("\n".join(stacked(columns, cells, console.width)))
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, header_style="bold")
    for heading, width, numeric in zip(columns, widths, flush, strict=True):
        table.add_column(
            heading, justify="right" if numeric else "left", overflow="fold", width=width
        )
    for row in cells:
        table.add_row(*row)
    console.print(table)


def _looks_numeric(text: str) -> bool:
    return text == "–" or text.lstrip("+-−≈<>").replace(".", "", 1).replace(" ", "").isdigit()


def _console() -> Any:
    from rich.console import Console

    width = None if sys.stdout.isatty() or "COLUMNS" in os.environ else WIDTH_OF_FILES
    return Console(file=sys.stdout, highlight=False, width=width, markup=False, emoji=False)


def cents_text(cents: float) -> str:
    """Cents with sign, one decimal; a dash for a mode not known.

    Examples
    --------
    >>> cents_text(-3.21), cents_text(-0.01), cents_text(float("nan"))
    ('-3.2', '0.0', '–')
    """
    text = "–" if not math.isfinite(cents) else f"{cents:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text


def hz_text(hz: float) -> str:
    """Frequency to a hundredth of a hertz; a dash for a mode not known."""
    return "–" if not math.isfinite(hz) else f"{hz:.2f}"


@contextlib.contextmanager
def progress(label: str, total: int | None = None) -> Iterator[Callable[[], None]]:
    """Show on a terminal that work goes on, once it has taken a second; nothing in a pipe.

    Parameters
    ----------
    label : str
        What is going on.
    total : int, optional
        Number of steps; the function handed out is to be called after each.
    """
    if not sys.stderr.isatty():
        yield lambda: None
        return
    done, began = 0, time.monotonic()
    finished = threading.Event()

    def step() -> None:
        nonlocal done
        done += 1

    def show() -> None:
        while not finished.wait(1.0):
            passed = time.monotonic() - began
            text = f"{label}, {passed:.0f} s"
            if total:
                left = f", about {passed / done * (total - done):.0f} s left" if done else ""
                text += f": {done} of {total}{left}"
            print(f"\r{text}\x1b[K", end="", file=sys.stderr, flush=True)

    watcher = threading.Thread(target=show, daemon=True)
    watcher.start()
    try:
        yield step
    finally:
        finished.set()
        watcher.join()
        if time.monotonic() - began > 1.0:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def caution(text: str) -> None:
    """Tell the person something to mind, on stderr."""
    say(f"mind: {text}")
