"""What cuts would do to a bar: before, after, shift."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.cuts import Cut, apply_cuts
from barmodel.modes import Model, ModeSet, solve
from barmodel.pitch import cents
from barmodel.solid import Family
from barmodel.undercut.piece import Array


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """Effect of some cuts.

    Attributes
    ----------
    bar, cut_bar : Bar
        Before and after.
    before, after : ModeSet
        Modes before and after, by the same model on the same kind of mesh.
    shift_cents : ndarray, shape (k,)
        Of the bending modes. [cent]
    least_thickness, thinnest_at : float
        Least thickness after the cuts, and where. [m]
    mass_removed : float
        [kg]
    """

    bar: Bar
    cut_bar: Bar
    before: ModeSet
    after: ModeSet
    shift_cents: Array
    least_thickness: float
    thinnest_at: float
    mass_removed: float


def predict(
    bar: Bar,
    cuts: Sequence[Cut],
    *,
    model: Model = "best",
    count: int = 3,
    families: Sequence[Family] = ("bending",),
    keep: float = LEAST_THICKNESS,
) -> Prediction:
    """Solve a bar without and with some cuts.

    Parameters
    ----------
    bar : Bar
    cuts : sequence of Shape or EndTrim
        In order; positions from the left end as it is when the cut is made.
    model, count, families
        As for `barmodel.modes.solve`.
    keep : float
        Thickness that must remain where something is cut. [m]

    Raises
    ------
    GeometryError
        If a cut cannot be made; with the nearest possible one.
    """
    cut_bar = apply_cuts(bar, cuts, keep=keep)
    before = solve(bar, model=model, count=count, families=families)
    after = solve(cut_bar, model=model, count=count, families=families)
    least, place = cut_bar.profile.least_thickness()
    return Prediction(
        bar=bar,
        cut_bar=cut_bar,
        before=before,
        after=after,
        shift_cents=cents(after.bending_hz, before.bending_hz),
        least_thickness=least,
        thinnest_at=place,
        mass_removed=bar.mass - cut_bar.mass,
    )
