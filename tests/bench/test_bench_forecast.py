"""How fast the forecast is against stepping through the same ten years minute by minute.

Run with ``pytest tests/bench/test_bench_forecast.py -s``; nothing here asserts a time.
"""

import time
from datetime import UTC, datetime, timedelta

import pytest

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import RateStep, constant_rate, curve_of, day_pattern
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.units.instants import to_seconds

YEARS_DAYS = 3_650
OFFSET_MIN = 60
START = datetime(2016, 1, 4, 9, tzinfo=UTC)
# A Monday in minutes since 1970 UTC, from which the pump's week is counted.
MONDAY = int(datetime(2015, 12, 28, tzinfo=UTC).timestamp()) // 60
WEEK = 7 * 1_440


def steps_of(number: int, weekday: int) -> list[tuple[int, float]]:
    """Return one day's (minute, mcg/h): constant, a day pattern, or one that varies by weekday."""
    if number % 3 == 0:
        return [(0, 8 + number / 20)]
    shift = weekday * 0.5 if number % 3 == 2 else 0.0
    return [(0, 8 + number / 20 + shift), (360, 10 + number / 20), (1_320, 12.0)]


def programme_of(number: int):
    days = [[RateStep(*step) for step in steps_of(number, weekday)] for weekday in range(7)]
    if number % 3 == 0:
        return constant_rate(days[0][0].rate_mcg_per_hour * 24, OFFSET_MIN)
    return day_pattern(days if number % 3 == 2 else days[:1], OFFSET_MIN)


def table_of(number: int) -> list[float]:
    """Return mcg a minute for each minute of the pump's week."""
    table = []
    for weekday in range(7):
        steps = steps_of(number, weekday)
        for minute in range(1_440):
            table.append([rate for start, rate in steps if start <= minute][-1] / 60)
    return table


def stepped(fills, settings, until: datetime) -> float:
    """Return the volume at ``until``: one addition and a few comparisons a minute."""
    tables = [table_of(number) for number, _ in enumerate(settings)]
    setting_at = [int(when.timestamp()) // 60 for when in settings]
    fill_at = [int(when.timestamp()) // 60 for when, *_ in fills]
    next_setting = next_fill = 0
    volume, strength = 0.0, 1.0
    table = tables[0]
    week_minute = (fill_at[0] + OFFSET_MIN - MONDAY) % WEEK
    for minute in range(fill_at[0], int(until.timestamp()) // 60):
        if next_setting < len(setting_at) and minute == setting_at[next_setting]:
            table = tables[next_setting]
            next_setting += 1
        if next_fill < len(fill_at) and minute == fill_at[next_fill]:
            _, volume, strength = fills[next_fill]
            next_fill += 1
        volume -= table[week_minute] / strength
        week_minute += 1
        if week_minute == WEEK:
            week_minute = 0
    return volume


@pytest.mark.bench
def test_the_forecast_over_ten_years_equals_minute_stepping_and_its_speed_is_printed():
    fills = [(START + timedelta(days=91 * i), 40.0, 1_000.0) for i in range(40)]
    when = [START + timedelta(days=YEARS_DAYS * i // 120) for i in range(120)]
    now = START + timedelta(days=YEARS_DAYS)

    begun = time.perf_counter()
    volume = stepped(fills, when, now)
    stepping_s = time.perf_counter() - begun

    situation = Situation(
        Pump(2.0, 40.0, line_volume_ml=0.35),
        tuple(Fill(*fill) for fill in fills),
        tuple(Setting(at, programme_of(number)) for number, at in enumerate(when)),
    )
    times = []
    for _ in range(30):
        begun = time.perf_counter()
        answer, problems = forecast(situation, now, UTC)
        times.append(time.perf_counter() - begun)
    curve_of.cache_clear()
    begun = time.perf_counter()
    forecast(situation, now, UTC)
    cold_s = time.perf_counter() - begun

    warm_s = sorted(times)[len(times) // 2]
    print(
        f"\n10 years, 40 refills, 120 settings: stepping {stepping_s * 1e3:.0f} ms,"
        f" forecast {warm_s * 1e3:.3f} ms (median), {cold_s * 1e3:.3f} ms the first time;"
        f" ratio {stepping_s / warm_s:.0f} (first time {stepping_s / cold_s:.0f})"
    )
    assert problems == ()
    assert answer.volume_now_ml == pytest.approx(volume, abs=1e-6)
    assert 2 < volume < 38
    now_s = to_seconds(now)
    assert answer.timeline.volume_at(now_s) == answer.volume_now_ml
