"""The alarm date that the clinic printed, and which entry holds it."""

from collections.abc import Iterable
from datetime import date, datetime

from pocketpump.core.situation import Situation
from pocketpump.core.timeline import minute_of
from pocketpump.record.entries import Entry


def printed_alarm(
    printouts: Iterable[Entry], situation: Situation
) -> tuple[date | None, datetime | None]:
    """Return the newest printed alarm date since the last refill, and when it was printed.

    ``printouts`` are the refills and dose settings that may hold one, ``situation`` is theirs.
    A refill noted twice was printed once, whichever of the entries holds the date, and when the
    last of them was noted: a dose set at that visit was set before the printing.
    """
    if not situation.fills:
        return None, None
    notes = situation.notes_of(situation.fills[-1])
    first, last_note = notes[0], notes[-1]
    dated = []
    for entry in printouts:
        printed = entry.payload.get("printed_alarm_on")
        if not printed:
            continue
        if minute_of(entry.at) >= minute_of(first.at):
            at = max(last_note.at, entry.at, key=minute_of)
            dated.append((minute_of(at), at, date.fromisoformat(str(printed))))
    if not dated:
        return None, None
    last, at, _ = max(dated, key=lambda one: one[0])
    # Of two dates handed out at once the earlier one is the safe one.
    return min(printed for minute, _, printed in dated if minute == last), at
