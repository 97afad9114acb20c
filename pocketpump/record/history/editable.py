"""Which entries an act may touch, and which go along with the one it names: pure functions."""

from collections.abc import Mapping

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message
from pocketpump.record.entry.entries import Entry
from pocketpump.record.history.history import Resolved


def editable(entries: Mapping[str, Entry], settled: Resolved, entry_id: str) -> Entry:
    """Return an entry that may still be changed; raises `InputError`, saying why it may not."""
    entry = entries.get(entry_id)
    if entry is None:
        raise InputError(
            message("This entry is not in the record; please go back and choose again.")
        )
    if entry_id in settled.taken_back:
        raise InputError(message("This entry was already taken back; nothing was changed."))
    if entry_id in settled.superseded:
        raise InputError(
            message("This entry was changed since; please use its newest version instead.")
        )
    return entry


def earlier_versions(settled: Resolved, entry_id: str) -> list[str]:
    """Return the ids of the line of an entry without its own and those taken back."""
    line = settled.line.get(entry_id, entry_id)  # added since: a line of its own
    return [
        one
        for one, first in settled.line.items()
        if first == line and one != entry_id and one not in settled.taken_back
    ]


def removed_together(entries: Mapping[str, Entry], settled: Resolved, removal: Entry) -> list[str]:
    """Return the ids of the other removals that were written together with ``removal``.

    They were one act of the person, and so is their undo.
    """
    main = removal.payload.get("together", removal.id)
    return [
        other.id
        for other in entries.values()
        if other.removes is not None
        and main in (other.id, other.payload.get("together"))
        and other.id != removal.id
        and other.id not in settled.taken_back
    ]
