"""Which notes are of one refill, for example of two phones whose records were merged.

Which of them counts is decided by `Situation.readings` and `forecast`.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import pairwise

from pocketpump.core.pump.timeline import Fill, minute_of
from pocketpump.core.units.instants import to_seconds

# No pump is refilled twice within half a day in the ordinary way (own choice, no source).
_APART_S = 12 * 3_600


def notes_by_refill(
    fills: Iterable[Fill], pumps_from: Sequence[datetime] = ()
) -> tuple[tuple[Fill, ...], ...]:
    """Return the notes of each refill, both oldest first; in one minute in the order given.

    Two notes no more than 12 hours apart are of one refill, as on two phones in the same room,
    unless another pump came between them (``pumps_from``): no pump is refilled twice so soon.
    """
    found: list[list[Fill]] = []
    for fill in sorted(fills, key=lambda one: minute_of(one.at)):
        if found and is_one_refill(found[-1][-1], fill, pumps_from):
            found[-1].append(fill)
        else:
            found.append([fill])
    return tuple(map(tuple, found))


def is_one_refill(note: Fill, other: Fill, pumps_from: Sequence[datetime] = ()) -> bool:
    """Return whether the two notes, in any order, are of one refill; see `notes_by_refill`."""
    first_s, second_s = sorted((to_seconds(note.at), to_seconds(other.at)))
    return second_s - first_s <= _APART_S and not any(
        first_s < to_seconds(since) <= second_s for since in pumps_from
    )


def agree(notes: Sequence[Fill]) -> bool:
    """Return whether all ``notes`` have the same volume and strength, however written."""
    return all(
        abs(one.volume_ml - other.volume_ml) <= 1e-3
        and abs(one.strength_mcg_per_ml - other.strength_mcg_per_ml)
        <= 1e-5 * other.strength_mcg_per_ml
        for one, other in pairwise(notes)
    )
