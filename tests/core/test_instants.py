"""Instants: daylight saving, leap days, a travelling phone and a pump's clock that never moves.

Daylight saving in Europe 2026: clocks go from 02:00 to 03:00 on 29 March and from 03:00 back
to 02:00 on 25 October (time zone database).
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from core_helpers import at, day, is_one_sentence, tip_mcg_per_h

from pocketpump.core.errors import InputError
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_text import parse_pattern
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.units.instants import (
    attach_zone,
    from_seconds,
    local_date,
    parse_date,
    parse_instant,
    start_of,
    to_seconds,
    whole_days,
    zone_named,
)

ROME = ZoneInfo("Europe/Rome")
HOUR = 3_600


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    # The day on which clocks go forward has 23 hours, the one on which they go back 25.
    [
        ("2026-03-28T12:00", "2026-03-29T12:00", 23),
        ("2026-10-24T12:00", "2026-10-25T12:00", 25),
        ("2026-01-12T12:00", "2026-01-13T12:00", 24),
    ],
)
def test_elapsed_hours_are_counted_across_daylight_saving(start, end, hours):
    begin, finish = parse_instant(start, ROME), parse_instant(end, ROME)
    assert to_seconds(finish) - to_seconds(begin) == hours * HOUR
    assert whole_days(begin, finish) == (0 if hours < 24 else 1)
    fills = [Fill(begin, 20, 1000)]
    timeline, _ = build_timeline(fills, [Setting(begin, constant_rate(240))])
    # 240 mcg/day at 1000 mcg/mL is 0.01 mL an hour, derived.
    assert 20 - timeline.volume_at(to_seconds(finish)) == pytest.approx(hours * 0.01, rel=1e-12)


def test_an_alarm_after_the_change_is_an_hour_later_on_the_wall():
    filled = parse_instant("2026-03-01T09:00", ROME)
    situation = Situation(
        Pump(2.0), (Fill(filled, 20, 500),), (Setting(filled, constant_rate(200)),)
    )
    answer, _ = forecast(situation, filled, ROME)
    # 45 days of 24 hours (E14, derived), and the wall clock has moved an hour on.
    assert answer.alarm_at.isoformat() == "2026-04-15T10:00:00+02:00"
    assert answer.days_to_alarm == 45


def test_a_time_the_clocks_skip_is_refused_and_one_that_comes_twice_is_the_first():
    with pytest.raises(InputError) as caught:
        parse_instant("2026-03-29T02:30", ROME, "filled")
    assert is_one_sentence(str(caught.value))
    assert caught.value.field == "filled"
    with pytest.raises(InputError):
        attach_zone(datetime(2026, 3, 29, 2, 0), ROME)  # noqa: DTZ001 - a wall clock
    # Compared as seconds: Python never calls a repeated wall time equal to another zone's.
    for text, utc in [
        ("2026-03-29T03:00", "2026-03-29T01:00"),
        ("2026-10-25T02:30", "2026-10-25T00:30"),
        ("2026-10-25T02:30+01:00", "2026-10-25T01:30"),
    ]:
        assert to_seconds(parse_instant(text, ROME)) == to_seconds(at(utc))


def test_a_skipped_midnight_begins_the_day_when_the_clocks_go_on():
    # Clocks in Santiago de Chile skipped 2024-09-08 00:00-01:00 (time zone database).
    santiago = ZoneInfo("America/Santiago")
    assert start_of(date(2024, 9, 8), santiago).astimezone(UTC) == at("2024-09-08T04:00")
    assert start_of(date(2026, 3, 29), ROME).astimezone(UTC) == at("2026-03-28T23:00")


@pytest.mark.parametrize(
    ("start", "days", "end"),
    [
        # E35: calendar.
        ("2028-02-10", 45, "2028-03-26"),
        ("2027-02-10", 45, "2027-03-27"),
        ("2028-02-28", 1, "2028-02-29"),
        ("2100-02-28", 1, "2100-03-01"),
    ],
)
def test_days_are_counted_over_leap_days(start, days, end):
    assert local_date(from_seconds(to_seconds(at(start)) + days * 86_400, UTC), UTC) == day(end)
    assert whole_days(at(start), at(end)) == days


def test_whole_days_are_rounded_down_also_in_the_past():
    now = at("2026-01-12T09:00")
    assert whole_days(now, now + timedelta(days=2, seconds=-1)) == 1
    assert whole_days(now, now + timedelta(days=2)) == 2
    assert whole_days(now, now) == 0
    assert whole_days(now, now - timedelta(seconds=1)) == -1


def test_a_travelling_phone_keeps_the_alarm_instant_and_changes_its_date():
    filled = at("2026-01-12T03:00")
    situation = Situation(
        Pump(2.0), (Fill(filled, 20, 500),), (Setting(filled, constant_rate(200)),)
    )
    now = at("2026-01-20T12:00")
    home, _ = forecast(situation, now, ROME)
    away, _ = forecast(situation, now, ZoneInfo("America/Los_Angeles"))
    assert home.alarm_at == away.alarm_at == at("2026-02-26T03:00")
    assert (home.alarm_at.date(), away.alarm_at.date()) == (day("2026-02-26"), day("2026-02-25"))
    assert home.volume_now_ml == away.volume_now_ml
    assert home.days_to_alarm == away.days_to_alarm
    # Both are the margin of 7 days before the local date.
    assert (home.refill_by, away.refill_by) == (day("2026-02-19"), day("2026-02-18"))


PATTERN = "00:00 10 mcg/h, 22:00 40 mcg/h"


def test_the_day_pattern_follows_the_pumps_clock_and_not_the_wall_clock():
    # Set in winter at UTC+1. In summer the pump's 22:00-24:00 is 23:00-01:00 on the wall.
    filled = parse_instant("2026-03-20T09:00", ROME)
    programme = parse_pattern(PATTERN, clock_offset_minutes=60)
    timeline, _ = build_timeline([Fill(filled, 20, 1000)], [Setting(filled, programme)])

    def pumped(start: str, end: str) -> float:
        seconds = [to_seconds(parse_instant(text, ROME)) for text in (start, end)]
        return (timeline.pumped_at(seconds[1]) - timeline.pumped_at(seconds[0])) * 1000

    # By hand from the rates, mcg: before the change, and on the same wall hours after it.
    assert pumped("2026-03-25T22:00", "2026-03-26T00:00") == pytest.approx(80, abs=1e-6)
    assert pumped("2026-04-02T22:00", "2026-04-03T00:00") == pytest.approx(10 + 40, abs=1e-6)
    assert pumped("2026-04-02T23:00", "2026-04-03T01:00") == pytest.approx(80, abs=1e-6)
    # Over the night of the change itself 23 hours pass: 22-24 at 40, the other 21 at 10.
    assert pumped("2026-03-28T12:00", "2026-03-29T12:00") == pytest.approx(80 + 210, abs=1e-6)


def test_the_weekday_of_a_pattern_is_the_pumps_weekday():
    # Pump at UTC+13: its Monday 2026-01-19 begins on Sunday at 11:00 UTC.
    programme = parse_pattern("Mon: 00:00 100 mcg/h; Tue: 00:00 0 mcg/h", 13 * 60)
    filled = at("2026-01-14T00:00")
    timeline, _ = build_timeline([Fill(filled, 20, 1000)], [Setting(filled, programme)])

    def rate(text: str) -> float:
        return tip_mcg_per_h(timeline, to_seconds(at(text)))

    assert rate("2026-01-18T10:59") == 0
    assert rate("2026-01-18T11:00") == pytest.approx(100)
    assert rate("2026-01-19T10:59") == pytest.approx(100)
    assert rate("2026-01-19T11:00") == 0


@pytest.mark.parametrize(
    "text",
    ["", "12.01.2026", "01/12/2026", "2026-13-01", "2026-02-29", "0206-01-12", "2026-1-2",
     "9999-12-31T24:00", "2026-01-12T25:00", "2026-01-12T09:00+99:00", "20260112", "noon"],
)  # fmt: skip
def test_an_unclear_date_or_time_is_refused_in_one_sentence(text):
    for read in (lambda: parse_instant(text, UTC, "f"), lambda: parse_date(text, "f")):
        with pytest.raises(InputError) as caught:
            read()
        assert is_one_sentence(str(caught.value)), str(caught.value)
        assert caught.value.field == "f"


@pytest.mark.parametrize(
    "name", ["", "Mars/Base", "/etc/passwd", "../UTC", "Europe", "é", "a" * 99]
)
def test_an_unknown_zone_is_refused_in_one_sentence(name):
    with pytest.raises(InputError) as caught:
        zone_named(name)
    assert is_one_sentence(str(caught.value)), str(caught.value)


def test_a_naive_datetime_is_a_programming_error():
    with pytest.raises(ValueError, match="naive"):
        to_seconds(datetime(2026, 1, 12))  # noqa: DTZ001 - that is the point


def test_a_date_alone_is_the_start_of_that_day():
    assert parse_instant("2026-01-12", ROME) == at("2026-01-11T23:00")
    assert parse_date(" 2026-01-12 ") == day("2026-01-12")
