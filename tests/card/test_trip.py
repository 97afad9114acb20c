"""Trips: whether the drug reaches the return, and the pump's hours on other clocks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from card_helpers import FILLED, an_outlook
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.pattern import RateStep, TimedBolus, constant_rate, day_pattern
from pocketpump.core.timeline import Setting
from pocketpump.core.trip import (
    ClockRow,
    Stay,
    Trip,
    clock_rows,
    clock_spans,
    programme_for,
    reach_of,
)


def a_trip(leaves: date, returns: date, zone: str = "UTC") -> Trip:
    return Trip(leaves, returns, (Stay(leaves, "there", zone),))


def at_22(offset_minutes: int):
    return replace(constant_rate(100.0, offset_minutes), timed=(TimedBolus(45.0, 1, (22 * 60,)),))


# (pump's clock, zone there, day there, local hour of a bolus at 22:00, day shift)
CLOCKS = [
    # E37: home UTC+1, carried to UTC-5: 16:00 (travel leaflet rule).
    (60, "America/New_York", date(2026, 1, 15), "16:00", 0),
    # Daylight saving there begins 2026-03-08 (US law: second Sunday of March): UTC-4.
    (60, "America/New_York", date(2026, 3, 7), "16:00", 0),
    (60, "America/New_York", date(2026, 3, 8), "17:00", 0),
    # At home too: set in winter, the pump does not follow the summer clock (from 2026-03-29).
    (60, "Europe/Amsterdam", date(2026, 3, 28), "22:00", 0),
    (60, "Europe/Amsterdam", date(2026, 3, 29), "23:00", 0),
    # And back on 2026-10-25.
    (120, "Europe/Amsterdam", date(2026, 10, 24), "22:00", 0),
    (120, "Europe/Amsterdam", date(2026, 10, 25), "21:00", 0),
    # Over the date line: UTC+13 (Auckland, summer) to UTC-10: 23 hours back.
    (780, "Pacific/Honolulu", date(2026, 1, 15), "23:00", -1),
    # The other way: UTC-10 to UTC+13, 23 hours on.
    (-600, "Pacific/Auckland", date(2026, 1, 15), "21:00", 1),
    # Half hours: UTC to UTC+5:30.
    (0, "Asia/Kolkata", date(2026, 1, 15), "03:30", 1),
    # Kiritimati, UTC+14, from UTC-10: a whole day.
    (-600, "Pacific/Kiritimati", date(2026, 1, 15), "22:00", 1),
]


@pytest.mark.parametrize(("offset", "zone", "day", "local", "shift"), CLOCKS)
def test_a_bolus_at_22_comes_by_the_clock_there(offset, zone, day, local, shift):
    (span,) = clock_spans(a_trip(day, day, zone), at_22(offset))
    (row,) = span.rows
    assert (row.pump_clock, row.local_clock, row.day_shift) == ("22:00", local, shift)


@pytest.mark.parametrize(("offset", "zone", "day", "local", "shift"), CLOCKS)
def test_the_same_instant_by_the_standard_library(offset, zone, day, local, shift):
    # The day by the pump's clock, from which its 22:00 falls into noon's offset there.
    pump_day = day - timedelta(days=shift)
    utc = datetime(pump_day.year, pump_day.month, pump_day.day, 22, tzinfo=UTC)
    there = (utc - timedelta(minutes=offset)).astimezone(ZoneInfo(zone))
    assert (there.strftime("%H:%M"), there.date()) == (local, day)


def test_a_change_of_clocks_during_the_stay_splits_it():
    spans = clock_spans(a_trip(date(2026, 3, 5), date(2026, 3, 10), "America/New_York"), at_22(60))
    assert [(s.first_on, s.last_on, s.shift_minutes) for s in spans] == [
        (date(2026, 3, 5), date(2026, 3, 7), -360),
        (date(2026, 3, 8), date(2026, 3, 10), -300),
    ]


def test_a_day_pattern_moves_whole_and_each_place_has_its_own_clock():
    pattern = day_pattern([[RateStep(0, 13.0), RateStep(360, 9.0), RateStep(1200, 13.0)]], 60)
    trip = Trip(
        date(2026, 1, 10),
        date(2026, 1, 20),
        (Stay(date(2026, 1, 10), "Tokyo", "Asia/Tokyo"),
         Stay(date(2026, 1, 15), "Lima", "America/Lima")),
    )  # fmt: skip
    tokyo, lima = clock_spans(trip, pattern)
    # UTC+9 and UTC-5 against the pump's UTC+1: +8 h and -6 h.
    assert [row.local_clock for row in tokyo.rows] == ["08:00", "14:00", "04:00"]
    assert [row.local_clock for row in lima.rows] == ["18:00", "00:00", "14:00"]
    assert (tokyo.last_on, lima.last_on) == (date(2026, 1, 14), date(2026, 1, 20))


def test_a_trip_is_told_by_the_setting_with_which_it_begins():
    answer = an_outlook()
    later = Setting(FILLED + timedelta(days=20), constant_rate(250.0))
    changed = replace(
        answer,
        situation=replace(answer.situation, settings=(*answer.situation.settings, later)),
    )
    before, after = date(2026, 1, 25), date(2026, 2, 2)
    assert programme_for(a_trip(before, after), changed).dose_mcg_per_day == pytest.approx(200)
    assert programme_for(a_trip(after, after), changed).dose_mcg_per_day == pytest.approx(250)


def test_only_a_pattern_by_weekday_tells_the_day():
    days = [[RateStep(0, 10.0), RateStep(720, 20.0)]] * 6 + [[RateStep(0, 5.0)]]
    assert all(row.daily for row in clock_rows(day_pattern(days[:1]), -300))
    rows = clock_rows(day_pattern(days), -300)
    assert not any(row.daily for row in rows)
    assert rows[0] == ClockRow("00:00", "19:00", -1, "Mon by the pump: 10 mcg/h", False)


def test_a_constant_rate_has_no_hours_to_tell():
    assert clock_spans(a_trip(date(2026, 1, 1), date(2026, 2, 1)), constant_rate(100.0)) == ()


@given(shift=st.integers(-1560, 1560), minutes=st.lists(st.integers(0, 1439), max_size=6))
def test_moving_the_hours_loses_none(shift, minutes):
    programme = replace(constant_rate(1.0), timed=(TimedBolus(1.0, len(minutes), tuple(minutes)),))
    rows = clock_rows(programme, shift)
    back = [
        int(r.local_clock[:2]) * 60 + int(r.local_clock[3:]) + 1440 * r.day_shift - shift
        for r in rows
    ]
    assert back == sorted(minutes)


# E14: 20 mL at 500 mcg/mL, 200 mcg/day, ±14.5 %: the earliest alarm is 2026-02-20.
# The margin is 7 days, so a return up to 2026-02-13 is sure.
@pytest.mark.parametrize(
    ("leaves", "returns", "verdict"),
    [
        (date(2026, 2, 1), date(2026, 2, 13), "fine"),
        # Before the likely date (2026-02-26) less the margin, yet not sure: refill first.
        (date(2026, 2, 1), date(2026, 2, 14), "refill first"),
        (date(2026, 2, 1), date(2026, 2, 19), "refill first"),
        # A refill on 01-31 is sure for 39.3 days, to 03-11; less 7 days: 03-04.
        (date(2026, 2, 1), date(2026, 3, 4), "refill first"),
        (date(2026, 2, 1), date(2026, 3, 5), "refill away"),
        # Leaving today: no open day is left before.
        (date(2026, 1, 20), date(2026, 2, 20), "refill away"),
    ],
)
def test_the_earliest_alarm_decides_not_the_likely_one(leaves, returns, verdict):
    assert reach_of(a_trip(leaves, returns), an_outlook()).verdict == verdict


def test_the_clinics_earlier_date_and_the_drugs_age_count_too():
    trip = a_trip(date(2026, 2, 1), date(2026, 2, 10))
    answer = an_outlook()
    assert reach_of(trip, answer).verdict == "fine"
    printed = replace(answer, printed_alarm_on=date(2026, 2, 16))
    assert reach_of(trip, printed).because == "clinic's alarm date"
    assert reach_of(trip, printed).verdict == "refill first"
    assert reach_of(trip, an_outlook(drug_age_limit_days=30)).because == "drug-age limit"


def test_a_volume_felt_before_brings_the_day_forward():
    # Felt at 4 mL: (20 - 4) / (0.4 × 1.145) = 34.9 days, 2026-02-16 (derived).
    reach = reach_of(a_trip(date(2026, 2, 1), date(2026, 2, 10)), an_outlook(felt_low_ml=4.0))
    assert (reach.reaches, reach.because) == (date(2026, 2, 16), "felt volume")


ORDER = ["fine", "refill first", "refill away"]


@given(
    start=st.integers(1, 60),
    length=st.integers(0, 300),
    longer=st.integers(0, 300),
    tolerance=st.floats(0, 30),
    felt=st.none() | st.floats(2, 19),
    days_on=st.integers(0, 40),
)
def test_a_longer_trip_never_gets_a_milder_answer(start, length, longer, tolerance, felt, days_on):
    answer = an_outlook(
        FILLED + timedelta(days=days_on), tolerance_percent=tolerance, felt_low_ml=felt
    )
    leaves = answer.today + timedelta(days=start)
    short = reach_of(a_trip(leaves, leaves + timedelta(days=length)), answer)
    long = reach_of(a_trip(leaves, leaves + timedelta(days=length + longer)), answer)
    assert ORDER.index(long.verdict) >= ORDER.index(short.verdict)


def test_a_stopped_pump_gives_no_promise():
    answer = an_outlook()
    stopped = replace(answer, programme=constant_rate(0.0))
    reach = reach_of(a_trip(date(2026, 2, 1), date(2026, 2, 2)), stopped)
    assert (reach.verdict, reach.reaches) == ("cannot tell", None)


@pytest.mark.parametrize(
    ("leaves", "returns", "stays"),
    [
        (date(2026, 2, 2), date(2026, 2, 1), [date(2026, 2, 2)]),
        (date(2026, 2, 1), date(2026, 2, 9), []),
        (date(2026, 2, 1), date(2026, 2, 9), [date(2026, 2, 5), date(2026, 2, 3)]),
        (date(2026, 2, 1), date(2026, 2, 9), [date(2026, 2, 1), date(2026, 2, 1)]),
        (date(2026, 2, 1), date(2026, 2, 9), [date(2026, 2, 1), date(2026, 2, 10)]),
    ],
)
def test_days_that_contradict_are_refused_in_one_sentence(leaves, returns, stays):
    with pytest.raises(InputError) as told:
        Trip(leaves, returns, tuple(Stay(day, "", "UTC") for day in stays))
    assert str(told.value).count(".") == 1
