"""Which visit is booked: the one answer out of refills and visits noted by themselves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.reminders import Reminder, reminders
from pocketpump.core.pump.timeline import minute_of
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.entry.readable import readable
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import of_kind, settling_days_of, until


@dataclass(frozen=True, slots=True)
class BookedVisit:
    """A visit that the clinic has given, on the clinic's own calendar; it may be past.

    ``clock`` is None where no time is noted. ``entry`` is the one that says it.
    """

    on: date
    clock: time | None
    place: str
    entry: Entry


def booked_visit(entries: Iterable[Entry], now: datetime) -> BookedVisit | None:
    """Return the visit that the ``entries`` which count say is booked; None when none is.

    The newest said since the last refill counts. A refill says its next visit at its own
    instant, however late the refill is corrected. A visit says it at the instant it was noted,
    moved or cancelled; said between two notes of one refill it is for the next only when it is for
    a later day. A visit said before the last refill was for that one, or is to be asked about
    again: taking it for the next would keep the call to the clinic from being asked for. The time
    of a refill is often put right afterwards: on its day a visit was said after it, too, that was
    written down later and is for another day. What is dated after ``now`` does not count.
    """
    every = tuple(entries)
    notes = last_refill(every, now)
    visits = readable(of_kind(until(every, now), "visit"))[0]
    said = [one for one in visits if not notes or _said_since_any(notes, one)]
    named = [one for one in notes if one.payload.get("next_visit_on")]
    last = max(said, key=by_minute, default=None)
    last_named = max(named, key=by_minute, default=None)
    if last_named is not None and (last is None or not _said_since(last_named, last)):
        last = last_named
    return None if last is None else _said_by(last)


def _said_since_any(notes: Sequence[Entry], visit: Entry) -> bool:
    if _said_since(notes[-1], visit):
        return True
    day = visit.payload.get("visit_on")
    is_next = day is None or date.fromisoformat(str(day)) > notes[-1].at.date()
    return is_next and any(_said_since(note, visit) for note in notes)


def _said_since(refill: Entry, visit: Entry) -> bool:
    if minute_of(visit.at) >= minute_of(refill.at):
        return True
    day = refill.at.date()
    return (
        visit.at.astimezone(refill.at.tzinfo).date() == day
        and visit.written_at > (refill.first_written_at or refill.written_at)
        and date.fromisoformat(visit.payload["visit_on"]) > day  # type: ignore[arg-type]
    )


def _said_by(entry: Entry) -> BookedVisit | None:
    payload: Mapping[str, Any] = entry.payload
    if entry.kind == "refill":
        return BookedVisit(date.fromisoformat(payload["next_visit_on"]), None, "", entry)
    if payload.get("cancelled"):
        return None
    clock = payload.get("visit_time")
    return BookedVisit(
        date.fromisoformat(payload["visit_on"]),
        time.fromisoformat(clock) if clock else None,
        str(payload.get("place", "")),
        entry,
    )


def reminders_of(entries: Iterable[Entry], answer: Forecast) -> tuple[Reminder, ...]:
    """Return what is coming by ``answer`` and by what ``entries`` say of visit and settling."""
    kept = until(entries, answer.now)
    booked = booked_visit(kept, answer.now)
    return reminders(
        answer,
        next_visit_on=booked.on if booked else None,
        visit_clock=booked.clock if booked else None,
        visit_place=booked.place if booked else "",
        settling_days=settling_days_of(kept, answer.now),
    )
