"""The trip that keeps from the next refill, by what the record says of trips and visits."""

from collections.abc import Iterable
from dataclasses import dataclass

from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.travel.away import away_at_refill
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.booked_visit import BookedVisit, booked_visit
from pocketpump.record.facts.card_facts import trips_in


@dataclass(frozen=True, slots=True)
class Away:
    """What is to be said of the ``trip``; ``visit`` is the one that is booked, if any."""

    sentence: str
    trip: Entry
    visit: BookedVisit | None


def away_of(entries: Iterable[Entry], answer: Forecast) -> Away | None:
    """Return the first trip that keeps from the next refill; None when no trip does."""
    kept = tuple(entries)
    visit = booked_visit(kept, answer.now)
    if visit is not None and visit.on < answer.today:
        visit = None
    is_running = answer.programme.mode != "stopped"
    refill_by = answer.refill_by if is_running else None
    for entry, trip in sorted(trips_in(kept), key=lambda pair: pair[1].leaves_on):
        sentence = away_at_refill(trip, visit.on if visit else None, refill_by, answer.today)
        if sentence:
            return Away(sentence, entry, visit)
    return None
