"""Find the undercut of one bar: search on the beam, let the last model correct, say what came."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmodel.design.advice import refuse
from barmodel.design.aim import Offset
from barmodel.design.correct import ACCEPT, MET_ON_BEAM, finish
from barmodel.design.record import Design
from barmodel.design.request import Request
from barmodel.design.search import improve, make_aim, meet
from barmodel.undercut.piece import Array


def find(request: Request, *, advise: bool = True, expected_cents: Array | None = None) -> Design:
    """Find the undercut.

    Parameters
    ----------
    request : Request
    advise : bool
        Whether a refusal looks for changes that work; it takes seconds.
    expected_cents : ndarray, shape (k,), optional
        What the last model is likely to say above the beam, as on a bar much like this one; a
        good guess saves asking it twice. [cent]

    Raises
    ------
    InputError
        If the request contradicts itself.
    NoDesignError
        If nothing inside the limits meets the target, with changes that were tried and work.

    Examples
    --------
    >>> from barmodel.bar import Blank
    >>> from barmodel.pitch import Target
    >>> from barmodel.wood import from_partial
    >>> blank = Blank(length=0.372, width=0.053, thickness=0.022,
    ...               wood=from_partial(density=1000.0, e_long=21e9))
    >>> design = find(Request(blank=blank, target=Target("C4"), model="beam"))
    >>> bool(abs(design.cents).max() < 0.01)
    True
    """
    aim = make_aim(request)
    if expected_cents is not None:
        unknowns = len(aim.family.unknowns)
        slope = np.zeros((expected_cents.size, unknowns))
        aim = replace(aim, offset=Offset(np.zeros(unknowns), expected_cents, slope))
    aim, hit, met = meet(request, aim)
    if not met:
        refuse(request, hit, advise=advise)
    hit = improve(request, aim, hit)
    design = finish(request, aim, hit)
    if np.abs(design.cents).max() > (MET_ON_BEAM if request.model == "beam" else ACCEPT):
        refuse(request, hit, nearly=design, advise=advise)
    return design
