"""The wood of a bar from what was heard: stiffnesses and how well they are known.

A struck blank tells E along the grain by its pitch, the shear modulus of the long–thickness plane
by how far its higher bending modes lie below a slender bar's, and the shear modulus of the
long–width plane by its torsional modes. All are fitted at once, in logarithms, with the model
itself and not a first-order formula; where data are few, what is known of the species helps.

References
----------
E. Goens, Ann. Phys. 403 (1931) 649; L. Brancheriau and H. Bailleres, Wood Sci. Technol. 36 (2002)
367: the first-order method, biased by 2–3 % in G (both from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.beam import derivative, solve_beam
from barmodel.beam.theory import Section
from barmodel.errors import InputError, NotConvergedError
from barmodel.fit.records import CENT, Heard, Taps, WoodFit, heard_in
from barmodel.modes import solve
from barmodel.solid import Order
from barmodel.undercut.piece import Array
from barmodel.wood import Wood, spread_of

ENOUGH = 3
"""Bending modes from which a fit leans on no prior for E and the bending shear modulus."""

FitModel: TypeAlias = Literal["best", "plain"]
_ROUNDS, _SETTLED = 30, 1e-10
_DIFFERENCE = 0.01
_SOLID_ROUNDS, _SOLID_SETTLED = 4, 1e-4  # a change of 1e-4 in E moves the offset 1e-3 cent


def fit_wood(bar: Bar, taps: Taps, *, model: FitModel = "best", lean: bool = False) -> WoodFit:
    """Fit the stiffness of a bar's wood to its frequencies.

    Parameters
    ----------
    bar : Bar
        Size, undercut if any, density, and the constants to start from (also the priors).
    taps : Taps
    model : {"best", "plain"}
        best: the beam carrying the solid's correction; plain: Timoshenko's beam alone, for
        textbook cases (bending only).
    lean : bool
        Lean on the species' value of every constant, however much was heard: for slender bars,
        whose taps hardly tell the shear modulus.

    Returns
    -------
    WoodFit

    Raises
    ------
    InputError
        If the taps cannot be those of this bar.
    NotConvergedError
        If the fit does not settle, not even without the highest of three or more bending modes.

    Notes
    -----
    E and the long–thickness G are known apart only from two or more bending modes, so a single
    tap moves E and leaves G at its ratio; see `WoodFit.prior`.
    """
    heard = heard_in(taps)
    if model == "plain" and heard.torsional:
        raise InputError("the plain beam knows no torsion; leave the torsional modes out")
    try:
        return _fit(bar, heard, model, lean)
    except NotConvergedError:
        if len(heard.bending) < ENOUGH:
            raise
    # on a short wide bar the highest mode mixes with one that bends across the width, and the beam
    # takes now the one and now the other for it: the modes below tell enough
    fitted = _fit(bar, heard.without_highest, model, lean)
    return replace(fitted, left_out=(heard.labels[len(heard.bending) - 1],))


def _fit(bar: Bar, heard: Heard, model: FitModel, lean: bool) -> WoodFit:
    names = _names(heard)
    start = bar.blank.wood
    prior = _priors(start, names, heard, lean)
    wood, offset = start, np.zeros(heard.log_hz.size)
    torsion_slope = _torsion_slopes(bar, heard, names)
    for _ in range(_SOLID_ROUNDS):
        if model == "best":
            offset = _correction(_with_wood(bar, wood), heard)
        base = wood
        wood, information, residual = _settle(
            bar, base, start, heard, names, prior, offset, torsion_slope, model
        )
        moved = max(abs(math.log(getattr(wood, n) / getattr(base, n))) for n in names)
        if model == "plain" or moved < _SOLID_SETTLED:
            break
    covariance = np.linalg.inv(information)
    error = np.sqrt(np.diag(covariance))
    excess = float(residual @ residual) - float(heard.error @ heard.error)
    spare = residual.size - len(names)
    return WoodFit(
        wood=replace(wood, assumed=wood.assumed - set(names)),
        names=names,
        standard_error=error,
        correlation=covariance / np.outer(error, error),
        modes=heard.labels,
        residual_cents=residual / CENT,
        reading_cents=heard.error / CENT,
        unevenness_cents=math.sqrt(max(excess, 0.0) / spare) / CENT if spare > 0 else math.nan,
        prior=tuple(name for name, spread in zip(names, prior, strict=True) if np.isfinite(spread)),
        model="plain beam" if model == "plain" else "beam corrected by the solid",
    )


def _names(heard: Heard) -> tuple[str, ...]:
    bending = ("e_long", "g_long_thick") if heard.bending else ()
    return (*bending, "g_long_width") if heard.torsional else bending


def _priors(start: Wood, names: tuple[str, ...], heard: Heard, lean: bool) -> Array:
    """Relative spread of each constant's prior; infinite where the data speak for themselves."""
    spreads, known = [], spread_of(start)
    for name in names:
        enough = len(heard.bending) >= ENOUGH if name != "g_long_width" else bool(heard.torsional)
        spreads.append(math.inf if enough and not lean else known[name])
    return np.array(spreads)


