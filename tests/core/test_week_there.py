"""The pump's week by the clock there, held to what runs at each minute."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.programme import RateStep, TimedBolus, day_pattern
from pocketpump.core.travel.trip import ClockSpan, clock_rows
from pocketpump.core.travel.week_there import runs_of, week_there

MONDAY = date(2026, 3, 2)


def a_span(programme, shift, first=MONDAY, count=7) -> ClockSpan:
    last = first + timedelta(days=count - 1)
    weekdays = [(first + timedelta(days=n)).weekday() for n in range(min(count, 7))]
    rows = clock_rows(programme, shift, weekdays)
    return ClockSpan("", "UTC", first, last, shift, rows)


STEPS = st.lists(
    st.sets(st.integers(1, 23), max_size=2).map(lambda some: [0, *sorted(some)]),
    min_size=7, max_size=7,
)  # fmt: skip


@given(steps=STEPS, shift=st.integers(-26, 26).map(lambda hours: 60 * hours))
def test_every_hour_of_the_pump_stands_on_its_day_there_once(steps, shift):
    days = [[RateStep(60 * h, 1.0 + n) for h in day] for n, day in enumerate(steps)]
    expected = sorted(
        (*divmod((1440 * n + 60 * h + shift) % 10080, 1440), 1.0 + n)
        for n, day in enumerate(steps) for h in day
    )  # fmt: skip
    groups = week_there(a_span(day_pattern(days), shift))
    found = sorted(
        (day, int(row.local_clock[:2]) * 60, float(row.what.split()[0]))
        for group in groups for day in group.weekdays for row in group.rows
    )  # fmt: skip
    assert found == expected
    for group in groups:
        clocks = [row.local_clock for row in group.rows]
        assert clocks == sorted(clocks)
        assert list(group.weekdays) == sorted(group.weekdays)
    firsts = [group.weekdays[0] for group in groups]
    assert firsts == sorted(firsts)


def test_equal_days_are_told_together():
    week = [[RateStep(0, 10.0), RateStep(360, 20.0)]] * 5 + [[RateStep(0, 5.0)]] * 2
    workdays, weekend = week_there(a_span(day_pattern(week), 0))
    assert (workdays.weekdays, weekend.weekdays) == ((0, 1, 2, 3, 4), (5, 6))
    assert [row.local_clock for row in workdays.rows] == ["00:00", "06:00"]


def test_a_bolus_of_every_day_stands_on_each_day_of_the_stay():
    week = day_pattern([[RateStep(0, 10.0)]] * 6 + [[RateStep(0, 5.0)]])
    week = replace(week, timed=(TimedBolus(45.0, 1, (600,)),))
    groups = week_there(a_span(week, 60, MONDAY, 14))
    assert [(g.weekdays, [r.local_clock for r in g.rows]) for g in groups] == [
        ((0, 1, 2, 3, 4, 5), ["01:00", "11:00"]), ((6,), ["01:00", "11:00"]),
    ]  # fmt: skip
    # Of two days, and not on the day before, when the step began that runs already.
    groups = week_there(a_span(week, 60, MONDAY, 2))
    assert [(g.weekdays, [r.local_clock for r in g.rows]) for g in groups] == [
        ((6,), ["01:00"]), ((0, 1), ["01:00", "11:00"]),
    ]  # fmt: skip


def test_a_short_stay_begins_with_the_step_that_runs_already():
    week = [[RateStep(0, 1.0 + n)] for n in range(7)]
    # Two hours ahead, Friday and Saturday: Thursday's began at 02:00 on Thursday there.
    groups = week_there(a_span(day_pattern(week), 120, MONDAY + timedelta(days=4), 2))
    assert [(g.weekdays, g.rows[0].what) for g in groups] == [
        ((3,), "4 mcg/h"), ((4,), "5 mcg/h"), ((5,), "6 mcg/h"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("days", "runs"),
    [([0], [(0, 0)]), ([0, 1, 2], [(0, 2)]), ([0, 2, 3], [(0, 0), (2, 3)]),
     # Sunday to Thursday, and Friday to Monday of a stay.
     ([0, 1, 2, 3, 6], [(6, 3)]), ([4, 5, 6, 0], [(4, 0)])],
)  # fmt: skip
def test_days_that_follow_each_other_are_one_run(days, runs):
    assert runs_of(days) == runs
