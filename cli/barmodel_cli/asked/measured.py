"""How deep a cut was found to be afterwards: by a depth gauge, or by the thickness that remains."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barmodel_cli.asked.cutting import to_cuts
from barmodel_cli.asked.options import BadValue

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import CutEntry

ONE_OF = "--measured-depth and --remains measure the same; give one of them"


def measured_depth(
    bar: Bar, made: tuple[CutEntry, ...], *, depth_mm: float | None, remains_mm: float | None
) -> float | None:
    """Depth of a cut as it was found; None if nothing was measured. [mm]

    Parameters
    ----------
    bar : Bar
        Before the cut.
    made : tuple of CutEntry
    depth_mm : float or None
        Measured depth.
    remains_mm : float or None
        Least thickness measured where it was cut.

    Raises
    ------
    BadValue
        If both were given, of a cut of several parts, or if that thickness cannot be.
    """
    from barmodel.cuts import EndTrim, depth_leaving
    from barmodel.units import MM

    if depth_mm is None and remains_mm is None:
        return None
    if depth_mm is not None and remains_mm is not None:
        raise BadValue(ONE_OF)
    option = "--remains" if depth_mm is None else "--measured-depth"
    if len(made) != 1:
        raise BadValue(
            f"{option} belongs to one part of a cut, and this has {len(made)}: record them one by "
            f"one, in their order, with --part 1 {option} …, then --part 2 {option} …"
        )
    if depth_mm is not None or remains_mm is None:
        return depth_mm
    (cut,) = to_cuts(made)
    if isinstance(cut, EndTrim) or made[0].shape == "table":
        raise BadValue("--remains belongs to an arch, a pocket or a groove")
    found = depth_leaving(bar, cut, remains_mm * MM)
    if found <= 0.0:
        raise BadValue(
            f"--remains is {remains_mm:g} mm, and there is no more than that without the cut, by "
            "the log; measure again, or look whether an earlier cut is written down as it was made"
        )
    return round(found / MM, 3)
