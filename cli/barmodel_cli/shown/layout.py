"""How wide the columns of a table may be: words stay whole, and what does not fit is stacked."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

GAP = 3
"""Letters between two columns."""
WHOLE = 12
"""A cell of so few letters is not broken at its spaces either."""
TALLEST = 4
"""A cell of more lines than this is easier to read across the page."""
INDENT = "    "


def column_widths(
    columns: Sequence[str], cells: Sequence[Sequence[str]], width: int, *, whole: Sequence[bool]
) -> list[int] | None:
    """Widths that keep every word whole, widest columns narrowed first; None if none do.

    Parameters
    ----------
    columns : sequence of str
        Headings.
    cells : sequence of rows
    width : int
        Letters in a line.
    whole : sequence of bool
        Columns whose cells are not broken at all.

    Examples
    --------
    >>> column_widths(["mode", "why"], [["1", "some longer words"]], 16, whole=[True, False])
    [4, 9]
    >>> column_widths(["mode", "why"], [["1", "some longer words"]], 12, whole=[True, False])
    """
    natural, least = [], []
    for index, heading in enumerate(columns):
        texts = [row[index] for row in cells]
        natural.append(max(map(len, [heading, *texts])))
        longest = [_longest_word(heading)]
        longest += [
            len(text) if whole[index] or len(text) <= WHOLE else _longest_word(text)
            for text in texts
        ]
        least.append(max(longest))
    room = width - GAP * (len(columns) - 1)
    if sum(least) > room:
        return None
    while sum(natural) > room:
        spare = [have - need for have, need in zip(natural, least, strict=True)]
        widest = max(range(len(natural)), key=lambda k: (spare[k] > 0, natural[k]))
        natural[widest] -= 1
    pairs = [(text, wide) for row in cells for text, wide in zip(row, natural, strict=True)]
    tall = max((len(textwrap.wrap(text, wide)) for text, wide in pairs if text), default=0)
    return natural if tall <= TALLEST else None


def _longest_word(text: str) -> int:
    return max((len(word) for word in text.split()), default=0)


def stacked(columns: Sequence[str], cells: Sequence[Sequence[str]], width: int) -> list[str]:
    """Rows one under another: the first cell, then what the others are, as many as fit in a line.

    Examples
    --------
    >>> stacked(["mode", "Hz", "cents"], [["1", "220.00", "+3.0"]], 20)
    ['mode 1', '    Hz 220.00', '    cents +3.0']
    """
    lines = []
    for first, *others in cells:
        numbered = first.isdigit() or not first
        lines.append(f"{columns[0]} {first}" if numbered else first)
        held = [f"{name} {text}" for name, text in zip(columns[1:], others, strict=True)]
        line = ""
        for item in held:
            longer = f"{line}; {item}" if line else item
            if line and len(INDENT) + len(longer) > width:
                lines += _folded(line, width)
                line = item
            else:
                line = longer
        lines += _folded(line, width)
    return lines


def _folded(text: str, width: int) -> list[str]:
    return textwrap.wrap(
        text, max(width, 20), initial_indent=INDENT, subsequent_indent=2 * INDENT,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
