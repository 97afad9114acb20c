"""How long the pump lasts."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.app.screens.pump.device_life import near_sentence
from pocketpump.core.pump.device_life import DeviceReading, device_life

IMPLANTED = date(2024, 6, 17)


def test_nothing_known_gives_nothing():
    assert device_life(None, (), date(2026, 1, 1)) is None


def test_the_usual_life_is_five_to_seven_years_and_planned_three_months_ahead():
    # 5-7 years (common practice, no source); 3 months ahead: Boster 2016.
    life = device_life(IMPLANTED, (), date(2026, 1, 1))
    assert (life.life_from, life.life_to) == (date(2029, 6, 17), date(2031, 6, 17))
    assert life.plan_by == date(2029, 3, 17)
    assert not life.is_near


@pytest.mark.parametrize(
    ("reading", "ends_by", "plan_by", "because"),
    [
        # 20 months from 2026-01-10; three months before that.
        (DeviceReading(date(2026, 1, 10), 20.0), date(2027, 9, 10), date(2027, 6, 10),
         "clinic's reading"),
        # 90 days after the notice (common practice); planning is due at once.
        (DeviceReading(date(2026, 2, 1), None, date(2026, 1, 30)), date(2026, 4, 30),
         date(2026, 1, 30), "replacement notice"),
    ],
)  # fmt: skip
def test_what_the_clinic_read_outweighs_the_usual_life(reading, ends_by, plan_by, because):
    life = device_life(IMPLANTED, (reading,), date(2026, 2, 10))
    assert (life.ends_by, life.plan_by, life.because) == (ends_by, plan_by, because)


def test_a_later_reading_does_not_silence_the_notice():
    notice = DeviceReading(date(2026, 1, 30), None, date(2026, 1, 30))
    later = DeviceReading(date(2026, 2, 5), 30.0)
    life = device_life(IMPLANTED, (notice, later), date(2026, 2, 10))
    assert life.because == "replacement notice"
    assert life.days_left == (date(2026, 4, 30) - date(2026, 2, 10)).days
    assert life.is_near


def test_a_reading_of_the_future_is_not_known_yet():
    assert device_life(None, (DeviceReading(date(2027, 1, 1), 3.0),), date(2026, 1, 1)) is None


@pytest.mark.parametrize(
    "old",
    [
        DeviceReading(date(2024, 5, 2), None, date(2024, 5, 1)),
        DeviceReading(date(2024, 5, 2), 2.0),
        # Written down after the new pump was implanted, given by the old one.
        DeviceReading(date(2024, 8, 2), None, date(2024, 5, 1)),
    ],
)
def test_the_pump_before_this_one_no_longer_speaks(old):
    life = device_life(IMPLANTED, (old,), date(2026, 1, 1))
    assert (life.because, life.reading) == ("usual life", None)
    assert near_sentence(life) == ""


@pytest.mark.parametrize("today", [date(2029, 3, 17), date(2029, 3, 18), date(2029, 7, 1)])
def test_a_day_that_is_past_is_never_a_task(today):
    # Implanted 2024-06-17: planned by 2029-03-17, may end from 2029-06-17.
    life = device_life(IMPLANTED, (), today)
    assert ("by Sat 17 Mar 2029" in near_sentence(life)) == (today <= date(2029, 3, 17))
    assert near_sentence(life)


@given(
    implanted=st.none() | st.dates(date(1990, 1, 1), date(2060, 1, 1)),
    months=st.none() | st.floats(0, 240),
    notice=st.none() | st.dates(date(1990, 1, 1), date(2060, 1, 1)),
    today=st.dates(date(1990, 1, 1), date(2060, 1, 1)),
)
def test_planning_never_comes_after_the_end(implanted, months, notice, today):
    reading = DeviceReading(today, months, notice)
    life = device_life(implanted, (reading,), today)
    if life is not None:
        assert life.plan_by <= life.ends_by
        assert life.ends_by == today + timedelta(days=life.days_left)
