"""When the next backup is due."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from pocketpump.core.messages import message, plural_message
from pocketpump.record import Entry
from pocketpump.record.facts.situation import newest

AFTER_DAYS = 30
AFTER_ENTRIES = 30
"""Our own defaults: at most a month, or thirty entries, would have to be remembered."""


@dataclass(frozen=True, slots=True)
class BackupState:
    """How things stand with backups.

    ``made_at`` is when the last one was noted, None if never; ``since`` how many entries are
    not in it; ``due`` tells whether it is time for one.
    """

    made_at: datetime | None
    since: int
    due: bool


def backup_state(entries: Iterable[Entry], alive: Iterable[Entry], now: datetime) -> BackupState:
    """Return how things stand at ``now``; ``entries`` are all, ``alive`` those that count.

    Entries are counted, not dated: what came in from another copy is old by its dates, and
    still in no backup of this one.
    """
    held = tuple(entries)
    note = newest(alive, "backup", now)
    if note is None:
        since = len(held)
        oldest = min((entry.written_at for entry in held), default=now)
    else:
        in_it = note.payload.get("entry_count")
        known = in_it if isinstance(in_it, int) else 0
        since = max(0, len(held) - known - 1)  # the note itself is no news
        oldest = note.at
    late = now - oldest > timedelta(days=AFTER_DAYS)
    # A note from the future means that a clock was wrong, and then age says nothing.
    odd = now < oldest - timedelta(days=1)
    due = since > 0 and (late or odd or since > AFTER_ENTRIES)
    return BackupState(note.at if note else None, since, due)


def say_state(state: BackupState, now: datetime) -> str:
    """Return how things stand in one sentence."""
    if state.made_at is None:
        return plural_message(
            "There is no backup yet: {count} entry is only on this device.",
            "There is no backup yet: {count} entries are only on this device.",
            state.since,
        )
    if state.since == 0:
        return message("Everything is in your last backup.")
    days = (now - state.made_at).days
    ago = (
        message("today")
        if days <= 0
        else plural_message("{count} day ago", "{count} days ago", days)
    )
    return plural_message(
        "Your last backup was made {ago}: {count} entry is not in it.",
        "Your last backup was made {ago}: {count} entries are not in it.",
        state.since,
        ago=ago,
    )
