"""Which pump is in the body: since when it is another than before."""

from collections.abc import Iterable
from datetime import date, datetime, time
from itertools import pairwise

from pocketpump.core.instants import to_seconds
from pocketpump.record.entries import Entry


def pumps_from(entries: Iterable[Entry]) -> tuple[datetime, ...]:
    """Return from when on another pump than before is in the body, by the pump ``entries``.

    A new pump is noted by saving the pump with its own serial number or its own, later, implant
    date. With one number the date was only mended, and with one date the number was. The pump
    counts from the day of its implant; where that is not known, from the day it was noted on.
    """
    ordered = sorted(entries, key=lambda one: (to_seconds(one.at), one.written_at, one.id))
    return tuple(_begin(before, after) for before, after in pairwise(ordered)
                 if _is_other(before, after))  # fmt: skip


def _is_other(before: Entry, after: Entry) -> bool:
    was, now = _text(before, "implanted_on"), _text(after, "implanted_on")
    old, new = _serial(before), _serial(after)
    if old and new:
        return old != new and (was != now or not was)
    return bool(was) and now > was


def _begin(before: Entry, after: Entry) -> datetime:
    implanted_on = _text(after, "implanted_on")
    # A date that was left standing is that of the pump before.
    is_own = implanted_on and implanted_on != _text(before, "implanted_on")
    day = date.fromisoformat(implanted_on) if is_own else after.at.date()
    return datetime.combine(day, time(), after.at.tzinfo)


def _serial(entry: Entry) -> str:
    """Return the serial number without what people write or leave out."""
    return "".join(filter(str.isalnum, _text(entry, "serial"))).casefold()


def _text(entry: Entry, field: str) -> str:
    return str(entry.payload.get(field) or "").strip()
