"""Errors a maker can act on: what is wrong, the rule and why, what to do next.

Each class is also the fitting built-in, so that library users may catch either.
The command line turns them into a message and an exit code, in one place.
"""

from __future__ import annotations

from typing import Self


class BarModelError(Exception):
    """Any error this package raises on purpose.

    Attributes
    ----------
    too_thin : bool
        Whether a smaller least thickness would let it pass: who set that may want to know.
    """

    too_thin = False

    def if_thinner(self, would: bool = True) -> Self:
        """Return the error, marked as one that a smaller least thickness would let pass."""
        self.too_thin = would
        return self


class InputError(BarModelError, ValueError):
    """A value, name, option or combination that cannot be used."""


class GeometryError(InputError):
    """A bar, cut or hole that cannot exist: through the bar, outside it, too thin."""


class FileError(InputError):
    """A file that cannot be read or written, or does not hold what it should."""


class RecordingError(InputError):
    """A recording that cannot be read or holds no usable strike."""


class NoSolutionError(BarModelError, RuntimeError):
    """The task is well posed but has no solution inside the limits; the text says what helps."""


class NotConvergedError(NoSolutionError):
    """An iteration stopped before it reached its tolerance."""


class MissingExtraError(BarModelError, ImportError):
    """An optional package is not installed; the text names the extra to install."""
