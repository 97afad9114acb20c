"""Clinic days: weekdays, certain weeks of the month, closed and extra days."""

from calendar import monthcalendar
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.pump.clinic_days import (
    WEEKS_OF_MONTH,
    ClinicDays,
    describe_rule,
    read_rule,
    rule_of,
    weeks_of,
)

days = st.dates(date(2020, 1, 1), date(2040, 12, 31))
weeks = st.sets(st.sampled_from(sorted(WEEKS_OF_MONTH)), min_size=1)
weekdays = st.sets(st.integers(0, 6), min_size=1)


@pytest.mark.parametrize(
    ("rule", "open_on", "closed_on"),
    [
        # Read off a printed calendar of 2026.
        ("FREQ=MONTHLY;BYDAY=1TU", "2026-02-03", "2026-02-10"),
        ("FREQ=MONTHLY;BYDAY=1TU,3TU", "2026-02-17", "2026-02-24"),
        ("FREQ=MONTHLY;BYDAY=-1TH", "2026-04-30", "2026-04-23"),
        # April 2026 has five Wednesdays, May four.
        ("FREQ=MONTHLY;BYDAY=5WE", "2026-04-29", "2026-05-27"),
    ],
)
def test_a_rule_opens_only_its_weeks(rule, open_on, closed_on):
    clinic = ClinicDays(rule=rule)
    assert clinic.is_open(date.fromisoformat(open_on))
    assert not clinic.is_open(date.fromisoformat(closed_on))


@given(days, weeks, weekdays)
def test_a_rule_agrees_with_the_calendar_month(day, chosen, open_weekdays):
    """The independent way: the weeks of the month as ``calendar`` lays them out."""
    column = [week[day.weekday()] for week in monthcalendar(day.year, day.month)]
    column = [number for number in column if number]
    place = column.index(day.day) + 1
    last = day.day == column[-1]
    expected = day.weekday() in open_weekdays and (place in chosen or (last and -1 in chosen))
    clinic = ClinicDays(frozenset(open_weekdays), rule=rule_of(chosen, open_weekdays))
    assert clinic.is_open(day) == expected


@given(days, weeks, weekdays)
def test_the_last_open_day_is_open_and_the_latest(day, chosen, open_weekdays):
    clinic = ClinicDays(frozenset(open_weekdays), rule=rule_of(chosen, open_weekdays))
    found = clinic.last_open_day(day)
    assert found <= day
    assert clinic.is_open(found)
    between = (day - found).days
    assert not any(clinic.is_open(day - timedelta(days=n)) for n in range(between))


@given(days, weekdays)
def test_closed_wins_over_opened_and_opened_over_the_weekday(day, open_weekdays):
    clinic = ClinicDays(frozenset(open_weekdays), closed_on={day}, opened_on={day})
    assert not clinic.is_open(day)
    assert ClinicDays(frozenset(open_weekdays), opened_on={day}).is_open(day)


def test_a_clinic_that_never_opens_leaves_the_day_as_it_is():
    assert ClinicDays(frozenset()).last_open_day(date(2026, 2, 26)) == date(2026, 2, 26)


@given(weeks, weekdays)
def test_a_rule_reads_back_as_written(chosen, open_weekdays):
    rule = rule_of(chosen, open_weekdays)
    assert read_rule(rule) == rule
    assert weeks_of(rule) == chosen
    assert describe_rule(rule).endswith(" of the month")


def test_a_rule_in_words():
    assert describe_rule("FREQ=MONTHLY;BYDAY=1TU,3TU,-1TH") == (
        "first and third Tuesday and last Thursday of the month"
    )
    assert describe_rule(rule_of((), (1,))) == ""


@pytest.mark.parametrize(
    "text",
    ["every Tuesday", "FREQ=DAILY", "FREQ=MONTHLY;BYDAY=TU", "FREQ=MONTHLY;BYDAY=6TU",
     "FREQ=MONTHLY;BYDAY=1TU,", "FREQ=MONTHLY;BYDAY=1TU;COUNT=1", "FREQ=MONTHLY;BYDAY=1TU\n"],
)  # fmt: skip
def test_other_rules_are_refused_in_one_sentence(text):
    with pytest.raises(InputError, match="is not a rule for clinic days: write it like"):
        read_rule(text)
