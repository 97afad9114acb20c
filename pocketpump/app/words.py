"""Sentences and phrases that stand on more than one screen."""

from datetime import date

from pocketpump.core.instants import MONTHS
from pocketpump.core.sign_table import EMERGENCY_SIGNS as EMERGENCY_SIGNS
from pocketpump.core.wording import joined, worded

CAUTION = worded(
    "PocketPump is a notebook with arithmetic. It is no medical device and does not talk to"
    " your pump. Your clinic's instructions and your local emergency services come first."
)

STOPPING = joined(
    " ",
    (
        worded(
            "Never stop the pump yourself: only your clinic does that. If your clinic did not stop"
            " it, call now."
        ),
        EMERGENCY_SIGNS,
    ),
)
"""What stands wherever "stopped" can be chosen."""

DEMO = worded("This is the record of an invented person. Nothing you enter here is kept.")

STATE_SENTENCES = {
    "empty": worded("By these numbers the pump is empty. Call the clinic now."),
    "alarm": worded("The alarm date has come. Call the clinic now."),
    "overdue": worded("The refill-by date is past. Call the clinic today."),
    "window": worded(
        "The alarm may come any day now. Call the clinic if the refill is not booked."
    ),
    "due": worded("The refill is due today. Call the clinic if it is not booked."),
    "call": worded("Time to call the clinic and book the refill."),
    "stopped": worded("The pump is noted as stopped. If your clinic did not stop it, call now."),
}
"""What each state of the outlook but "calm" asks for."""

SERIOUS_STATES = ("empty", "alarm", "overdue", "stopped")
"""States that are told together with the emergency signs."""

YES_NO = (("yes", worded("Yes")), ("no", worded("No")))
NO_YES = YES_NO[::-1]
"""The answers to a question, the usual one first."""


def day_and_month(day: date) -> str:
    """Return the day without its year, for a narrow place: 26 Feb."""
    return worded("{day} {month}", day=day.day, month=MONTHS[day.month - 1])


def month_and_year(day: date) -> str:
    """Return the month with the whole year: Feb 2026."""
    return worded("{month} {year}", month=MONTHS[day.month - 1], year=day.year)
