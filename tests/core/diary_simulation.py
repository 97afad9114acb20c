"""Invented diaries for the tests: alike from day to day, whole steps, gaps, several a day."""

import random
from datetime import UTC, datetime, timedelta

from pocketpump.core.diary.check_ins import Reading

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


# When people note something: (hour, its score less the usual one) -> how many check-ins then.
HABITS = {
    "twice a day": lambda chance, hour, off: hour in (8, 21),
    "four times a day": lambda chance, hour, off: 1,
    "the morning always, the rest when bad": lambda chance, hour, off: hour == 8 or off > 1,
    "morning and noon always, the evening when bad": (
        lambda chance, hour, off: hour in (8, 13) or (hour == 21 and off > 0.5)
    ),
    "only when bad": lambda chance, hour, off: off > 1,
    "the more the worse": lambda chance, hour, off: chance.randint(2, 8) if off > 1 else hour == 8,
    "the evening many times when it is bad": (
        lambda chance, hour, off: chance.randint(2, 8) if hour == 21 and off > 1
        else hour in (8, 21)
    ),
    "the evening often left out when good": (
        lambda chance, hour, off: hour == 8
        or (hour == 21 and (off > -0.3 or chance.random() < 0.3))
    ),
    "the morning often left out when good": (
        lambda chance, hour, off: hour == 21
        or (hour == 8 and (off > 0.3 or chance.random() < 0.4))
    ),
}  # fmt: skip


def by_habit(
    chance: random.Random, days: int, habit: str, *, evening_by: float = 0.0
) -> tuple[Reading, ...]:
    """Return stiffness noted by one of the `HABITS`, which may look at how bad it is just then.

    The level wanders from day to day (likeness 0 to 0.7); the evening lies ``evening_by``
    points higher, and wanders a little by itself (likeness 0.8)."""
    alike, base = chance.uniform(0.0, 0.7), chance.uniform(2.5, 6.0)
    level = evening = 0.0
    marks = []
    for day in range(days):
        level = alike * level + chance.gauss(0, 1.3 * (1 - alike**2) ** 0.5)
        evening = 0.8 * evening + chance.gauss(0, 0.3)
        for hour in (8, 13, 18, 21):
            off = level + chance.gauss(0, 0.9) + (evening_by + evening if hour == 21 else 0.0)
            for number in range(int(HABITS[habit](chance, hour, off))):
                at = START + timedelta(days=day, hours=hour, minutes=5 * number)
                again = chance.gauss(0, 0.3) if number else 0.0
                marks.append(Reading(at, float(min(10, max(0, round(base + off + again))))))
    return tuple(marks)
