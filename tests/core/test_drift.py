"""A slow drift: judged once a week, told on two hits in a row, from the record alone."""

import random
from datetime import date, datetime, timedelta, timezone
from itertools import pairwise

import pytest
from diary_simulator import (
    EVENING,
    EVENINGS,
    MORNINGS,
    START,
    THREE_A_DAY,
    Course,
    Noting,
    day_at,
    least_of,
    levels,
    most_of,
    simulated_diary,
)

from pocketpump.core.diary.check_ins import Reading
from pocketpump.core.diary.drift import DRIFT_P, FEWEST_WEEKS, LEAST_DRIFT_POINTS, drift

TOLD = ("rising", "falling")


def at(day: float) -> datetime:
    return START + timedelta(days=day)  # day 0 is a Monday


def creeping(days: int, per_day: float = 1 / 30) -> list[Reading]:
    return [Reading(at(d + 0.5), 2 + d * per_day + (d * 5 % 3)) for d in range(days)]


def test_a_plain_drift_is_told_with_its_numbers_from_the_twelfth_week_on():
    marks = creeping(120)
    assert drift(marks, at(7 * FEWEST_WEEKS - 1)).verdict == "not enough"
    found = drift(marks, at(7 * FEWEST_WEEKS))
    assert found.verdict == "rising"
    found = drift(marks, at(120))  # a Tuesday: 17 whole weeks
    assert found.trend is not None
    assert found.trend.per_day == pytest.approx(1 / 30, rel=0.1)
    assert found.trend.whole == pytest.approx(118 / 30, rel=0.1)
    assert "about 4 points over the time looked at (17 weeks, 119 days)" in found.sentence
    assert "worth telling the clinic" in found.sentence
    falling = drift([Reading(m.at, 10 - m.value) for m in marks], at(120))
    assert falling.verdict == "falling"
    assert drift(marks, at(120), since=at(60)).verdict == "not enough"


def test_every_look_of_one_week_says_the_same():
    chance = random.Random(3)
    marks = simulated_diary(chance, 140, Course(alike=0.4, trend_per_week=0.1), THREE_A_DAY)
    for monday in range(84, 140, 7):
        looks = {
            drift([m for m in marks if m.at <= now], now).sentence
            for now in (at(monday + d / 3) for d in range(21))
        }
        assert len(looks) == 1


def is_clear(found) -> bool:
    return found.trend.is_clear(DRIFT_P) and abs(found.trend.whole) >= LEAST_DRIFT_POINTS


def test_one_hit_alone_is_not_told_and_two_in_a_row_are():
    chance, alone, told = random.Random(4), 0, 0
    for _ in range(15):
        marks = simulated_diary(chance, 182, Course(trend_per_week=0.08, base=4.0))
        weeks = [drift(marks, at(7 * week)) for week in range(FEWEST_WEEKS, 27)]
        for before, now in pairwise(weeks):
            assert (now.verdict in TOLD) == (is_clear(before) and is_clear(now))
            alone += is_clear(now) and not is_clear(before)
            told += now.verdict == "rising"
    assert alone
    assert told


def test_a_drift_of_half_a_point_is_too_small_to_speak_of():
    marks = [Reading(at(d + 0.5), 4.0 + d / 240) for d in range(120)]
    found = drift(marks, at(120))
    assert found.trend is not None
    assert found.trend.is_clear(0.001)
    assert found.verdict == "steady"


@pytest.mark.parametrize("by_hour", [{}, {EVENING: 3.0}], ids=["no rhythm", "evenings worse"])
def test_noting_at_another_time_of_day_is_no_drift(by_hour):
    """Mornings for three months, then evenings: what differs is the hour."""
    course = Course(base=4.0, by_hour=by_hour)
    told = 0
    for seed in range(20):
        marks = simulated_diary(random.Random(seed), 182, course, MORNINGS, EVENINGS, turn=91)
        told += drift(marks, at(182)).verdict in TOLD
    assert told <= 2


def test_noting_weekdays_and_then_weekends_is_no_drift():
    course = Course(base=4.0, weekend=3.0)
    mostly_weekends = Noting(weekdays=0.3)
    told = 0
    for seed in range(20):
        marks = simulated_diary(
            random.Random(seed), 182, course, Noting(weekends=0.2), mostly_weekends, turn=91
        )
        told += drift(marks, at(182)).verdict in TOLD
    assert told <= 2


def test_the_weeks_end_by_the_wall_clock_of_the_check_in():
    far = timezone(timedelta(hours=12))
    marks = [
        Reading(datetime(2026, 1, 5, 1, 0, tzinfo=far) + timedelta(days=d), 2 + d / 30 + d * 5 % 3)
        for d in range(120)
    ]  # in UTC each is on the day before
    found = drift(marks, datetime(2026, 5, 5, 12, tzinfo=far))
    assert marks[0].at.date() == date(2026, 1, 5)
    assert (found.weeks, found.days) == (17, 119)


