"""What is coming: the dates of one forecast as a list of reminders.

Calendar file, Today and clinic sheet show this list; none of them makes up its own.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.pump.refill_by import (
    ALARM_DATE,
    CLINIC_DATE,
    DRUG_AGE,
    EMPTY_DATE,
    FELT_VOLUME,
    OWN_PACE,
)
from pocketpump.core.pump.state import late_visit
from pocketpump.core.units.instants import date_text, local_date

# Label of the generic drug: first effect of a changed infusion at 6-8 h, full at 24-48 h.
# Many people and clinics wait 3-5 days before they judge (common practice, no source).
USUAL_SETTLING_DAYS = 5
_BECAUSE = {
    ALARM_DATE: message("because of the alarm date"),
    CLINIC_DATE: message("because of the clinic's alarm date"),
    OWN_PACE: message("because of this pump's pace"),
    EMPTY_DATE: message("because of the earliest empty date"),
    DRUG_AGE: message("because of the drug-age limit"),
    FELT_VOLUME: message("because of the felt volume"),
}


@dataclass(frozen=True, slots=True)
class Reminder:
    """Something to do, or to know, on one day.

    ``code`` is a stable word for programs and calendars, ``title`` a few words, ``text`` one
    or two sentences, ``urgent`` that the day is here or past and something has to be done.
    """

    code: str
    on: date
    title: str
    text: str
    urgent: bool = False


def reminders(
    answer: Forecast,
    *,
    next_visit_on: date | None = None,
    visit_clock: time | None = None,
    visit_place: str = "",
    settling_days: int = USUAL_SETTLING_DAYS,
) -> tuple[Reminder, ...]:
    """Return what is coming, by date; what was only good to know before today is left out.

    What should have been done on a day gone by is to be done today, and stands on today.
    ``next_visit_on`` is the visit the clinic has given. While it stands on or before the
    refill-by date nobody needs to be called, so that reminder is left out. ``visit_clock`` and
    ``visit_place`` tell more of it where they are noted.
    """
    visit = next_visit_on if next_visit_on and next_visit_on >= answer.today else None
    found = [
        *_to_book(answer, visit),
        *_visit(answer, visit, _when_and_where(visit_clock, visit_place)),
        *(known for known in _to_know(answer, settling_days) if known.on >= answer.today),
    ]
    return tuple(sorted(found, key=lambda reminder: (reminder.on, not reminder.urgent)))


def booked_on(answer: Forecast, next_visit_on: date | None) -> date | None:
    """Return the visit the clinic has given if it is neither past nor after the refill-by date."""
    if next_visit_on is None or not answer.today <= next_visit_on <= answer.refill_by:
        return None
    return next_visit_on


def judged_from(answer: Forecast, settling_days: int, zone: tzinfo) -> date | None:
    """Return the day from which the last dose change can be judged; None without a change.

    The dose setting the first refill began with is no change, nor is one whose programme is
    the same as before.
    """
    changed = _last_change(answer)
    return None if changed is None else local_date(changed, zone) + timedelta(days=settling_days)


def _to_book(answer: Forecast, visit: date | None) -> list[Reminder]:
    if booked_on(answer, visit):
        return []
    day, why = date_text(answer.refill_by), _BECAUSE[answer.refill_by_because]
    if answer.refill_by >= answer.today:
        due = message("Call the clinic and book the refill. It is due by {day}.", day=day)
        last = message("The last sensible day for the refill, {because}.", because=why)
    else:
        due = message("Call the clinic and book the refill. It was due by {day}.", day=day)
        last = message(
            "The last sensible day for the refill was {day}, {because}.", day=day, because=why
        )
    told = (
        ("call-by", answer.call_by, message("Call the clinic"), due),
        ("refill-by", answer.refill_by, message("Refill by"), last),
    )
    today = answer.today
    return [
        Reminder(code, max(on, today), title, text, urgent=today >= on)
        for code, on, title, text in told
    ]


def _when_and_where(clock: time | None, place: str) -> list[str]:
    told: list[str] = []
    if clock is not None:
        told.append(message("At {clock}.", clock=f"{clock:%H:%M}"))
    if place:
        # Note: {place} is what the person typed, the name of a clinic or of a town.
        told.append(message("Place: {place}.", place=place))
    return told


def _visit(answer: Forecast, visit: date | None, more: list[str]) -> list[Reminder]:
    if visit is None:
        return []
    if booked_on(answer, visit):
        return [
            Reminder(
                "next-visit",
                visit,
                message("Visit at the clinic"),
                joined(" ", (message("The visit the clinic has given."), *more)),
            ),
            Reminder(
                "refill-by",
                answer.refill_by,
                message("Refill by"),
                message(
                    "The visit is noted for {day}. If it is moved, this stays the last sensible"
                    " day for the refill.",
                    day=date_text(visit),
                ),
            ),
        ]
    late = joined(" ", (late_visit(visit, answer.refill_by), *more))
    return [Reminder("next-visit", visit, message("Visit at the clinic"), late, urgent=True)]


def _to_know(answer: Forecast, settling_days: int) -> list[Reminder]:
    known = []
    if answer.alarm_at is not None:
        known.append(
            Reminder(
                "alarm",
                answer.alarm_at.date(),
                message("Alarm date, computed"),
                message("By the numbers noted, the pump's alarm sounds on this day."),
            )
        )
    if answer.printed_in_force is not None:
        known.append(
            Reminder(
                "clinic-alarm",
                answer.printed_in_force,
                message("Alarm date, clinic's"),
                message("The alarm date on the clinic's printout."),
            )
        )
    known.append(
        Reminder(
            "drug-age-limit",
            answer.drug_age_limit_at.date(),
            message("Drug-age limit"),
            message("The drug should not stay in the pump beyond this day."),
        )
    )
    zone = answer.now.tzinfo
    day = judged_from(answer, settling_days, zone) if zone else None
    changed = _last_change(answer)
    if day is not None and changed is not None and zone is not None:
        # Note: so many days after the dose was changed.
        after = plural_message("{count} days after", "{count} days after", settling_days)
        text = message(
            "The dose was changed on {day}. What follows it can be judged from this day on,"
            " {after}.",
            day=date_text(local_date(changed, zone)),
            after=after,
        )
        known.append(Reminder("judge-from", day, message("The last change can be judged"), text))
    return known


def _last_change(answer: Forecast) -> datetime | None:
    changes = answer.situation.changes()
    return changes[-1].at if changes else None
