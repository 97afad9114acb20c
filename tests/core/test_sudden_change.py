"""A sudden change: the last days against what was usual, seldom false, soon found when true."""

import random
from bisect import bisect_left
from datetime import datetime, timedelta

import pytest
from diary_simulator import (
    DAILY,
    EVENING,
    START,
    THREE_A_DAY,
    Course,
    Noting,
    day_at,
    levels,
    simulated_diary,
)

from pocketpump.core.diary.check_ins import Reading
from pocketpump.core.diary.sudden_change import FEWEST_USUAL_DAYS, LOOK_BACK_DAYS, sudden_change


def at(day: float) -> datetime:
    return START + timedelta(days=day)


def steady(value: float, first: int, last: int) -> list[Reading]:
    """One check-in a day at noon, a point above and under ``value`` by turns."""
    return [Reading(at(d + 0.5), value + (1 if d % 2 else -1)) for d in range(first, last)]


@pytest.mark.parametrize(
    ("value", "verdict"), [(3, "usual"), (7, "usual"), (8, "above"), (9, "above"), (0, "usual")]
)
def test_one_day_is_told_from_four_times_its_usual_spread_on(value, verdict):
    marks = [*steady(3, 0, 57), Reading(at(57.4), 3), Reading(at(57.6), value)]
    found = sudden_change(marks, at(57).date())  # usual 3, its spread a point
    assert found.verdict == verdict
    assert found.usual == pytest.approx(3, abs=0.1)
    assert found.value == value


def test_fewer_points_are_told_when_they_stay():
    marks = steady(3, 0, 60)
    days = [Reading(at(60.5), 6), Reading(at(61.5), 6), Reading(at(62.5), 6)]
    told = [sudden_change([*marks, *days[:n]], at(59 + n).date()) for n in (1, 2, 3)]
    assert [one.verdict for one in told] == ["usual", "above", "above"]
    assert (
        "In the last 2 days with a check-in stiffness was about 3 points above" in told[1].sentence
    )
    lower = [Reading(m.at, 6 - m.value) for m in (*marks, *days)]
    assert sudden_change(lower, at(62).date()).verdict == "below"


def test_a_change_that_stays_becomes_usual_and_is_no_longer_sudden():
    marks = [*steady(3, 0, 60), *steady(7, 60, 90)]
    told = [
        sudden_change([m for m in marks if m.at < at(d + 1)], at(d).date()).verdict == "above"
        for d in range(60, 90)
    ]
    assert any(told[:3])
    assert not any(told[14:])


@pytest.mark.parametrize("hour", [8, 13, 21])
@pytest.mark.parametrize("offset", [-1, 0, 2])
def test_a_daily_rhythm_is_nothing_sudden_at_any_time_of_day(hour, offset):
    rhythm = {8: 3.0, 13: 4.0, 21: 8.0}
    marks = [Reading(at(d) + timedelta(hours=h), v) for d in range(28) for h, v in rhythm.items()]
    today = [m for h, v in rhythm.items() if h <= hour
             for m in [Reading(at(28) + timedelta(hours=h), v)]]  # fmt: skip
    # An hour earlier or two later than usual is still about that time.
    today[-1] = Reading(today[-1].at + timedelta(hours=offset), today[-1].value)
    assert sudden_change([*marks, *today], at(28).date()).verdict == "usual"
    # The score of the evening in the morning is sudden, though it is usual in the evening.
    if hour == 8:
        early = sudden_change([*marks, Reading(today[0].at, 8.0)], at(28).date())
        assert early.verdict == "above"


def test_worse_weekends_are_nothing_sudden():
    marks = [Reading(at(d + 0.5), 8.0 if d % 7 >= 5 else 3.0) for d in range(63)]
    for day in range(42, 63):
        until = [m for m in marks if m.at < at(day + 1)]
        assert sudden_change(until, at(day).date()).verdict == "usual"


def test_sudden_needs_two_weeks_at_this_time_and_a_check_in_today():
    def verdict(days: int) -> str:
        marks = [*steady(3, 0, days), Reading(at(days + 2.5), 9)]
        return sudden_change(marks, at(days + 2).date()).verdict

    assert [verdict(d) for d in (0, FEWEST_USUAL_DAYS - 1, FEWEST_USUAL_DAYS)] == [
        "not enough", "not enough", "above"]  # fmt: skip
    assert sudden_change(steady(3, 0, 28), at(40).date()).sentence == (
        "Today's stiffness: no check-in yet."
    )
    mornings = [Reading(at(d) + timedelta(hours=8), 3.0) for d in range(28)]
    found = sudden_change([*mornings, Reading(at(28) + timedelta(hours=21), 8.0)], at(28).date())
    assert found.verdict == "not enough"
    assert "0 days; 14 are needed" in found.sentence


def test_what_is_looked_back_at_is_all_that_counts():
    old = simulated_diary(random.Random(1), 200, Course(alike=0.3))
    now = old[-1].at
    lately = [m for m in old if m.at >= now - timedelta(days=LOOK_BACK_DAYS)]
    assert sudden_change(old, now.date()) == sudden_change(lately, now.date())
    assert sudden_change(reversed(old), now.date()) == sudden_change(old, now.date())


