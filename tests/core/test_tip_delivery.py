"""What reaches the body: the old drug in the line, and the pattern on the wall clock."""

from datetime import UTC, date, datetime, timedelta, timezone
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.programme import (
    RateStep,
    TimedBolus,
    constant_rate,
    curve_of,
    day_pattern,
    stopped,
)
from pocketpump.core.pump.programme_text import with_boluses
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.pump.tip_delivery import pattern_on_wall_clock, strength_changes

START = datetime(2026, 1, 1, 9, tzinfo=UTC)
CHANGED = START + timedelta(days=20)
ROME = ZoneInfo("Europe/Rome")


def changes(old, new, *, bridged, line=0.35, programme=None, later=()):
    return strength_changes(
        [Fill(START, 20, old), Fill(CHANGED, 20, new, bridged), *later],
        [Setting(START, programme or constant_rate(200))],
        line,
        UTC,
    )


@pytest.mark.parametrize(
    ("old", "new", "bridged", "hours", "meanwhile_mcg_per_day"),
    [
        # E23, derived: line 0.35 mL, 200 mcg/d wanted: 175 mcg of old drug = 21 h; without a
        # bridge 50 mcg/d for 84 h.
        (500, 2000, True, 21, 200),
        (500, 2000, False, 84, 50),
        # E24, derived: the other way round 700 mcg = 84 h; without a bridge 800 mcg/d for 21 h.
        (2000, 500, True, 84, 200),
        (2000, 500, False, 21, 800),
    ],
)
def test_how_long_the_old_drug_comes_and_what_it_gives(
    old, new, bridged, hours, meanwhile_mcg_per_day
):
    ((change,),) = (one.courses for one in changes(old, new, bridged=bridged))
    assert change.bridged == bridged
    assert change.old_hours == pytest.approx(hours)
    assert change.arrives_at == CHANGED + timedelta(hours=hours)
    assert change.before_mcg_per_h == pytest.approx(200 / 24)
    assert change.meanwhile_mcg_per_h == pytest.approx(meanwhile_mcg_per_day / 24)
    assert change.after_mcg_per_h == pytest.approx(200 / 24)


def test_without_a_line_volume_nothing_is_computed():
    (change,) = changes(500, 2000, bridged=False, line=None)
    assert change.courses == ()


def test_of_an_unknown_bridge_both_courses_are_told_the_underdose_first():
    # E23, derived: 50 mcg/d for 84 h without a bridge, 200 mcg/d for 21 h with one.
    (change,) = changes(500, 2000, bridged=None)
    assert [course.bridged for course in change.courses] == [False, True]
    assert [course.old_hours for course in change.courses] == pytest.approx([84, 21])
    rates = [course.meanwhile_mcg_per_h for course in change.courses]
    assert rates == pytest.approx([50 / 24, 200 / 24])


def test_the_same_strength_again_is_no_change():
    assert changes(500, 500, bridged=False) == ()


def test_a_refill_before_the_new_drug_arrives_is_told_as_such():
    soon = Fill(CHANGED + timedelta(hours=5), 20, 2000)
    (first,) = changes(500, 2000, bridged=False, later=[soon])[0].courses
    assert first.arrives_at is first.old_hours is None


def test_a_stopped_pump_never_brings_the_new_drug():
    ((change,),) = (one.courses for one in changes(500, 2000, bridged=False, programme=stopped()))
    assert change.arrives_at is None


def test_a_timed_bolus_at_home_arrives_by_another_clock_abroad():
    # E37, travel leaflet rule: 22:00 at home (UTC+1), carried to UTC-5, arrives 16:00 local.
    programme = with_boluses(constant_rate(100, 60), (TimedBolus(45, 1, (22 * 60,)),), None)
    day = date(2026, 2, 1)
    away = timezone(timedelta(hours=-5))
    (span,) = pattern_on_wall_clock(programme, away, day, day)
    assert [(s.minute, s.bolus_mcg) for s in span.steps if s.bolus_mcg] == [(16 * 60, 45)]
    assert span.shift_minutes == -360


def test_summer_time_moves_the_pattern_on_the_day_the_clocks_change():
    programme = day_pattern([[RateStep(0, 10), RateStep(360, 8), RateStep(1200, 10)]], 60)
    spans = pattern_on_wall_clock(programme, ROME, date(2026, 1, 1), date(2026, 12, 31))
    # Published: in 2026 the EU's clocks change on 29 March and 25 October (Directive 2000/84/EC).
    assert [span.first for span in spans] == [
        date(2026, 1, 1), date(2026, 3, 29), date(2026, 10, 25),
    ]  # fmt: skip
    assert [span.last for span in spans] == [
        date(2026, 3, 28), date(2026, 10, 24), date(2026, 12, 31),
    ]  # fmt: skip
    at = [[(s.minute // 60, s.rate_mcg_per_hour) for s in span.steps] for span in spans]
    assert at == [[(6, 8), (20, 10)], [(7, 8), (21, 10)], [(6, 8), (20, 10)]]


@pytest.mark.parametrize("offset", [-720, -300, 0, 60, 345, 840])
def test_by_weekday_the_wall_shows_what_the_pump_does(offset):
    days = [[RateStep(0, 10.0 + d), RateStep(90, 5.0)] for d in range(7)]
    programme = day_pattern(days, offset)
    curve = curve_of(programme, 1.0)
    monday = date(2026, 6, 1)
    (span,) = pattern_on_wall_clock(programme, ROME, monday, monday)
    for step in span.steps:
        midnight = datetime(2026, 6, 1, tzinfo=ROME) + timedelta(days=step.weekday)
        instant = midnight.timestamp() + step.minute * 60
        assert curve.rate_at(instant) * 3600 == pytest.approx(step.rate_mcg_per_hour)
        assert curve.rate_at(instant - 1) * 3600 != pytest.approx(step.rate_mcg_per_hour)
    assert len(span.steps) == 14


@given(
    st.sampled_from(["Europe/Rome", "America/Toronto", "Asia/Kathmandu", "Australia/Lord_Howe"]),
    st.dates(date(2020, 1, 1), date(2030, 1, 1)),
    st.integers(0, 700),
)
def test_the_spans_cover_every_day_once_with_the_zone_s_own_offset(name, first, length):
    zone = ZoneInfo(name)
    last = first + timedelta(days=length)
    spans = pattern_on_wall_clock(constant_rate(100, 60), zone, first, last)
    assert (spans[0].first, spans[-1].last) == (first, last)
    for before, after in pairwise(spans):
        assert after.first == before.last + timedelta(days=1)
        assert after.shift_minutes != before.shift_minutes
    for span in spans:
        evening = datetime(span.last.year, span.last.month, span.last.day, 23, 30, tzinfo=zone)
        assert evening.utcoffset() == timedelta(minutes=span.shift_minutes + 60)
