"""The thickness that carries stress: stress does not turn corners.

Beside a wall or a steep slope the wood is unloaded over a length of the order of the step times
√(E/G). So stiffness is counted on the largest h_s(x) ≤ h(x) whose slope is at most
c = 1.8·√(G/E) (G of the long–thickness plane): h itself where h is gentle, straight lines of
slope ±c beside walls, rising either from an edge of the profile or from where h′ = ±c. Mass
always comes from the true h.

In coordinates stretched by √(G/E) the stress shadow of a wall is the same for all materials, so
one number serves wood and metal; 1.8 (a shadow of 61°) is fitted to elasticity, not derived.
Lines that leave a smooth h go on with its slope; those that start at an edge need some height of
wall before they count as a slope (`SHALLOW`, fitted to grooves).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.beam.section import Constants
from barmodel.undercut import Profile
from barmodel.undercut.piece import Values

STEEPEST = 1.8
"""Largest slope of h_s, over √(G/E); fitted. [1]"""
SHALLOW = 0.04
"""Height of a wall over the thickness beside it at which it begins to count in full; fitted. [1]"""

FREE = -1
"""In place of a line: h_s = h."""

_FADED = 2.5  # tanh of it is nearly 1


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Straight stretches of h_s, each through (x, level) with slope sign·c."""

    sign: np.ndarray
    segment: np.ndarray
    tangent: np.ndarray  # bool: leaves a smooth h where h′ = ±c; else starts at an edge
    edge: np.ndarray  # edge of the profile it starts at, where not tangent
    x: Values
    level: Values

    def at(self, x: Values, which: np.ndarray, steepest: complex) -> Values:
        """Height of the given lines at x. [m]"""
        rise = self.sign[which] * steepest * (x - self.x[which])
        return np.asarray(self.level[which] + rise)


@dataclass(frozen=True, slots=True, eq=False)
class Spread:
    """h_s(x) in pieces, each inside one segment of the profile.

    Attributes
    ----------
    edges : ndarray, shape (n + 1,)
        Edges of the pieces, complex while a derivative is being taken. [m]
    segment : ndarray of int, shape (n,)
        Segment of the profile that holds each piece.
    line : ndarray of int, shape (n,)
        The straight line each piece follows, `FREE` where it follows h.
    lines : Lines
    left, right : ndarray of int
        Line on either side of each edge that is no edge of the profile.
    steepest : float
        The slope c of the lines. [1]
    """

    edges: Values
    segment: np.ndarray
    line: np.ndarray
    lines: Lines
    left: np.ndarray
    right: np.ndarray
    steepest: complex

    def carrying(self, x: Values, piece: np.ndarray, h: Values) -> tuple[Values, Values]:
        """Return h_s at x and the slope of the line there, 0 where h_s is h. [m], [1]

        A wall of little height turns little stress aside: a line that starts at an edge has its
        slope scaled by tanh((h − h_s)/(0.04 h_s)). One that leaves a smooth h goes on with the
        slope h has there.
        """
        line = self.line[piece]
        on_line = line != FREE
        if not on_line.any():
            return h, np.zeros(x.shape)
        carried = np.where(on_line, self.lines.at(x, line, self.steepest), h)
        above = (h - carried) / (SHALLOW * carried)
        share = np.where(self.lines.tangent[line], 1.0, np.tanh(above))
        slope = self.lines.sign[line] * self.steepest * share
        return carried, np.where(on_line, slope, 0.0)

    def fade(self, piece: int) -> float:
        """Share of a piece in which a line's slope fades out: at its end, or start if negative.

        The line runs into h there; little more than `SHALLOW` of h_s is left above it.
        """
        line = int(self.line[piece])
        if line == FREE or self.lines.tangent[line]:
            return 0.0
        sign = int(self.lines.sign[line])
        start, end = self.edges[piece : piece + 2].real
        top = np.array([end if sign > 0 else start])
        height = float(self.lines.at(top, np.array([line]), self.steepest)[0].real)
        share = _FADED * SHALLOW * height / (abs(self.steepest) * (end - start))
        return sign * min(0.5, float(share))


def steepest_slope(constants: Constants) -> complex:
    """c = 1.8·√(G/E). [1]"""
    return complex(STEEPEST * np.sqrt(constants.g / constants.e + 0j))


def unlimited(profile: Profile) -> Spread:
    """Return h_s = h, as plain theory has it."""
    count = profile.moving_edges.size - 1
    none = np.empty(0, dtype=int)
    lines = Lines(none, none, none.astype(bool), none, np.empty(0), np.empty(0))
    free = np.full(count, FREE)
    return Spread(profile.moving_edges, np.arange(count), free, lines, none, none, np.inf)
