"""The last refill, which may be noted in several entries, and since when one looks back at it."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta, tzinfo

from pocketpump.core.pump.same_refill import notes_by_refill
from pocketpump.core.units.instants import local_date, to_seconds
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.entry.readable import readable
from pocketpump.record.facts.situation import fill_of, of_kind, pumps_at, until

_FRESH = timedelta(hours=36)
"""A refill noted so lately is of the visit one is at, or has just come from (own choice)."""
_TOLD = ("check-in", "happening", "measure", "programme", "refill")


def last_refill(entries: Iterable[Entry], now: datetime | None) -> tuple[Entry, ...]:
    """Return the entries that note the last refill, up to ``now`` if given; oldest first.

    They are those that the dates take for one refill (`pocketpump.core.pump.same_refill`).
    """
    found = refills_noted(entries, now)
    return found[-1] if found else ()


def refills_noted(entries: Iterable[Entry], now: datetime | None) -> tuple[tuple[Entry, ...], ...]:
    """Return the entries that note each refill, oldest first; see `last_refill`."""
    computed = (one for one in entries if one.kind in ("pump", "refill"))
    kept = readable(computed)[0]
    refills = of_kind(kept if now is None else until(kept, now), "refill")
    noted = {one.id: one for one in sorted(refills, key=by_minute)}
    pumps_from = [one.since for one in pumps_at(kept, now)[1:]]
    found = notes_by_refill(map(fill_of, noted.values()), pumps_from)
    return tuple(tuple(noted[note.id] for note in notes) for notes in found)


def since_last_visit(entries: Iterable[Entry], now: datetime, zone: tzinfo) -> date:
    """Return the day of the last visit, in ``zone``: that of the last refill before this visit.

    A refill of today is of the visit one is at, and what is looked back at is the time before it.
    Without an earlier one that time begins with the first that was noted.
    """
    kept = tuple(entries)
    refills = refills_noted(kept, now)
    before = [
        notes
        for notes in refills
        if to_seconds(now) - to_seconds(notes[0].at) >= _FRESH.total_seconds()
    ]
    if before:
        return local_date(before[-1][0].at, zone)
    told = [local_date(one.at, zone) for one in until(kept, now) if one.kind in _TOLD]
    return min(told, default=local_date(now, zone))
