"""Invented diaries for the tests: alike from day to day, whole steps, gaps, several a day."""

import random
from datetime import UTC, datetime, timedelta

from pocketpump.core.diary import Reading

START = datetime(2026, 1, 5, tzinfo=UTC)
HOURS = (8, 9, 13, 14, 18, 21)


def diary(
    chance: random.Random,
    days: int,
    *,
    alike: float | None = None,
    shift: float = 0.0,
    shift_day: int = 0,
    slope_per_week: float = 0.0,
    stiff_hour: int | None = None,
    stiff_by: float = 0.0,
    every: int = 1,
    once: bool = False,
) -> tuple[Reading, ...]:
    """Return stiffness over ``days``: a level that wanders from day to day (first order, lag-1
    correlation ``alike``, drawn from 0 to 0.7 when not given), the same scatter within the day
    and the same steps 0-10 as people give, one to three check-ins on most days. With ``every``
    above 1 only each second, third … day is noted at all, and then always; with ``once`` never
    more than once a day, at nine."""
    alike = chance.uniform(0.0, 0.7) if alike is None else alike
    base = chance.uniform(2.5, 6.5)
    spread = chance.uniform(0.6, 1.3)
    within = chance.uniform(0.4, 1.0)
    diligence = chance.uniform(0.6, 1.0)
    level = chance.gauss(0, spread)
    marks = []
    for day in range(days):
        level = alike * level + chance.gauss(0, spread * (1 - alike**2) ** 0.5)
        if day % every or (every == 1 and chance.random() > diligence):
            continue
        hours = [9] if once else sorted(chance.sample(HOURS, chance.choice((1, 1, 2, 3))))
        for hour in hours:
            value = base + level + chance.gauss(0, within) + slope_per_week * day / 7
            value += shift if day >= shift_day else 0.0
            value += stiff_by if hour == stiff_hour else 0.0
            at = START + timedelta(days=day, hours=hour, minutes=chance.randrange(60))
            marks.append(Reading(at, float(min(10, max(0, round(value))))))
    return tuple(marks)
