"""The last refill, which may be noted in several entries."""

from collections.abc import Iterable
from datetime import datetime

from pocketpump.core.pump.same_refill import notes_by_refill
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.entry.readable import readable
from pocketpump.record.facts.situation import fill_of, of_kind, pumps_at, until


def last_refill(entries: Iterable[Entry], now: datetime | None) -> tuple[Entry, ...]:
    """Return the entries that note the last refill, up to ``now`` if given; oldest first.

    They are those that the dates take for one refill (`pocketpump.core.pump.same_refill`).
    """
    computed = (one for one in entries if one.kind in ("pump", "refill"))
    kept = readable(computed)[0]
    refills = of_kind(kept if now is None else until(kept, now), "refill")
    noted = {one.id: one for one in sorted(refills, key=by_minute)}
    pumps_from = [one.since for one in pumps_at(kept, now)[1:]]
    found = notes_by_refill(map(fill_of, noted.values()), pumps_from)
    return tuple(noted[note.id] for note in found[-1]) if found else ()
