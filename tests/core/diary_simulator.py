"""Invented diaries: what a person's scores may look like when nothing changed, or when it did.

A `Course` says how the score runs (likeness from day to day, rhythm of the day and the week,
trend, wander, spells, a real change), a `Noting` when it is noted. `simulated_diary` makes the
diary from both and a seeded generator; nothing else is random. All points are points of the score
before it is rounded to the whole steps of the scale.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from math import exp, sqrt

from pocketpump.core.diary.check_ins import Reading

START = datetime(2026, 1, 5, tzinfo=UTC)
"""Day 0 of every invented diary, a Monday."""
MORNING, NOON, EVENING = 8, 13, 20


@dataclass(frozen=True)
class Course:
    """How the score of an invented person runs.

    ``scatter`` is the standard deviation of the days' levels, of which neighbours are correlated
    by ``alike``; ``within`` that of one check-in about the level of its day. ``by_hour`` is added
    at an hour and ``weekend`` on Saturdays and Sundays. ``trend_per_week`` runs from day 0 to
    ``trend_until`` (None: to the end). ``wander`` is the daily step of a random walk. Spells of
    ``spell_points`` begin on average every ``spell_every`` days (0: never) and last about
    ``spell_days``; another one is of the days ``spell_between``, the last not in it. From
    ``change_day`` on ``change`` is added. Scores are whole, 0 to ``highest``.
    """

    base: float = 5.0
    alike: float = 0.0
    scatter: float = 1.0
    within: float = 0.7
    by_hour: dict[int, float] = field(default_factory=dict)
    weekend: float = 0.0
    trend_per_week: float = 0.0
    trend_until: int | None = None
    wander: float = 0.0
    spell_every: float = 0.0
    spell_days: float = 5.0
    spell_points: float = 2.5
    spell_between: tuple[int, int] = (0, 0)
    change: float = 0.0
    change_day: int = 0
    highest: int = 10


@dataclass(frozen=True)
class Noting:
    """When scores are noted: at each of ``hours`` with the chance given there.

    ``weekdays`` and ``weekends`` are the chances that such a day is noted at all; of all days only
    each ``every``th is. With ``only_above`` only scores so far above the person's base are noted.
    """

    hours: dict[int, float] = field(default_factory=lambda: {MORNING: 1.0})
    weekdays: float = 1.0
    weekends: float = 1.0
    every: int = 1
    only_above: float | None = None

    def chance_on(self, day: int) -> float:
        """Return how likely day ``day`` is noted at all."""
        if day % self.every:
            return 0.0
        return self.weekends if is_weekend(day) else self.weekdays


DAILY = Noting()
MORNINGS, EVENINGS = Noting({MORNING: 1.0}), Noting({EVENING: 1.0})
THREE_A_DAY = Noting({MORNING: 0.8, NOON: 0.6, EVENING: 0.8})
WEEKDAYS_ONLY, WEEKENDS_ONLY = Noting(weekends=0.0), Noting(weekdays=0.0)


def is_weekend(day: int) -> bool:
    """Whether day ``day`` of a diary is a Saturday or a Sunday."""
    return day % 7 >= 5


def levels(chance: random.Random, days: int, course: Course) -> list[float]:
    """Return the level of each day, without the rhythm of the day and the scatter within it."""
    level, walked, spell = chance.gauss(0, course.scatter), 0.0, 0
    found = []
    for day in range(days):
        if day:
            fresh = course.scatter * sqrt(1 - course.alike**2)
            level = course.alike * level + chance.gauss(0, fresh)
            walked += chance.gauss(0, course.wander) if course.wander else 0.0
        if spell:
            spell -= 1
        elif course.spell_every and chance.random() < 1 / course.spell_every:
            spell = 1 + _poisson(chance, course.spell_days - 1)
        trended = day if course.trend_until is None else min(day, course.trend_until)
        value = course.base + level + walked + course.trend_per_week * trended / 7
        value += course.weekend if is_weekend(day) else 0.0
        value += course.spell_points if spell or day in range(*course.spell_between) else 0.0
        value += course.change if day >= course.change_day else 0.0
        found.append(value)
    return found


def simulated_diary(
    chance: random.Random,
    days: int,
    course: Course,
    before: Noting = DAILY,
    after: Noting | None = None,
    *,
    turn: int | None = None,
) -> tuple[Reading, ...]:
    """Return the check-ins of ``days`` days, noted as ``before`` and from ``turn`` on as ``after``.

    ``turn`` is ``course.change_day`` unless given; without ``after`` noting stays as it was.
    """
    turn = course.change_day if turn is None else turn
    marks = []
    for day, level in enumerate(levels(chance, days, course)):
        noting = before if after is None or day < turn else after
        noted = chance.random() < noting.chance_on(day)
        for hour, share in sorted(noting.hours.items()):
            value = level + chance.gauss(0, course.within) + course.by_hour.get(hour, 0.0)
            if chance.random() >= share or not noted:
                continue
            if noting.only_above is not None and value < course.base + noting.only_above:
                continue
            score = float(min(course.highest, max(0, round(value))))
            marks.append(Reading(day_at(day, hour), score))
    return tuple(marks)


def day_at(day: float, hour: float = 0.0) -> datetime:
    """Return the instant ``day`` days and ``hour`` hours after the start."""
    return START + timedelta(days=day, hours=hour)


def day_after_a_bad_week(marks: Sequence[Reading], first: int, last: int) -> int:
    """Return the day from ``first`` to ``last`` after the worst week: when one asks for more."""
    by_day: dict[int, list[float]] = {}
    for mark in marks:
        by_day.setdefault((mark.at - START).days, []).append(mark.value)

    def week_before(day: int) -> float:
        values = [v for d in range(day - 7, day) for v in by_day.get(d, ())]
        return sum(values) / len(values) if values else 0.0

    return max(range(first, last + 1), key=week_before)


def share(seed: int, count: int, told: Callable[[random.Random], bool]) -> float:
    """Return the share of ``count`` diaries of one seed of which ``told`` is true."""
    chance = random.Random(seed)
    return sum(told(chance) for _ in range(count)) / count


def most_of(limit: float, count: int, sure: float = 3.0) -> float:
    """Return the share that ``count`` diaries may show when the true one is ``limit``.

    ``sure`` standard deviations of the binomial distribution above it, so that a smaller run fails
    when the method is worse and not by chance.
    """
    return limit + sure * sqrt(limit * (1 - limit) / count)


def least_of(limit: float, count: int, sure: float = 3.0) -> float:
    """Return the least share that ``count`` diaries may show when the true one is ``limit``."""
    return limit - sure * sqrt(limit * (1 - limit) / count)


def _poisson(chance: random.Random, mean: float) -> int:
    # Knuth's way: how many uniform factors stay above exp(-mean).
    left, count = chance.random(), 0
    while left > exp(-mean):
        left *= chance.random()
        count += 1
    return count
