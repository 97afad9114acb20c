"""What is usual at an hour and on a kind of day."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from diary_simulator import EVENING, MORNING, START

from pocketpump.core.diary.baseline import FEWEST_NEAR_DAYS, scores_by_hour
from pocketpump.core.diary.baseline import baseline_of as usual_of_scores
from pocketpump.core.diary.check_ins import Reading


def baseline_of(marks):
    return usual_of_scores(scores_by_hour(marks))


def at(day: int, hour: int) -> datetime:
    return START + timedelta(days=day, hours=hour)


def test_the_usual_score_is_that_of_about_the_same_hour():
    marks = [Reading(at(d, h), v) for d in range(10) for h, v in ((MORNING, 3.0), (EVENING, 7.0))]
    usual = baseline_of(marks)
    assert usual.at(at(20, MORNING - 2)) == usual.at(at(20, MORNING + 2)) == 3.0
    assert usual.at(at(20, EVENING)) == 7.0
    assert usual.at(at(20, 14)) is None
    assert set(usual.days_off(scores_by_hour(marks)).values()) == {0.0}
    assert usual.days_off(scores_by_hour([Reading(at(20, EVENING), 9.0)])) == {
        at(20, 0).date(): 2.0
    }


def test_too_few_days_at_an_hour_say_nothing_of_it():
    marks = [Reading(at(d, 8), 3.0) for d in range(FEWEST_NEAR_DAYS - 1)]
    assert baseline_of(marks).at(at(20, 8)) is None
    # Many notes of one day are still one day.
    many = [*marks, *(Reading(at(0, h), 3.0) for h in (6, 7, 9))]
    assert baseline_of(many).at(at(20, 8)) is None


def test_about_the_hour_reaches_over_midnight_and_follows_the_wall_clock():
    zone = ZoneInfo("Europe/Rome")  # clocks go forward on 29 March 2026
    late = [Reading(datetime(2026, 3, d, 23, 30, tzinfo=zone), 4.0) for d in range(10, 31)]
    assert baseline_of(late).at(datetime(2026, 4, 1, 0, 45, tzinfo=zone)) == 4.0


def test_weekdays_and_weekends_are_told_apart():
    marks = [Reading(at(d, 8), 6.0 if d % 7 >= 5 else 3.0) for d in range(28)]
    usual = baseline_of(marks)
    assert usual.at(at(33, 8)) == pytest.approx(6.0)
    assert usual.at(at(35, 8)) == pytest.approx(3.0)
    assert list(usual.days_off(scores_by_hour(marks)).values()) == pytest.approx([0.0] * 28)
    # With two weekends only it is not known yet.
    few = baseline_of(marks[:14])
    assert few.at(at(19, 8)) == few.at(at(21, 8))


def test_a_bad_hour_counts_once_however_often_it_was_noted():
    calm = [Reading(at(d, 20), 3.0) for d in range(9)]
    bad = [Reading(at(9, 20) + timedelta(minutes=5 * i), 9.0) for i in range(8)]
    assert baseline_of([*calm, *bad]).at(at(10, 20)) == pytest.approx((9 * 3 + 9) / 10)
