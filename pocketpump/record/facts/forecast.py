"""The forecast from the entries that count, for every output that needs one."""

from collections.abc import Iterable
from datetime import datetime, tzinfo

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.record.entry.entries import Entry
from pocketpump.record.facts.situation import situation_of


def forecast_of(
    entries: Iterable[Entry], now: datetime, zone: tzinfo
) -> tuple[Forecast, tuple[Problem, ...]]:
    """Return the forecast at ``now``, dates of ``zone``, and what is missing or odd.

    Raises `InputError` with the reason while there is no pump, refill or dose setting.
    """
    situation, problems = situation_of(entries, now)
    answer = None
    if situation is not None:
        answer, more = forecast(situation, now, zone)
        problems += more
    if answer is None:
        raise InputError(problems[-1].sentence)
    return answer, problems
