"""Which notes are of one refill, and what counts of them: whatever gives the earlier dates."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from pocketpump.core.instants import to_seconds
from pocketpump.core.timeline import Fill, minute_of

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


def counted(notes: Sequence[Fill]) -> Fill:
    """Return the fill that counts for the ``notes`` of one refill: no date is later by another.

    That is the earliest instant, the smaller volume and the weaker drug, of which more has to
    flow; a bridge only where the notes agree on it. Of what was left the most delivered counts.
    The id is that of the note with the smaller volume, and among equals of the one that knows
    what was left, or was given last.
    """
    if len(notes) == 1:
        return notes[0]
    withdrawn = [note.withdrawn_ml for note in notes if note.withdrawn_ml is not None]
    expected = [note.expected_ml for note in notes if note.expected_ml is not None]
    named = min(
        reversed(notes),
        key=lambda note: (note.volume_ml, note.withdrawn_ml is None, note.withdrawn_ml or 0.0),
    )
    bridges = {note.bridged for note in notes}
    return replace(
        named,
        at=min((note.at for note in notes), key=to_seconds),
        strength_mcg_per_ml=min(note.strength_mcg_per_ml for note in notes),
        bridged=bridges.pop() if len(bridges) == 1 else None,
        expected_ml=max(expected, default=None),
        withdrawn_ml=min(withdrawn, default=None),
    )


def agree(notes: Sequence[Fill]) -> bool:
    """Return whether all ``notes`` have the same volume and strength, however written."""
    return all(
        abs(one.volume_ml - other.volume_ml) <= 1e-3
        and abs(one.strength_mcg_per_ml - other.strength_mcg_per_ml)
        <= 1e-5 * other.strength_mcg_per_ml
        for one, other in pairwise(notes)
    )
