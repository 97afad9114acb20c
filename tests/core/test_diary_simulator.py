"""The simulator itself: the diaries it makes have the properties they are asked for."""

import random
from statistics import fmean, pstdev

import pytest
from diary_simulator import (
    EVENING,
    EVENINGS,
    MORNING,
    MORNINGS,
    START,
    WEEKENDS_ONLY,
    Course,
    Noting,
    day_after_a_bad_week,
    is_weekend,
    levels,
    simulated_diary,
)
from statsmodels.tsa.stattools import acf


def days_of(marks):
    return [(mark.at - START).days for mark in marks]


def test_one_seed_gives_one_diary():
    one, same, other = (
        simulated_diary(random.Random(seed), 60, Course(alike=0.5)) for seed in (1, 1, 2)
    )
    assert one == same
    assert one != other


@pytest.mark.parametrize("alike", [0.0, 0.3, 0.6, 0.9])
def test_days_are_as_alike_and_as_scattered_as_asked_for(alike):
    found = levels(random.Random(3), 40_000, Course(alike=alike, scatter=1.3))
    assert acf(found, nlags=1)[1] == pytest.approx(alike, abs=0.02)
    assert pstdev(found) == pytest.approx(1.3, rel=0.06)


def test_rhythm_of_the_day_and_the_week_and_the_change_are_added():
    course = Course(scatter=0.0, within=0.0, by_hour={EVENING: 2.0}, weekend=1.0,
                    change=-3.0, change_day=28)  # fmt: skip
    marks = simulated_diary(random.Random(1), 56, course, MORNINGS, EVENINGS)
    for mark in marks:
        day = (mark.at - START).days
        expected = 5.0 + is_weekend(day) + (2.0 - 3.0 if day >= 28 else 0.0)
        assert mark.value == expected
        assert mark.at.hour == (MORNING if day < 28 else EVENING)


def test_only_the_days_asked_for_are_noted():
    course = Course()
    ends = simulated_diary(random.Random(1), 70, course, WEEKENDS_ONLY)
    assert days_of(ends) == [day for day in range(70) if is_weekend(day)]
    thirds = simulated_diary(random.Random(1), 70, course, Noting(every=3))
    assert days_of(thirds) == list(range(0, 70, 3))
    bad = simulated_diary(random.Random(1), 400, course, Noting(only_above=1.0))
    assert 20 < len(bad) < 200
    assert min(mark.value for mark in bad) >= 6


def test_trends_end_where_they_are_told_to_and_scores_stay_on_the_scale():
    still = Course(scatter=0.0, within=0.0, trend_per_week=-0.7, trend_until=20)
    found = levels(random.Random(1), 40, still)
    assert found[0] == 5.0
    assert found[10] == pytest.approx(4.0)
    assert found[20] == found[39] == pytest.approx(3.0)
    marks = simulated_diary(random.Random(1), 200, Course(base=3, scatter=4.0, highest=6))
    assert {mark.value for mark in marks} == set(range(7))


def test_a_walk_wanders_by_the_root_of_the_days():
    course = Course(scatter=0.0, wander=0.2)
    ends = [levels(random.Random(seed), 101, course)[-1] for seed in range(2_000)]
    assert pstdev(ends) == pytest.approx(2.0, rel=0.08)


def test_spells_last_and_return_as_asked_for():
    course = Course(scatter=0.0, spell_every=40.0, spell_days=5.0, spell_points=2.0)
    found = levels(random.Random(1), 90_000, course)
    # Of each 40 + 5 days five are in a spell.
    assert fmean(value > 6 for value in found) == pytest.approx(5 / 45, rel=0.1)


def test_the_worst_week_is_found():
    course = Course(scatter=0.0, within=0.0)
    marks = list(simulated_diary(random.Random(1), 80, course))
    marks[43:50] = [type(m)(m.at, 9.0) for m in marks[43:50]]
    assert day_after_a_bad_week(marks, 28, 70) == 50