def told_in(weeks: int, marks) -> bool:
    """Whether any look of so many weeks tells a drift (all looks of a week say the same)."""
    return any(
        drift(marks, day_at(7 * week, 12)).verdict in TOLD
        for week in range(FEWEST_WEEKS, weeks + 1)
    )


FALSE = {
    "likeness 0": Course(),
    "likeness 0.3": Course(alike=0.3),
    "likeness 0.6": Course(alike=0.6),
    "likeness 0.6, weekends 2 points worse": Course(alike=0.6, weekend=2.0),
    "likeness 0.3, bad spells": Course(alike=0.3, spell_every=60),
}  # fmt: skip
LIMIT_OF_A_YEAR = 0.10


def share_told(seed: int, count: int, weeks: int, course: Course, noting=None) -> float:
    chance = random.Random(seed)
    noting = Noting() if noting is None else noting
    return sum(told_in(weeks, simulated_diary(chance, 7 * weeks, course, noting))
               for _ in range(count)) / count  # fmt: skip


def test_a_steady_diary_is_told_a_drift_in_at_most_one_year_of_ten():
    share = share_told(31, 60, 52, Course(alike=0.6))
    print(f"\ndrift in a year, likeness 0.6: {share:.0%} of 60")
    assert share <= most_of(LIMIT_OF_A_YEAR, 60)


def test_a_point_in_three_months_is_found_by_day_120_in_most_diaries():
    share = share_told(32, 150, 17, Course(trend_per_week=7 / 91))
    print(f"\na point in three months, likeness 0: found in {share:.0%} of 150")
    assert share >= least_of(0.6, 150)


@pytest.mark.thorough
@pytest.mark.parametrize("name", FALSE)
def test_a_thousand_steady_years(name):
    share = share_told(33, 1_000, 52, FALSE[name])
    print(f"\ndrift in a year, {name}: {share:.1%} of 1000")
    assert share <= most_of(LIMIT_OF_A_YEAR, 1_000, sure=2.0)


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("name", "course", "noting", "limit"),
    [
        ("likeness 0.8", Course(alike=0.8), Noting(), 0.17),
        ("likeness 0.6, every second day", Course(alike=0.6), Noting(every=2), 0.15),
        ("likeness 0.6, three a day, evenings worse",
         Course(alike=0.6, by_hour={EVENING: 2.0}), THREE_A_DAY, 0.10),
        # A score that wanders away slowly has drifted: that it is told is no mistake.
        ("wander of 0.03 a day", Course(alike=0.3, wander=0.03), Noting(), 0.5),
    ],
)  # fmt: skip
def test_how_often_harder_diaries_are_told_a_drift_in_a_year(name, course, noting, limit):
    share = share_told(34, 1_000, 52, course, noting)
    print(f"\ndrift in a year, {name}: {share:.1%} of 1000")
    assert share <= limit


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("alike", "noting", "before", "least"),
    [
        (0.0, Noting(), 0, 0.57), (0.3, Noting(), 0, 0.35), (0.6, Noting(), 0, 0.15),
        (0.0, THREE_A_DAY, 0, 0.6), (0.3, THREE_A_DAY, 0, 0.35),
        (0.0, Noting(), 26, 0.88), (0.3, Noting(), 26, 0.66), (0.6, Noting(), 26, 0.27),
    ],
)  # fmt: skip
def test_how_often_a_point_in_three_months_is_found(alike, noting, before, least):
    """``before``: so many steady weeks were noted before it begins."""
    chance, found = random.Random(35), 0
    for _ in range(1_000):
        course = Course(alike=alike, base=4.5)
        marks = rising_after(chance, 7 * before, 7 * (before + 17), course, noting)
        found += any(
            drift(marks, day_at(7 * week, 12)).verdict == "rising"
            for week in range(max(before, FEWEST_WEEKS), before + 18)
        )
    print(f"\na point in three months, likeness {alike}, {len(noting.hours)} a day, after {before}"
          f" steady weeks: found by day 120 in {found / 10:.0f} % of 1000")  # fmt: skip
    assert found / 1_000 >= least


def rising_after(chance, first: int, days: int, course: Course, noting: Noting):
    """A diary that is steady until day ``first`` and then rises by a point in 91 days."""
    marks = []
    for day, level in enumerate(levels(chance, days, course)):
        for hour, share in sorted(noting.hours.items()):
            value = level + max(0, day - first) / 91 + chance.gauss(0, course.within)
            if chance.random() < share:
                marks.append(Reading(day_at(day, hour), float(min(10, max(0, round(value))))))
    return marks
