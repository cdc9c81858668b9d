"""When a bar counts as finished; kept lower down, for rooms that need no more of the bench."""

from barmodel.tolerance import TOLERANCE_CENTS, in_tolerance

__all__ = ["TOLERANCE_CENTS", "in_tolerance"]
