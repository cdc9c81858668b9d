"""Finding the thickness that carries stress, and moving it with what is perturbed.

The lines of `spread` end where they meet the profile or each other. These places are found on
samples, made exact by Newton's method, and become edges of elements. One more, complex, Newton
step carries them along when a derivative is taken.
"""

from __future__ import annotations

import numpy as np

from barmodel.beam.section import Constants
from barmodel.beam.spread import FREE, Lines, Spread, steepest_slope, unlimited
from barmodel.undercut import Profile
from barmodel.undercut.piece import Array, Values

SAMPLES = 65
"""Places looked at in every segment of the profile."""

_DIFFERENCE = 1e-5  # half step of difference quotients inside a smooth segment [m]
_TOUCH = 1e-9  # h and h_s closer than this are equal [m]
_SHORTEST = 1e-6  # pieces shorter than this are not worth an element [m]


def limit(profile: Profile, constants: Constants) -> Spread:
    """Find h_s of a profile.

    Examples
    --------
    A pocket 10 mm deep in wood with E/G = 9: lines rise from the floor into both shoulders.

    >>> from barmodel.undercut import Pocket, build_profile
    >>> wood = Constants(18e9, 2e9, 5 / 6, 800.0, 0.05, 1e9, 1e9, 0.4)
    >>> spread = limit(build_profile(0.4, 0.022, (Pocket(start=0.1, end=0.3, depth=0.01),)), wood)
    >>> [round(1e3 * float(x), 2) for x in spread.edges]
    [0.0, 83.33, 100.0, 300.0, 316.67, 400.0]
    """
    steepest = steepest_slope(constants).real
    x, h = _sampled(profile)
    rise = np.abs(np.diff(h, axis=1)) <= steepest * np.diff(x, axis=1) + _TOUCH
    if rise.all() and not (np.abs(h[1:, 0] - h[:-1, -1]) > _TOUCH).any():
        return unlimited(profile)
    code = _followed(x.reshape(-1), h.reshape(-1), steepest)
    code = _from_edges(code.reshape(x.shape))
    lines, code = _lines(profile, x, code, steepest)
    return _pieces(profile, x, code, lines, steepest)


def carried_along(spread: Spread, profile: Profile, constants: Constants) -> Spread:
    """Move a real h_s with a profile or constants that carry an imaginary step."""
    steepest = steepest_slope(constants)
    lines = _settled_lines(profile, spread.lines, steepest)
    inner = spread.left.size
    kept = np.ones(spread.edges.size, dtype=bool)
    kept[np.flatnonzero(~_profile_edges(spread))] = False
    edges = np.empty(spread.edges.size, dtype=complex)
    edges[kept] = profile.moving_edges
    if inner:
        segment = spread.segment[np.flatnonzero(~kept)]
        places = spread.edges[~kept]
        edges[~kept] = _settled(
            profile, places, segment, spread.left, spread.right, lines, steepest
        )
    return Spread(edges, spread.segment, spread.line, lines, spread.left, spread.right, steepest)


def _profile_edges(spread: Spread) -> np.ndarray:
    """Which edges of the pieces are edges of the profile."""
    changes = np.diff(spread.segment) != 0
    return np.concatenate([[True], changes, [True]])


def _sampled(profile: Profile) -> tuple[Array, Array]:
    """Places in every segment, ends included, and the thickness there, shape (n, SAMPLES)."""
    edges = profile.edges
    x = edges[:-1, None] + np.diff(edges)[:, None] * np.linspace(0.0, 1.0, SAMPLES)
    segment = np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape)
    return x, profile.thickness(x, segment).real


def _followed(x: Array, h: Array, steepest: float) -> np.ndarray:
    """What h_s follows at each sample: −1 h itself, else 2·(sample its line starts at) + side.

    Side 0 is a line that rises to the right of its start, 1 one that rises to its left. The lowest
    line through any sample to the left is a running minimum of h − c x, and so to the right.
    """
    places = np.arange(x.size)

    def lowest(height: Array) -> tuple[Array, np.ndarray]:
        least = np.minimum.accumulate(height)
        return least, np.maximum.accumulate(np.where(height <= least, places, 0))

    left, left_at = lowest(h - steepest * x)
    right, right_at = lowest((h + steepest * x)[::-1])
    left, right = left + steepest * x, right[::-1] - steepest * x
    right_at = x.size - 1 - right_at[::-1]
    free = np.minimum(left, right) >= h - _TOUCH
    return np.where(free, FREE, np.where(left <= right, 2 * left_at, 2 * right_at + 1))


def _from_edges(code: np.ndarray) -> np.ndarray:
    """Let a line that starts at the very edge of a segment own that edge's sample too."""
    code = code.copy()
    n, samples = code.shape
    first, last = np.arange(n) * samples, np.arange(1, n + 1) * samples - 1
    starts = code[:, 1] == 2 * first
    code[starts, 0] = code[starts, 1]
    ends = code[:, -2] == 2 * last + 1
    code[ends, -1] = code[ends, -2]
    return code


