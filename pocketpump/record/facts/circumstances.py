"""What of the entries makes warning signs worse now, for `core.safety.circumstances`."""

from collections.abc import Iterable
from datetime import datetime

from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.safety.circumstances import circumstances
from pocketpump.core.safety.contacts import can_be_dialled
from pocketpump.core.safety.opening_hours import clinic_open, is_answered
from pocketpump.core.units.instants import is_zone, to_seconds, zone_named
from pocketpump.record.entry.entries import Entry, by_minute
from pocketpump.record.facts.card_facts import care_of
from pocketpump.record.facts.diary import contacts_of, diary_events_of
from pocketpump.record.facts.last_refill import last_refill
from pocketpump.record.facts.situation import habits_of, newest, of_kind, until

_UNTIL_ANSWERED = {
    "urgent alarm heard": "urgent alarm",
    "soft alarm heard": "soft alarm",
    "catheter problem": "catheter problem",
}
_MISSED = "missed refill"


def present_of(entries: Iterable[Entry], answer: Forecast | None, now: datetime) -> dict[str, str]:
    """Return the circumstances that hold at ``now``, id to the sentence that says it.

    A missed refill holds until a refill is logged; an alarm or trouble with the catheter until the
    clinic has looked at it or a refill is logged.
    """
    kept = tuple(entries)
    now_s = to_seconds(now)
    # From the entries, not the answer: there is none while a refill or the dose is missing.
    # Since its first note: another one, hours later, ends nothing.
    refill = next(iter(last_refill(kept, now)), None)
    hours_since: dict[str, float] = {}
    since_refill: set[str] = set()
    happened = of_kind(until(kept, now), "happening")
    for entry, diary_event in ((e, one) for e in happened for one in diary_events_of([e])):
        # The last one stands last.
        hours_since[diary_event.what] = (now_s - to_seconds(diary_event.at)) / 3_600
        if refill is not None and by_minute(entry) < by_minute(refill):
            continue
        if diary_event.what == _MISSED:
            since_refill.add(_MISSED)
        elif diary_event.what in _UNTIL_ANSWERED and not diary_event.follow_up_done:
            since_refill.add(_UNTIL_ANSWERED[diary_event.what])
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
        days_since_implant=(now.date() - care.implanted_on).days if care.implanted_on else None,
    )


def clinics_answered(entries: Iterable[Entry], now: datetime) -> dict[str, bool | None]:
    """Return whether each clinic's number is answered at ``now``, by the id of its entry.

    None is not known. Hours are those of the wall where the number was noted, which is home: on
    a trip the phone's own clock is another. On a day noted as closed only a number answered day
    and night counts.
    """
    kept = tuple(entries)
    try:
        closed_on = habits_of(newest(kept, "clinic days", now)).clinic_days.closed_on
    except InputError:  # from a damaged or foreign copy; it is told where dates are worked out
        closed_on = frozenset()
    zones = {entry.id: entry.zone for entry in of_kind(kept, "contact")}
    found: dict[str, bool | None] = {}
    for contact in contacts_of(kept):
        if contact.is_clinic and can_be_dialled(contact.phone):
            zone = zones[contact.id]
            there = now.astimezone(zone_named(zone)) if is_zone(zone) else now
            is_closed_day = there.date() in closed_on
            found[contact.id] = is_answered(contact, there, is_closed_day=is_closed_day)
    return found


def clinic_open_of(entries: Iterable[Entry], now: datetime) -> bool | None:
    """Return whether the clinic can be reached by telephone at ``now``; None when not known."""
    return clinic_open(clinics_answered(entries, now).values())
