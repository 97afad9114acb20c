"""Two contents of one id: the one keeps the id, the other is kept under an id of its own.

That happens when a table row is edited in a spreadsheet and read on a device that has not got the
entry yet, or when a file is changed by hand. No content may be lost, and every copy must come to
the same outcome, in whatever order the contents meet. So the content whose :func:`canonical` text
sorts first keeps the id, and each other one becomes an entry that *replaces* it, under the id that
its content alone decides. Which contents have met can be read back from the outcome, and uniting
outcomes unites those sets: the merge stays commutative, associative and idempotent.
"""

import uuid
from collections.abc import Mapping, MutableMapping
from dataclasses import replace

from pocketpump.record.entry.entries import Entry, canonical


def apart(entry: Entry) -> Entry:
    """Return the entry that keeps the content of ``entry`` beside another one of its id.

    A removal goes on removing what it removes; anything else replaces its own id.
    """
    own = str(uuid.uuid5(uuid.NAMESPACE_URL, canonical(replace(entry, replaces=None))))
    if entry.removes is not None:
        return replace(entry, id=own)
    return replace(entry, id=own, replaces=entry.id)


def is_apart(entry: Entry) -> bool:
    """Tell whether ``entry`` is another content of the entry it replaces, and no correction."""
    # The look at the version first: hashing each correction of ten years would take its time.
    if entry.replaces is None or entry.removes is not None or entry.id[14:15] != "5":
        return False
    return apart(replace(entry, id=entry.replaces)).id == entry.id


def put(held: MutableMapping[str, Entry], entry: Entry) -> tuple[Entry, ...]:
    """Take ``entry`` into ``held`` and return what is new in it, the entry put apart last.

    ``held`` is by id. What was held already gives nothing.
    """
    new: list[Entry] = []
    while True:
        ours = held.get(entry.id)
        if ours is None:
            held[entry.id] = entry
            return (*new, entry)
        if ours is entry or canonical(ours) == canonical(entry):
            return tuple(new)
        first, other = sorted((ours, entry), key=canonical)
        if first is entry:
            held[entry.id] = entry
            new.append(entry)
        entry = apart(other)


def first_ids(by_id: Mapping[str, Entry]) -> dict[str, str]:
    """Return, for every entry kept apart, the id of the one that kept the id."""
    firsts = {
        one: str(entry.replaces)
        for one, entry in by_id.items()
        if entry.replaces in by_id and is_apart(entry)
    }
    for one, first in firsts.items():
        while first in firsts:  # apart from one that is itself kept apart
            first = firsts[first]
        firsts[one] = first
    return firsts
