"""Where the person stands by the record: the core's sentence, with visit and missed refill."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import TypedDict

from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.state import Known, State, state_now, states
from pocketpump.core.units.instants import local_date, to_seconds
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.circumstances import present_of
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import of_kind, until

_MISSED = "missed refill"


class SinceRefill(TypedDict):
    """What happened since the last refill, as `core.pump.state.states` takes it."""

    missed_on: date | None
    rebooked: bool
    urgent_alarm: bool


NOTHING_SINCE = SinceRefill(missed_on=None, rebooked=False, urgent_alarm=False)


def state_by(entries: Iterable[Entry], answer: Forecast) -> State:
    """Return how things stand at the instant of ``answer``."""
    return state_now(answer, **_known(entries, answer))


def next_turn(entries: Iterable[Entry], answer: Forecast) -> datetime | None:
    """Return the next instant at which things may stand otherwise; None without one.

    Those are the instants of the alarm, its window and of empty; days that begin are left out.
    """
    every = states(answer, **_known(entries, answer))
    now_s = to_seconds(answer.now)
    coming = [one.from_at for one in every if one.from_at and to_seconds(one.from_at) > now_s]
    return min(coming, key=to_seconds, default=None)


def _known(entries: Iterable[Entry], answer: Forecast) -> Known:
    kept = tuple(entries)
    booked = booked_visit(kept, answer.now)
    return {"next_visit_on": booked.on if booked else None, **since_refill(kept, answer)}


def since_refill(entries: Iterable[Entry], answer: Forecast) -> SinceRefill:
    """Return what happened since the last refill; what is dated after ``answer`` does not count.

    The day of a missed refill is that of the zone of ``answer``. The visit that was missed is no
    new one: only what was written down later than the missing is.
    """
    kept = until(entries, answer.now)
    missed = [one for one in of_kind(kept, "happening") if one.payload.get("what") == _MISSED]
    zone = answer.now.tzinfo
    assert zone is not None  # a forecast's instants are aware
    last = max(missed, key=by_minute, default=None)
    # What happened since the first note of it is since the refill.
    refill = next(iter(last_refill(kept, answer.now)), None)
    found = SinceRefill(
        missed_on=None,
        rebooked=False,
        urgent_alarm="urgent alarm" in present_of(kept, answer, answer.now),
    )
    if last is not None and (refill is None or by_minute(refill) < by_minute(last)):
        found["missed_on"] = local_date(last.at, zone)
        booked = booked_visit(kept, answer.now)
        # By when it was said, not written: a later correction of the old refill books nothing.
        found["rebooked"] = booked is not None and by_minute(booked.entry) > by_minute(last)
    return found
