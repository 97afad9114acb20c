"""The alarm date that the clinic printed, and which entry holds it."""

from collections.abc import Iterable
from datetime import date, datetime

from pocketpump.core.situation import Situation
from pocketpump.core.timeline import Fill, minute_of
from pocketpump.core.twins import is_twin
from pocketpump.record.entries import Entry


def printed_alarm(
    printouts: Iterable[Entry], situation: Situation
) -> tuple[date | None, datetime | None]:
    """Return the newest printed alarm date since the last refill, and when it was printed.

    ``printouts`` are the refills and dose settings that may hold one, ``situation`` is theirs.
    A refill noted twice was printed once, whichever of the two entries holds the date.
    """
    if not situation.fills:
        return None, None
    fill = situation.fills[-1]
    fills = {one.id: one for one in (*situation.fills, *situation.noted_twice)}
    dated = []
    for entry in printouts:
        printed = entry.payload.get("printed_alarm_on")
        if not printed:
            continue
        same = minute_of(entry.at) == minute_of(fill.at)
        one = fills.get(entry.id)
        if same or (isinstance(one, Fill) and is_twin(one, fill)):
            at = fill.at if same else entry.at
            dated.append((minute_of(fill.at), at, date.fromisoformat(str(printed))))
        elif minute_of(entry.at) > minute_of(fill.at):
            dated.append((minute_of(entry.at), entry.at, date.fromisoformat(str(printed))))
    if not dated:
        return None, None
    last, at, _ = max(dated, key=lambda one: one[0])
    # Of two dates handed out at once the earlier one is the safe one.
    return min(printed for minute, _, printed in dated if minute == last), at
