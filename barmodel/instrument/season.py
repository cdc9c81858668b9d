"""What to leave today, so that a bar is right in the room it will be played in."""

from __future__ import annotations

from barmodel.errors import InputError
from barmodel.instrument.plan import SetPlan
from barmodel.weather import Shift, offset_to_leave
from barmodel.wood import Wood, species


def to_leave(plan: SetPlan, wood: Wood) -> Shift | None:
    """Cents above its target to leave a bar at today.

    Parameters
    ----------
    plan : SetPlan
        Says where the set will be played, and perhaps where it is tuned.
    wood : Wood
        Of the bar; its species tells how it answers.

    Returns
    -------
    Shift or None
        None where a room or the species is not known.
    """
    if plan.room is None or plan.bench is None or wood.species is None:
        return None
    try:
        response = species(wood.species).weather(sawn=wood.sawn)
    except InputError:  # a wood that is not in the table
        return None
    return offset_to_leave(response, plan.bench, plan.room)