def _with_wood(bar: Bar, wood: Wood) -> Bar:
    return replace(bar, blank=replace(bar.blank, wood=wood))


def _changed(wood: Wood, names: tuple[str, ...], step: Array) -> Wood:
    """The wood with fitted constants multiplied by exp(step), crosswise ones following E."""
    factors = dict(zip(names, np.exp(step).tolist(), strict=True))
    stiffer = factors.get("e_long", 1.0)
    moduli = {name: getattr(wood, name) * stiffer for name in ("e_width", "e_thick")}
    moduli |= {name: getattr(wood, name) * factor for name, factor in factors.items()}
    return replace(wood, **moduli)


def _correction(bar: Bar, heard: Heard) -> Array:
    """ln solid − ln beam of the bending modes heard, ln solid of the torsional ones."""
    hz = _solid(bar, heard)
    bending = list(heard.bending)
    if not bending:
        return hz
    hz[: len(bending)] -= np.log(solve_beam(bar, count=max(bending) + 1).hz[bending])
    return hz


def _torsion_slopes(bar: Bar, heard: Heard, names: tuple[str, ...]) -> Array:
    """d ln f / d ln constant of the torsional modes heard, by differences, shape (n, p)."""
    slopes = np.zeros((len(heard.torsional), len(names)))
    if not heard.torsional:
        return slopes
    only = replace(heard, bending=())
    before = _solid(bar, only, order="quick")
    for column in range(len(names)):
        step = np.zeros(len(names))
        step[column] = _DIFFERENCE
        moved = _with_wood(bar, _changed(bar.blank.wood, names, step))
        slopes[:, column] = (_solid(moved, only, order="quick") - before) / _DIFFERENCE
    return slopes


def _solid(bar: Bar, heard: Heard, *, order: Order = "standard") -> Array:
    """ln f of what was heard, bending first, by the solid."""
    picked: list[Array] = []
    if heard.bending:
        count = max(heard.bending) + 1
        modes = solve(bar, model="solid", count=count, families=["bending"], order=order)
        picked.append(modes.bending_hz[list(heard.bending)])
    if heard.torsional:
        count = max(heard.torsional) + 1
        modes = solve(bar, model="solid", count=count, families=["torsion"], order=order)
        picked.append(modes.torsional_hz[list(heard.torsional)])
    return np.log(np.concatenate(picked))


def _settle(
    bar: Bar,
    base: Wood,
    start: Wood,
    heard: Heard,
    names: tuple[str, ...],
    prior: Array,
    offset: Array,
    torsion_slope: Array,
    model: FitModel,
) -> tuple[Wood, Array, Array]:
    """Gauss–Newton with a fixed correction: the wood, its information matrix, the residual."""
    weight, pull = 1.0 / heard.error**2, np.where(np.isfinite(prior), prior, np.inf) ** -2.0
    step = np.zeros(len(names))
    from_start = np.array([math.log(getattr(base, n) / getattr(start, n)) for n in names])
    for _ in range(_ROUNDS):
        wood = _changed(base, names, step)
        predicted, slopes = _predict(_with_wood(bar, wood), heard, names, model)
        predicted = predicted + offset
        torsional = slice(len(heard.bending), None)
        slopes[torsional] = torsion_slope
        predicted[torsional] += torsion_slope @ step
        residual = heard.log_hz - predicted
        information = slopes.T @ (weight[:, None] * slopes) + np.diag(pull)
        gradient = slopes.T @ (weight * residual) - pull * (from_start + step)
        change = np.clip(np.linalg.solve(information, gradient), -0.5, 0.5)
        step = step + change
        if np.abs(step + from_start).max() > math.log(20.0):
            raise InputError(
                "the frequencies ask for a stiffness twenty times off the species' value; check "
                "the note, the size of the bar, and which mode each frequency belongs to"
            )
        if np.abs(change).max() < _SETTLED:
            return wood, information, residual
    raise NotConvergedError(
        "the fit of the wood did not settle; check which mode each frequency belongs to"
    )


def _predict(
    bar: Bar, heard: Heard, names: tuple[str, ...], model: FitModel
) -> tuple[Array, Array]:
    """ln f of the beam and its slopes in the logarithms of the constants; torsion left zero."""
    rows = len(heard.bending) + len(heard.torsional)
    predicted, slopes = np.zeros(rows), np.zeros((rows, len(names)))
    if heard.bending:
        picked = list(heard.bending)
        section: Section = "plain" if model == "plain" else "aware"
        modes = solve_beam(bar, section=section, count=max(picked) + 1)
        predicted[: len(picked)] = np.log(modes.hz[picked])
        wood = bar.blank.wood
        shear = wood.g_long_thick * derivative(modes, "g")[picked]
        held = wood.g_long_width * derivative(modes, "g_long_width")[picked]
        # all moduli together raise ln f by half; those across the grain follow E, the shears do not
        slopes[: len(picked), 0] = 0.5 - shear - held
        slopes[: len(picked), 1] = shear
    return predicted, slopes