def days_told(marks, first: int, last: int) -> dict[int, str]:
    """The days on which a look at any of their check-ins told a change, and which."""
    told: dict[int, str] = {}
    for number, mark in enumerate(marks):
        day = (mark.at - START).days
        if first <= day < last:
            begin = bisect_left(marks, mark.at - timedelta(days=LOOK_BACK_DAYS), key=lambda m: m.at)
            verdict = sudden_change(marks[begin : number + 1], mark.at.date()).verdict
            if verdict in ("above", "below"):
                told[day] = verdict
    return told


def alarms_a_year(seed: int, count: int, course: Course, noting: Noting) -> tuple[float, float]:
    """How many alarms a steady year has: runs of days with at most two quiet ones between."""
    chance, alarms, days = random.Random(seed), 0, 0
    for _ in range(count):
        told = sorted(days_told(simulated_diary(chance, 365, course, noting), 0, 365))
        days += len(told)
        alarms += sum(b - a > 3 for a, b in zip([-9, *told], told, strict=False))
    return alarms / count, days / count


def found_by(seed: int, count: int, points: float, alike: float, noting: Noting) -> list[float]:
    """Of ``count`` diaries whose score rises by ``points`` within two days and stays: the share
    told by the first day of the rise, the second, and so on."""
    chance, firsts = random.Random(seed), []
    for _ in range(count):
        marks = []
        for day, level in enumerate(levels(chance, 70, Course(base=4.0, alike=alike))):
            for hour, share in sorted(noting.hours.items()):
                value = level + points * min(1.0, max(0, day - 59) / 2) + chance.gauss(0, 0.7)
                if chance.random() < share:
                    marks.append(Reading(day_at(day, hour), float(min(10, max(0, round(value))))))
        told = [d for d, verdict in days_told(marks, 60, 68).items() if verdict == "above"]
        firsts.append(min(told, default=99) - 59)
    return [sum(first <= day for first in firsts) / count for day in range(1, 9)]


def test_a_steady_year_has_at_most_one_false_alarm():
    alarms, days = alarms_a_year(41, 15, Course(alike=0.6), DAILY)
    print(f"\nsudden change, likeness 0.6: {alarms:.2f} alarms a year, on {days:.2f} days")
    # Counts scatter like Poisson's: three standard errors of fifteen years.
    assert alarms <= 1 + 3 * (1 / 15) ** 0.5


@pytest.mark.parametrize(("points", "day", "least"), [(3.0, 8, 0.5), (4.0, 4, 0.6)])
def test_a_true_sudden_change_is_found_within_days(points, day, least):
    shares = found_by(42, 80, points, 0.3, DAILY)
    print(f"\nsudden change, {points:g} points: found by day", [f"{s:.0%}" for s in shares])
    assert shares[day - 1] >= least


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("name", "course", "noting", "most"),
    [
        ("likeness 0", Course(), DAILY, 1.0),
        ("likeness 0.3", Course(alike=0.3), DAILY, 1.0),
        ("likeness 0.6", Course(alike=0.6), DAILY, 1.0),
        ("likeness 0.8", Course(alike=0.8), DAILY, 1.0),
        ("0.6, weekends 2 points worse", Course(alike=0.6, weekend=2.0), DAILY, 1.0),
        ("0.3, three a day, evenings 2 points worse",
         Course(alike=0.3, by_hour={EVENING: 2.0}), THREE_A_DAY, 1.0),
        ("0.6, three a day, evenings 2 points worse",
         Course(alike=0.6, by_hour={EVENING: 2.0}), THREE_A_DAY, 1.0),
        ("0.6, every second day", Course(alike=0.6), Noting(every=2), 1.0),
        ("0.3, a point more in three months", Course(alike=0.3, base=3.0, trend_per_week=7 / 91),
         DAILY, 1.0),
        # A spell of five bad days is a change while it lasts: about six come in a year.
        ("0.3, bad spells", Course(alike=0.3, spell_every=60), DAILY, 2.0),
    ],
)  # fmt: skip
def test_two_hundred_steady_years(name, course, noting, most):
    alarms, days = alarms_a_year(43, 200, course, noting)
    print(f"\nsudden change, {name}: {alarms:.2f} alarms a year, on {days:.2f} days")
    assert alarms <= most + 2 * (most / 200) ** 0.5


@pytest.mark.thorough
@pytest.mark.parametrize("points", [3.0, 4.0])
@pytest.mark.parametrize("alike", [0.0, 0.3, 0.6])
@pytest.mark.parametrize("noting", [DAILY, THREE_A_DAY], ids=["once a day", "three a day"])
def test_how_soon_a_thousand_true_changes_are_found(points, alike, noting):
    shares = found_by(44, 1_000, points, alike, noting)
    print(f"\nsudden change of {points:g} points, likeness {alike}, {len(noting.hours)} a day:"
          " found by day", [f"{share:.0%}" for share in shares])  # fmt: skip
    assert shares[-1] >= 0.35
