"""Where the person stands by the record: the core's sentence, with visit and missed refill."""

from collections.abc import Iterable
from datetime import date

from pocketpump.core.outlook import Outlook
from pocketpump.core.state import State, state_now
from pocketpump.record.entries import Entry
from pocketpump.record.situation import newest, next_visit_of, of_kind

_MISSED = "missed refill"


def state_by(entries: Iterable[Entry], answer: Outlook) -> State:
    """Return how things stand at the instant of ``answer``."""
    kept = tuple(entries)
    return state_now(
        answer, next_visit_on=next_visit_of(kept), missed_on=missed_refill_on(kept, answer)
    )


def missed_refill_on(entries: Iterable[Entry], answer: Outlook) -> date | None:
    """Return the day of the newest missed refill after which no refill is noted; None without.

    The day is that of the zone of ``answer``. What is dated ahead of its instant does not count.
    """
    kept = tuple(entry for entry in entries if entry.at <= answer.now)
    missed = [one for one in of_kind(kept, "happening") if one.payload.get("what") == _MISSED]
    last = max(missed, key=lambda entry: entry.at, default=None)
    refill = newest(kept, "refill")
    if last is None or (refill is not None and refill.at >= last.at):
        return None
    return last.at.astimezone(answer.now.tzinfo).date()
