"""From the dates at which something runs out to the last sensible day for a refill."""

from collections.abc import Mapping
from datetime import date

from pocketpump.core.messages import message
from pocketpump.core.pump.clinic_days import ClinicDays

# In this order they are named when two fall on one day, so that the plainest comes first.
ALARM_DATE: str = message("alarm date")
CLINIC_DATE: str = message("clinic's alarm date")
OWN_PACE: str = message("this pump's pace")
EMPTY_DATE: str = message("earliest empty date")
DRUG_AGE: str = message("drug-age limit")
FELT_VOLUME: str = message("felt volume")


def last_sensible_day(
    deadlines: Mapping[str, date | None], clinic_days: ClinicDays, filled_on: date
) -> tuple[date, str]:
    """Return the refill-by date and the word for what set it.

    ``deadlines`` are by word, margins taken off already, None where there is none; at least
    one is a date. The earliest counts, moved back to an open day of the clinic; nobody can
    come back before the refill itself was done, so never before ``filled_on``.
    """
    day, because = min(
        ((day, because) for because, day in deadlines.items() if day is not None),
        key=lambda deadline: deadline[0],
    )
    return max(clinic_days.last_open_day(day), filled_on), because
