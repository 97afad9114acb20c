"""From the record to the calendar file, the same for the app and the command line."""

from collections.abc import Iterable
from datetime import datetime, tzinfo

from pocketpump.core.messages import Locale
from pocketpump.core.pump.reminders import Reminder
from pocketpump.exchange.calendar.ics import calendar_file
from pocketpump.record.entry.entries import Entry
from pocketpump.record.entry.readable import readable
from pocketpump.record.facts.booked_visit import reminders_of
from pocketpump.record.facts.forecast import forecast_of
from pocketpump.record.facts.situation import preferences_of
from pocketpump.record.history.history import resolve


def calendar_of(
    ever: Iterable[Entry],
    now: datetime,
    zone: tzinfo,
    *,
    full_titles: bool | None = None,
    locale: Locale | None = None,
) -> tuple[tuple[Reminder, ...], bytes]:
    """Return what is coming at ``now``, and the calendar file of it.

    ``ever`` are all entries ever written, those that no longer count among them.
    ``full_titles`` None means as the person has chosen in the app, plain by default.
    ``locale`` is the language of the file. Raises `InputError` while there is no pump, refill
    or dose setting.
    """
    written = tuple(ever)
    kept, _ = readable(resolve(written).alive)
    answer, _ = forecast_of(kept, now, zone)
    coming = reminders_of(kept, answer)
    if full_titles is None:
        full_titles = preferences_of(kept, now).get("calendar titles") == "full"
    # What was written first stays written first, even once it is corrected or taken away.
    oldest = min(written, key=lambda entry: (entry.written_at, entry.id))
    calendar = calendar_file(
        coming, owner=oldest.id, stamp=now, full_titles=full_titles, locale=locale
    )
    return coming, calendar
