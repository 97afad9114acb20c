"""Sentences and phrases that stand on more than one screen."""

from datetime import date

from pocketpump.core.messages import joined, message
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS as EMERGENCY_SIGNS
from pocketpump.core.units.instants import MONTHS

CAUTION = message(
    "PocketPump is a notebook with arithmetic. It is no medical device and does not talk to"
    " your pump. Your clinic's instructions and your local emergency services come first."
)

STOPPING = joined(
    " ",
    (
        message(
            "Never stop the pump yourself: only your clinic does that. If your clinic did not stop"
            " it, call now."
        ),
        EMERGENCY_SIGNS,
    ),
)
"""What stands wherever "stopped" can be chosen."""

DEMO = message("This is the record of an invented person. Nothing you enter here is kept.")

YES_NO = (("yes", message("Yes")), ("no", message("No")))
NO_YES = YES_NO[::-1]
"""The answers to a question, the usual one first."""


def day_and_month(day: date) -> str:
    """Return the day without its year, for a narrow place: 26 Feb."""
    return message("{day} {month}", day=day.day, month=MONTHS[day.month - 1])


def month_and_year(day: date) -> str:
    """Return the month with the whole year: Feb 2026."""
    return message("{month} {year}", month=MONTHS[day.month - 1], year=day.year)
