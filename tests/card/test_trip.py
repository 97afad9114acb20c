"""Trips: whether the drug reaches the return, and the pump's hours on other clocks."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from card_helpers import FILLED, NOW, an_forecast
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme import RateStep, TimedBolus, constant_rate, day_pattern
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.safety.contacts import Contact, lacks_country_code
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS
from pocketpump.core.travel.trip import (
    ClockRow,
    Stay,
    Trip,
    clock_rows,
    clock_spans,
    is_near,
    programme_for,
    reach_of,
)
from pocketpump.core.travel.trip_phrases import CAUTIONS
from pocketpump.exchange.papers.travel_words import clock_sentence, reach_sentences
from pocketpump.record import Entry
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.facts.card_facts import trip_of

# A flow accuracy of which the first window is 14.5 % to both sides (test_delivery_ratio.py).
WINDOW_14_5 = 8.8022


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
    answer = an_forecast()
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
    assert rows[0] == ClockRow("00:00", "19:00", -1, "10 mcg/h", weekday=0)


def test_a_constant_rate_has_no_hours_to_tell():
    assert clock_spans(a_trip(date(2026, 1, 1), date(2026, 2, 1)), constant_rate(100.0)) == ()


@given(
    steps=st.lists(
        st.sets(st.integers(1, 47), max_size=3).map(lambda some: [0, *sorted(some)]),
        min_size=7, max_size=7,
    ),
    shift=st.integers(-52, 52).map(lambda half: 30 * half),
    weekdays=st.tuples(st.integers(0, 6), st.integers(1, 7)).map(
        lambda given: [(given[0] + n) % 7 for n in range(given[1])]
    ),
)  # fmt: skip
def test_of_a_week_there_is_each_step_that_runs_on_one_of_the_days(steps, shift, weekdays):
    rates = iter(range(1, 99))
    days = [[RateStep(30 * half, float(next(rates))) for half in day] for day in steps]
    minutes = [(1440 * n + step.start_minute, step.rate_mcg_per_hour)
               for n, day in enumerate(days) for step in day]  # fmt: skip
    # Half an hour after the other, by the clock there: which step runs on the pump then?
    running = set()
    for day in weekdays:
        for half in range(48):
            pump = (1440 * day + 30 * half - shift) % (7 * 1440)
            running.add([rate for minute, rate in minutes if minute <= pump][-1])
    rows = clock_rows(day_pattern(days), shift, weekdays)
    assert {float(row.what.split()[0]) for row in rows} == running


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
    answer = an_forecast(tolerance_percent=WINDOW_14_5)
    assert reach_of(a_trip(leaves, returns), answer).verdict == verdict


def test_the_clinics_earlier_date_and_the_drugs_age_count_too():
    trip = a_trip(date(2026, 2, 1), date(2026, 2, 10))
    answer = an_forecast()
    assert reach_of(trip, answer).verdict == "fine"
    printed = replace(answer, printed_alarm_on=date(2026, 2, 16))
    assert reach_of(trip, printed).because == "clinic's alarm date"
    assert reach_of(trip, printed).verdict == "refill first"
    assert reach_of(trip, an_forecast(drug_age_limit_days=30)).because == "drug-age limit"


def test_a_volume_felt_before_brings_the_day_forward():
    # Felt at 4 mL: (20 - 4) / (0.4 × 1.145) = 34.9 days, 2026-02-16 (derived).
    reach = reach_of(a_trip(date(2026, 2, 1), date(2026, 2, 10)),
                     an_forecast(felt_low_ml=4.0, tolerance_percent=WINDOW_14_5))  # fmt: skip
    assert (reach.reaches, reach.because) == (date(2026, 2, 16), "felt volume")


ORDER = ["fine", "refill first", "more refills", "refill away", "do not leave"]


@given(
    start=st.integers(1, 60),
    length=st.integers(0, 300),
    longer=st.integers(0, 300),
    tolerance=st.floats(0, 30),
    felt=st.none() | st.floats(2, 19),
    days_on=st.integers(0, 40),
)
def test_a_longer_trip_never_gets_a_milder_answer(start, length, longer, tolerance, felt, days_on):
    answer = an_forecast(
        FILLED + timedelta(days=days_on), tolerance_percent=tolerance, felt_low_ml=felt
    )
    leaves = answer.today + timedelta(days=start)
    short = reach_of(a_trip(leaves, leaves + timedelta(days=length)), answer)
    long = reach_of(a_trip(leaves, leaves + timedelta(days=length + longer)), answer)
    assert ORDER.index(long.verdict) >= ORDER.index(short.verdict)


@given(
    leaves=st.integers(-20, 400),
    length=st.integers(0, 200),
    weekdays=st.frozensets(st.integers(0, 6), min_size=1),
    tolerance=st.floats(0, 30),
    days_on=st.integers(0, 60),
)
def test_no_refill_is_named_after_the_refill_by_date(leaves, length, weekdays, tolerance, days_on):
    answer = an_forecast(FILLED + timedelta(days=days_on), weekdays, tolerance_percent=tolerance)
    leaves_on = answer.today + timedelta(days=leaves)
    reach = reach_of(a_trip(leaves_on, leaves_on + timedelta(days=length)), answer)
    if reach.refill_on is not None:
        assert reach.refill_on <= answer.refill_by
        assert reach.refill_on < leaves_on
    if reach.verdict == "fine":
        assert answer.refill_by >= leaves_on + timedelta(days=length)
    told = " ".join(reach_sentences(reach))
    assert told.endswith(".")
    assert all(word not in told for word in ("None", "{"))


def test_a_refill_due_before_the_trip_is_told_first_and_the_trip_judged_from_it():
    # E14: alarm 2026-02-26, 7 days of margin: refill by 2026-02-19. A refill like it lasts
    # 39.3 days for sure, to 2026-03-30.
    answer = an_forecast(tolerance_percent=WINDOW_14_5)
    near = reach_of(a_trip(date(2026, 3, 5), date(2026, 3, 20)), answer)
    assert (near.verdict, near.refill_on, near.reaches_then) == (
        "refill first", date(2026, 2, 19), date(2026, 3, 30))  # fmt: skip
    first, *rest = reach_sentences(near)
    assert first == "A refill is due before this trip: book it first."
    assert any("Thu 19 Feb 2026" in sentence and "Refill by" in sentence for sentence in rest)
    assert any("This supposes the same fill and dose." in sentence for sentence in rest)
    assert reach_of(a_trip(date(2026, 5, 1), date(2026, 5, 9)), answer).verdict == "more refills"


def test_a_pump_that_would_last_is_no_help_when_its_last_open_day_is_during_the_trip():
    # Tuesdays only; the refill-by date is 2026-02-17, the earliest alarm 2026-02-20.
    answer = an_forecast(NOW, frozenset({1}), tolerance_percent=0.0)
    assert answer.refill_by == date(2026, 2, 17)
    assert reach_of(a_trip(date(2026, 2, 10), date(2026, 2, 18)), answer).verdict == "refill first"


@pytest.mark.parametrize(("days_on", "state"), [(40, "overdue"), (46, "alarm"), (51, "empty")])
def test_with_a_refill_overdue_nobody_is_sent_away(days_on, state):
    # E14: refill by 02-19 (day 38), alarm on day 45, empty on day 50.
    answer = an_forecast(FILLED + timedelta(days=days_on))
    assert answer.state == state
    leaves = answer.today + timedelta(days=1)
    told = reach_sentences(reach_of(a_trip(leaves, leaves), answer))
    assert told[0] == "Do not leave before a refill: call the clinic now."
    assert EMERGENCY_SIGNS in told


def test_a_stopped_pump_gives_no_promise():
    answer = an_forecast()
    stopped = replace(answer, programme=constant_rate(0.0))
    reach = reach_of(a_trip(date(2026, 2, 1), date(2026, 2, 2)), stopped)
    assert (reach.verdict, reach.reaches) == ("cannot tell", None)


@pytest.mark.parametrize(
    ("leaves", "returns", "stays"),
    [
        (date(2026, 2, 2), date(2026, 2, 1), [date(2026, 2, 2)]),
        (date(2026, 2, 1), date(2026, 2, 9), []),
        (date(2026, 2, 1), date(2026, 2, 9), [date(2026, 2, 5), date(2026, 2, 3)]),
        (date(2026, 2, 1), date(2026, 2, 9), [date(2026, 2, 1), date(2026, 2, 10)]),
    ],
)
def test_days_that_contradict_are_refused_in_one_sentence(leaves, returns, stays):
    with pytest.raises(InputError) as told:
        Trip(leaves, returns, tuple(Stay(day, "", "UTC") for day in stays))
    assert str(told.value).count(".") == 1


def test_eastwards_over_the_date_line_a_place_begins_the_day_before():
    # Kiritimati is UTC+14, Honolulu UTC-10: the same clock, a day apart.
    trip = Trip(
        date(2026, 12, 10),
        date(2026, 12, 20),
        (Stay(date(2026, 12, 10), "Kiritimati", "Pacific/Kiritimati"),
         Stay(date(2026, 12, 9), "Honolulu", "Pacific/Honolulu")),
    )  # fmt: skip
    there, back = clock_spans(trip, at_22(0))
    assert (there.first_on, there.last_on) == (date(2026, 12, 10), date(2026, 12, 10))
    assert (back.first_on, back.last_on) == (date(2026, 12, 9), date(2026, 12, 20))


def test_two_places_on_one_day_both_have_their_hours():
    day = date(2026, 1, 10)
    trip = Trip(day, day, (Stay(day, "Paris", "Europe/Paris"), Stay(day, "Lima", "America/Lima")))
    assert [(s.place, s.first_on, s.last_on) for s in clock_spans(trip, at_22(0))] == [
        ("Paris", day, day), ("Lima", day, day)]  # fmt: skip


def test_a_zone_nobody_knows_is_refused_in_one_sentence():
    with pytest.raises(InputError, match="I do not know the time zone"):
        a_trip(date(2026, 1, 1), date(2026, 1, 2), "Nowhere/X")


def test_two_days_of_shift_are_told():
    # From UTC-11 to UTC+14 is 25 hours: 23:00 on Monday is 00:00 on Wednesday.
    days = [[RateStep(0, 10.0), RateStep(1380, 12.0)]] + [[RateStep(0, 10.0)]] * 6
    row = clock_rows(day_pattern(days, -660), 1500)[1]
    assert (row.local_clock, row.day_shift) == ("00:00", 2)
    assert clock_sentence(row) == (
        "00:00, two days after, there: Mon by the pump: 12 mcg/h (pump's clock 23:00)"
    )


TRIP = {"zone": "Europe/Rome", "leaves_on": "2026-02-01", "returns_on": "2026-02-09"}


@pytest.mark.parametrize(
    "odd",
    [
        {"stops": {"stops": 5}},
        {"stops": {"stops": [{"from_on": "bad"}]}},
        {"stops": 7},
        {"stops": {"stops": [{"from_on": "2026-02-03", "place": "x", "zone": "Nowhere/X"}]}},
        {"zone": "Nowhere/X"},
        {"leaves_on": 5},
        {"returns_on": "soon"},
        {"returns_on": "2026-01-09"},
    ],
)
def test_a_trip_from_a_damaged_copy_is_one_sentence(odd):
    entry = Entry("id", "trip", FILLED, "", FILLED, freeze({**TRIP, **odd}))
    with pytest.raises(InputError) as told:
        trip_of(entry)
    assert len(str(told.value).splitlines()) == 1


def test_a_trip_is_near_from_a_week_before_until_the_return():
    trip = Trip(date(2026, 3, 10), date(2026, 3, 20), (Stay(date(2026, 3, 10), "", "UTC"),))
    days = [date(2026, 3, 2), date(2026, 3, 3), date(2026, 3, 20), date(2026, 3, 21)]
    assert [is_near(trip, day) for day in days] == [False, True, True, False]


@pytest.mark.parametrize(
    ("phone", "role", "lacks"),
    [
        ("020 7946 0101", "pump clinic", True),
        ("+44 20 7946 0101", "pump clinic", False),
        ("0044 20 7946 0101", "brother", True),
        # An emergency number has no country code.
        ("112", "local emergency number", False),
        ("ask the ward", "pump clinic", False),
    ],
)
def test_which_numbers_lack_a_country_code(phone, role, lacks):
    assert lacks_country_code(Contact("x", role, phone)) == lacks


def test_before_a_scan_the_pump_team_is_asked_and_after_it_the_pump_is_checked():
    # De Andres 2011 (abstract); the drug's label.
    (told,) = [line for line in CAUTIONS if line.startswith("MRI")]
    assert "must agree before" in told
    assert "checked after" in told