def _lines(
    profile: Profile, x: Array, code: np.ndarray, steepest: float
) -> tuple[Lines, np.ndarray]:
    """Collect the lines and renumber `code` by them."""
    used, number = np.unique(code, return_inverse=True)
    number = number.reshape(code.shape)
    if used[0] == FREE:
        used, number = used[1:], number - 1
    start = used // 2
    segment, place = np.divmod(start, x.shape[1])
    edge = np.where(place == 0, segment, segment + 1)
    tangent = (place > 0) & (place < x.shape[1] - 1)
    guess = x.reshape(-1)[start]
    lines = Lines(1 - 2 * (used % 2), segment, tangent, edge, guess, guess)
    return _settled_lines(profile, lines, steepest), number


def _settled_lines(profile: Profile, lines: Lines, steepest: complex) -> Lines:
    """Start the lines exactly where they leave the profile."""
    x = lines.x.astype(profile.moving_edges.dtype)
    x = np.where(lines.tangent, x, profile.moving_edges[lines.edge])
    if lines.tangent.any():
        which = lines.tangent
        segment, wanted = lines.segment[which], lines.sign[which] * steepest
        low, high = profile.edges[segment], profile.edges[segment + 1]
        at = x[which]
        for _ in range(1 if np.iscomplexobj(x) or np.imag(steepest) else 3):
            _h, slope, bend = _local(profile, at, segment)
            at = at - (slope - wanted) / bend.real
            at = at + (np.clip(at.real, low, high) - at.real)
        x = x.astype(np.result_type(x, at))
        x[which] = at
    level = profile.thickness(x, lines.segment)
    return Lines(lines.sign, lines.segment, lines.tangent, lines.edge, x, level)


def _local(profile: Profile, x: Values, segment: np.ndarray) -> tuple[Values, Values, Values]:
    """h, h′ and h″ at places well inside segments, by differences. [m], [1], [1/m]"""
    steps = np.array([[-_DIFFERENCE], [0.0], [_DIFFERENCE]])
    low, here, high = profile.thickness(x + steps, np.broadcast_to(segment, (3, x.size)))
    bend = (high - 2 * here + low) / _DIFFERENCE**2
    return here, (high - low) / (2 * _DIFFERENCE), np.where(np.abs(bend) > 1e-3, bend, 1.0)


def _pieces(profile: Profile, x: Array, code: np.ndarray, lines: Lines, steepest: float) -> Spread:
    """Cut the segments where h_s turns from one line to another or to h."""
    segment, place = np.nonzero(code[:, 1:] != code[:, :-1])
    left, right = code[segment, place], code[segment, place + 1]
    low, high = x[segment, place], x[segment, place + 1]
    at = _settled(profile, (low + high) / 2, segment, left, right, lines, steepest)
    edges = profile.edges
    room = np.minimum(at - edges[segment], edges[segment + 1] - at) > _SHORTEST
    room[1:] &= (np.diff(at) > _SHORTEST) | (np.diff(segment) > 0)
    segment, left, right, at = segment[room], left[room], right[room], at[room]
    every = np.concatenate([edges[:-1], at])
    order = np.argsort(every, kind="stable")
    owner = np.concatenate([np.arange(edges.size - 1), segment])[order]
    line = np.concatenate([code[:, 0], right])[order]
    moved = np.append(every[order], edges[-1])
    return Spread(moved, owner, line, lines, left, right, steepest)


def _settled(
    profile: Profile,
    x: Values,
    segment: np.ndarray,
    left: np.ndarray,
    right: np.ndarray,
    lines: Lines,
    steepest: complex,
) -> Values:
    """Places where h_s turns from `left` to `right` (lines, or −1 for h) inside segments."""
    x = x.astype(np.result_type(x, profile.moving_edges, np.asarray(steepest)))
    one = np.where(left == FREE, right, left)
    free = (left == FREE) | (right == FREE)
    own = lines.tangent[one] & (lines.segment[one] == segment)
    own &= np.where(left == FREE, lines.sign[one] > 0, lines.sign[one] < 0)
    starts, meets, crosses = free & own, ~free, free & ~own
    x[starts] = lines.x[one[starts]]
    a, b = left[meets], right[meets]
    gap = lines.at(x[meets], a, steepest) - lines.at(x[meets], b, steepest)
    closing = (lines.sign[a] - lines.sign[b]) * steepest
    x[meets] = x[meets] - gap / np.where(closing == 0.0, np.inf, closing)
    if crosses.any():
        line, owner, at = one[crosses], segment[crosses], x[crosses]
        for _ in range(1 if np.iscomplexobj(x) else 4):
            h, slope, _bend = _local(profile, at, owner)
            slope = slope.real - lines.sign[line] * np.real(steepest)
            at = at - (h - lines.at(at, line, steepest)) / np.where(slope == 0.0, 1.0, slope)
        x[crosses] = at
    return x
