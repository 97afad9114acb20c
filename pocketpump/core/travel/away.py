"""A trip and the next refill: whether the person is away when it is booked, or due."""

from datetime import date

from pocketpump.core.messages import message
from pocketpump.core.travel.trip import Trip
from pocketpump.core.units.instants import date_text


def away_at_visit(trip: Trip, visit_on: date | None) -> str:
    """Return what is to be said when the visit is on a day of the trip; "" when it is not.

    The day of the start and that of the return belong to the trip.
    """
    if visit_on is None or not trip.leaves_on <= visit_on <= trip.returns_on:
        return ""
    return message(
        "You are away on {day}, the day of your visit at the clinic. Move the visit, or the trip.",
        day=date_text(visit_on),
    )


def away_at_refill(trip: Trip, visit_on: date | None, refill_by: date | None, today: date) -> str:
    """Return what is to be said when the trip keeps from the next refill; "" when it does not.

    That is a trip on whose days the visit is, or the refill-by date without a visit before the
    start. What is past does not count, neither a trip nor a visit nor a refill-by date.
    """
    if trip.returns_on < today:
        return ""
    coming_on = visit_on if visit_on is not None and visit_on >= today else None
    at_visit = away_at_visit(trip, coming_on)
    if at_visit or (coming_on is not None and coming_on < trip.leaves_on):
        return at_visit
    if refill_by is None or refill_by < today:
        return ""
    if not trip.leaves_on <= refill_by < trip.returns_on:
        return ""
    return message(
        "You are away from {first} to {last}, and the refill is due by {day}. Call the clinic early"
        " to plan it.",
        first=date_text(trip.leaves_on),
        last=date_text(trip.returns_on),
        day=date_text(refill_by),
    )
