"""Cut list: which blank comes out of which board or plank, in strips along the grain.

First fit, longest first: blanks into strips as wide as their widest, strips side by side into
boards. Not the best packing there is, but one that a saw follows without thinking.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from barmodel.errors import InputError
from barmodel.units import MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A blank to be sawn out.

    Attributes
    ----------
    semitone : int
    length, width : float
        As sawn, spare length included. [m]
    """

    semitone: int
    length: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sawn:
    """A blank and where it lies.

    Attributes
    ----------
    piece : Piece
    board : str
    strip : int
        From 1, counted from one edge.
    at, across : float
        From the end of the board along it, and from its edge. [m]
    """

    piece: Piece
    board: str
    strip: int
    at: float
    across: float


@dataclass(slots=True)
class _Strip:
    width: float
    used: float
    pieces: list[Piece]


def strips_of(pieces: Sequence[Piece], *, length: float, kerf: float) -> list[_Strip]:
    """Put blanks into strips of a length, widest and longest first."""
    strips: list[_Strip] = []
    for piece in sorted(pieces, key=lambda item: (-item.width, -item.length, item.semitone)):
        if piece.length > length + 1e-9:
            raise InputError(
                f"a blank of {piece.length / MM:.0f} mm does not fit a board of "
                f"{length / MM:.0f} mm; take longer boards"
            )
        for strip in strips:
            # widths come in descending order: the rest of a strip serves a narrower blank
            if strip.used + kerf + piece.length <= length + 1e-9:
                strip.pieces.append(piece)
                strip.used += kerf + piece.length
                break
        else:
            strips.append(_Strip(piece.width, piece.length, [piece]))
    return strips


def lay_out(
    pieces: Sequence[Piece], *, length: float, width: float, kerf: float
) -> tuple[Sawn, ...]:
    """Saw blanks out of as many boards as it takes.

    Parameters
    ----------
    pieces : sequence of Piece
    length, width : float
        Of a board. [m]
    kerf : float
        Lost by each cut. [m]

    Raises
    ------
    InputError
        If a blank is longer or wider than a board.
    """
    boards: list[float] = []
    counts: list[int] = []
    sawn: list[list[Sawn]] = []
    for strip in strips_of(pieces, length=length, kerf=kerf):
        if strip.width > width + 1e-9:
            raise InputError(
                f"a blank {strip.width / MM:g} mm wide does not fit a board of "
                f"{width / MM:g} mm; take wider boards"
            )
        room = [used + kerf + strip.width <= width + 1e-9 for used in boards]
        number = room.index(True) if any(room) else len(boards)
        if number == len(boards):
            boards.append(-kerf)
            counts.append(0)
            sawn.append([])
        across = boards[number] + kerf
        boards[number] = across + strip.width
        counts[number] += 1
        at = 0.0
        for piece in strip.pieces:
            sawn[number].append(
                Sawn(
                    piece=piece,
                    board=f"board {number + 1}",
                    strip=counts[number],
                    at=at,
                    across=across,
                )
            )
            at += piece.length + kerf
    return tuple(item for board in sawn for item in board)


def fits(pieces: Sequence[Piece], *, length: float, width: float, kerf: float) -> bool:
    """Whether all blanks come out of one board."""
    try:
        sawn = lay_out(pieces, length=length, width=width, kerf=kerf)
    except InputError:
        return False
    return len({item.board for item in sawn}) <= 1
