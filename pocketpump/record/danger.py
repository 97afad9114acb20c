"""From entries to what makes warning signs worse now: see `pocketpump.core.circumstances`."""

from collections.abc import Iterable
from datetime import date, datetime

from pocketpump.core.circumstances import circumstances
from pocketpump.core.instants import to_seconds
from pocketpump.core.opening_hours import clinic_open
from pocketpump.core.outlook import Outlook
from pocketpump.record.care import care_of
from pocketpump.record.diary import contacts_of, happenings_of
from pocketpump.record.entries import Entry
from pocketpump.record.situation import newest

_ALARMS = {"urgent alarm heard": "urgent alarm", "soft alarm heard": "soft alarm"}
_MISSED = "missed refill"


def present_of(entries: Iterable[Entry], answer: Outlook | None, now: datetime) -> dict[str, str]:
    """Return the circumstances that hold at ``now``, id to the sentence that says it.

    A missed refill holds until a refill is logged, an alarm heard until it was answered or a
    refill is logged.
    """
    kept = tuple(entries)
    now_s = to_seconds(now)
    # From the entries, not the answer: there is none while a refill or the dose is missing.
    filled_s = max(
        (to_seconds(e.at) for e in kept if e.kind == "refill" and to_seconds(e.at) <= now_s),
        default=float("-inf"),
    )
    hours_since: dict[str, float] = {}
    since_refill: set[str] = set()
    for happening in happenings_of(kept):
        at_s = to_seconds(happening.at)
        if at_s > now_s:
            continue
        hours_since[happening.what] = (now_s - at_s) / 3_600  # the last one stands last
        if at_s <= filled_s:
            continue
        if happening.what == _MISSED:
            since_refill.add(_MISSED)
        elif happening.what in _ALARMS and not happening.follow_up_done:
            since_refill.add(_ALARMS[happening.what])
    care = care_of(kept, now)
    risks = {
        "T6": care.injury_t6_or_above,
        "earlier withdrawal": care.earlier_withdrawal,
        "cannot speak": care.cannot_communicate,
    }
    return circumstances(
        answer,
        hours_since=hours_since,
        since_refill=since_refill,
        risks={risk for risk, is_so in risks.items() if is_so},
        days_since_implant=_days_since_implant(kept, now),
    )


def clinic_open_of(entries: Iterable[Entry], now: datetime) -> bool | None:
    """Return whether the clinic can be reached by telephone at ``now``; None when not known."""
    return clinic_open(contacts_of(entries), now)


def _days_since_implant(entries: tuple[Entry, ...], now: datetime) -> int | None:
    pump = newest(entries, "pump", now)
    implanted = pump.payload.get("implanted_on") if pump else None
    try:
        return (now.date() - date.fromisoformat(str(implanted))).days if implanted else None
    except ValueError:  # from a damaged or foreign copy
        return None
