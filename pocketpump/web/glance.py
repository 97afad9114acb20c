"""The few facts the page shows before Python is up, as plain values ready for JSON.

All dates come from the core's outlook. The page works out two things only: whole days
between two dates, and which sentence holds now (the order of :attr:`Outlook.state`).
"""

from datetime import date, datetime
from typing import Any

from pocketpump.app.words import EMERGENCY_SIGNS, SERIOUS_STATES, STATE_SENTENCES
from pocketpump.core.booking import booked_on
from pocketpump.core.instants import date_text
from pocketpump.core.outlook import Outlook
from pocketpump.core.quantity import DOSE, STRENGTH, format_quantity


def glance_facts(answer: Outlook, next_visit_on: date | None = None) -> dict[str, Any]:
    """Return what the page shows of ``answer``: instants and dates in ISO 8601, None for never.

    ``next_visit_on`` is the visit the clinic has given; until its day, one that is in time
    answers the call to the clinic.
    """
    booked = booked_on(answer, next_visit_on)
    stopped = answer.programme.mode == "stopped"
    return {
        "computed_at": answer.now.isoformat(),
        "stopped": stopped,
        "refill_by": None if stopped else answer.refill_by.isoformat(),
        "call_by": None if stopped else answer.call_by.isoformat(),
        "booked_on": booked.isoformat() if booked else None,
        "alarm_at": _instant(answer.alarm_at),
        "alarm_on": _day(answer.alarm_at),
        "alarm_earliest_at": _instant(answer.alarm_earliest),
        "alarm_earliest_on": _day(answer.alarm_earliest),
        "alarm_latest_on": _day(answer.alarm_latest),
        "empty_at": _instant(answer.empty_at),
        "empty_on": _day(answer.empty_at),
        "sentences": STATE_SENTENCES,
        "serious": SERIOUS_STATES,
        "signs": EMERGENCY_SIGNS,
        "card": {"title": "Card", "lines": _card_lines(answer)},
    }


def _card_lines(answer: Outlook) -> list[str]:
    strength = format_quantity(answer.fill.strength_mcg_per_ml, STRENGTH)
    lines = [
        "Implanted pump: baclofen, intrathecal. Stopping it suddenly can kill.",
        f"Strength {strength}",
        f"Daily dose {format_quantity(answer.dose_mcg_per_day, DOSE, 1)}",
        f"Last refill {date_text(answer.fill.at.astimezone(answer.now.tzinfo).date())}",
    ]
    if answer.alarm_at is not None:
        lines.append(f"Alarm date {date_text(answer.alarm_at.date())}")
    return lines


def _instant(instant: datetime | None) -> str | None:
    return None if instant is None else instant.isoformat()


def _day(instant: datetime | None) -> str | None:
    return None if instant is None else instant.date().isoformat()
