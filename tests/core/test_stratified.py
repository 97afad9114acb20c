"""What of two stretches of days is compared: the same time of day, the same part of the week."""

import random
from datetime import timedelta

import pytest
from diary_simulator import (
    DAILY,
    EVENING,
    EVENINGS,
    MORNING,
    MORNINGS,
    WEEKDAYS_ONLY,
    WEEKENDS_ONLY,
    Course,
    Noting,
    day_at,
    simulated_diary,
)

from pocketpump.core.diary.check_ins import Reading
from pocketpump.core.diary.stratified import Side, matched


def side(marks, first, last):
    kept = tuple(mark for mark in marks if day_at(first) <= mark.at < day_at(last))
    return Side(kept, day_at(first).date(), day_at(last - 1).date())


def pair(before, after, **course):
    marks = simulated_diary(random.Random(1), 56, Course(change_day=28, **course), before, after)
    return matched(side(marks, 0, 28), side(marks, 28, 56))


@pytest.mark.parametrize(
    ("before", "after"),
    [(MORNINGS, EVENINGS), (WEEKDAYS_ONLY, WEEKENDS_ONLY), (Noting({8: 1.0}), Noting({12: 1.0}))],
)
def test_other_hours_and_other_days_have_nothing_in_common(before, after):
    assert pair(before, after).strata == {}


def test_of_several_hours_only_those_noted_before_and_after_are_compared():
    found = pair(MORNINGS, Noting({MORNING: 1.0, EVENING: 1.0}))
    assert {start for start, _ in found.strata} == {6}
    assert found.check_ins == (28, 28)  # of 84
    assert len(found.days(0)) == len(found.days(1)) == 28


def test_weekdays_and_weekends_are_strata_of_their_own():
    found = pair(DAILY, DAILY)
    assert {key: (len(b), len(a)) for key, (b, a) in found.strata.items()} == {
        (6, False): (20, 20), (6, True): (8, 8),
    }  # fmt: skip
    shares = found.shares()
    assert all(sum(shares[day]) == 1 for day in (*found.days(0), *found.days(1)))


def test_an_evening_noted_only_when_it_is_bad_is_not_compared():
    often = simulated_diary(random.Random(1), 56, Course(), Noting({MORNING: 1.0, EVENING: 1.0}))
    marks = [
        mark for mark in often
        if mark.at.hour == MORNING or mark.at < day_at(28) or mark.value >= 6
    ]  # fmt: skip
    found = matched(side(marks, 0, 28), side(marks, 28, 56))
    assert {start for start, weekend in found.strata if not weekend} == {6}


def test_days_noted_only_when_bad_are_not_compared_with_all_days():
    assert pair(DAILY, Noting(only_above=0.5)).strata.keys() <= {(6, True)}
    assert len(pair(Noting(every=2), Noting(every=2)).days(0)) == 14


@pytest.mark.parametrize("noted", [{MORNING: 0.8, 13: 0.6, EVENING: 0.8},
                                   {MORNING: 1.0, EVENING: 1.0}])  # fmt: skip
@pytest.mark.parametrize("only_bad_is_before", [True, False])
def test_check_ins_noted_only_when_not_good_are_not_compared_with_all(noted, only_bad_is_before):
    # About two thirds of the check-ins are left: each span by itself would pass for regular.
    some, every = Noting(noted, only_above=-0.5), Noting(noted)
    noting = (some, every) if only_bad_is_before else (every, some)
    chance, compared = random.Random(3), 0
    for _ in range(100):
        marks = simulated_diary(chance, 56, Course(alike=0.3, change_day=28), *noting)
        compared += bool(matched(side(marks, 0, 28), side(marks, 28, 56)).strata)
    assert compared <= 15


def test_days_noted_now_and_then_alike_before_and_after_stay_compared():
    whole_days = Noting({MORNING: 1.0, 13: 1.0, EVENING: 1.0}, weekdays=0.6, weekends=0.6)
    for noting in (Noting({MORNING: 0.8, 13: 0.6, EVENING: 0.8}), whole_days):
        chance, compared = random.Random(4), 0
        for _ in range(100):
            marks = simulated_diary(chance, 56, Course(), noting)
            compared += bool(matched(side(marks, 0, 28), side(marks, 28, 56)).strata)
        assert compared >= 85


def test_hours_that_change_by_chance_are_compared_and_those_that_move_are_not():
    def at(day, hour):
        return Reading(day_at(day, hour), 5.0)

    # 18 or 21 o'clock as it happens, before as after: one span.
    chance = random.Random(2)
    mixed = [at(day, chance.choice((18, 21))) for day in range(56)]
    assert matched(side(mixed, 0, 28), side(mixed, 28, 56)).check_ins == (28, 28)
    moved = [at(day, 18 if day < 28 else 21) for day in range(56)]
    assert matched(side(moved, 0, 28), side(moved, 28, 56)).check_ins == (0, 0)
    late = [at(day, 18 if day < 28 else 19) for day in range(56)]
    assert matched(side(late, 0, 28), side(late, 28, 56)).check_ins == (28, 28)


def test_the_span_before_two_in_the_morning_is_that_of_late_evening():
    marks = [Reading(day_at(day, 23.5 if day % 2 else 0.5), 4.0) for day in range(56)]
    found = matched(side(marks, 0, 28), side(marks, 28, 56))
    assert {start for start, _ in found.strata} == {22}


def test_many_scores_of_one_span_count_once():
    marks = [
        Reading(day_at(day, 8) + timedelta(minutes=10 * number), float(value))
        for day in range(56)
        for number, value in enumerate((3, 4, 9))
    ]
    found = matched(side(marks, 0, 28), side(marks, 28, 56))
    assert found.daily(0) == {day_at(day).date(): 4.0 for day in range(28)}
    assert found.check_ins == (84, 84)


def test_the_last_days_before_can_be_left_out():
    found = pair(DAILY, DAILY)
    short = found.without(day_at(21).date())
    assert short.days(0) == found.days(0)[:21]
    assert short.days(1) == found.days(1)
    assert found.without(day_at(0).date()) is None
