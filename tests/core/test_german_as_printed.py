"""Amounts, days, times and settings as German printouts write them, whatever language is chosen."""

import re
import unicodedata
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.messages import text_in
from pocketpump.core.pump.programme import RateStep, constant_rate, day_pattern, stopped
from pocketpump.core.pump.programme_text import (
    describe_programme,
    parse_pattern,
    parse_setting,
    parse_timed_bolus,
)
from pocketpump.core.safety.opening_hours import read_hours
from pocketpump.core.units.quantity import AMOUNT, DOSE, HOURLY_RATE, STRENGTH, VOLUME
from pocketpump.core.units.quantity import parse_quantity as amount
from pocketpump.core.units.typed_dates import (
    DAY_FIRST,
    MONTH_FIRST,
    YEAR_FIRST,
    day_in_order,
    read_day,
    read_time,
)
from pocketpump.exchange.language.locales import locale


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("200 µg/Tag", DOSE, 200.0),
        ("200 µg/d", DOSE, 200.0),
        ("200 µg pro Tag", DOSE, 200.0),
        ("200 µg je Tag", DOSE, 200.0),
        ("200 µg am Tag", DOSE, 200.0),
        ("200 Mikrogramm täglich", DOSE, 200.0),
        (unicodedata.normalize("NFD", "200 Mikrogramm täglich"), DOSE, 200.0),
        ("0,2 Milligramm/Tag", DOSE, 0.2 * 1000),
        ("8,5 µg/Stunde", HOURLY_RATE, 8.5),
        ("8,5 µg/Std.", HOURLY_RATE, 8.5),
        ("8,5 µg pro Std", HOURLY_RATE, 8.5),
        ("8,5 µg stündlich", HOURLY_RATE, 8.5),
        ("500 Mikrogramm/ml", STRENGTH, 500.0),
        ("500 Mikrogramm pro Milliliter", STRENGTH, 500.0),
        ("10 mg/20 ml", STRENGTH, 500.0),
        ("20 Milliliter", VOLUME, 20.0),
        ("45 Mikrogramm", AMOUNT, 45.0),
    ],
)
def test_german_units_are_read(text, dimension, value):
    assert amount(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["200 µg/Tagg", "200 Gramm/Tag", "200 µg Tag", "200 µg/Woche"])
def test_what_only_looks_like_a_german_unit_is_refused(text):
    with pytest.raises(InputError):
        amount(text, DOSE)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("05.03.2026", date(2026, 3, 5)),
        ("5.3.2026", date(2026, 3, 5)),
        ("5. 3. 2026", date(2026, 3, 5)),
        ("Do., 05.03.2026", date(2026, 3, 5)),
        ("31.12.2025", date(2025, 12, 31)),
    ],
)
def test_with_dots_the_day_stands_first(text, day):
    assert read_day(text) == day


@pytest.mark.parametrize("text", ["03.14.2026", "12.31.2025", "3. 14. 2026"])
def test_with_dots_the_month_never_stands_first(text):
    with pytest.raises(InputError, match="no such day"):
        read_day(text)
    assert day_in_order(text, MONTH_FIRST) is None


@pytest.mark.parametrize("text", ["3/4/2026", "3-4-2026", "3 4 2026", "3.4/2026"])
def test_without_dots_two_orders_are_still_asked_about(text):
    with pytest.raises(InputError, match="can be two days"):
        read_day(text)


def test_a_column_with_dots_is_read_with_the_day_first_or_the_year():
    assert day_in_order("05.03.2026", DAY_FIRST) == date(2026, 3, 5)
    assert day_in_order("2026.03.05", YEAR_FIRST) == date(2026, 3, 5)
    assert day_in_order("05.03.2026 14:30", MONTH_FIRST) is None
    assert day_in_order("03/05/2026", MONTH_FIRST) == date(2026, 3, 5)


@given(st.dates(date(1950, 1, 1), date(2150, 12, 31)))
def test_every_day_with_dots_is_read_as_german_prints_it(day):
    for text in (f"{day:%d.%m.%Y}", f"{day.day}.{day.month}.{day.year}"):
        assert read_day(text) == day
        assert day_in_order(text, DAY_FIRST) == day
        assert day_in_order(text, MONTH_FIRST) is None


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("14:30 Uhr", time(14, 30)),
        ("14.30 Uhr", time(14, 30)),
        ("14 Uhr", time(14)),
        ("14 Uhr 30", time(14, 30)),
        ("8 uhr 05", time(8, 5)),
        ("0:15Uhr", time(0, 15)),
    ],
)
def test_a_time_with_uhr_is_read(text, clock):
    assert read_time(text) == clock


@pytest.mark.parametrize("text", ["Uhr", "14:30 Uhr 20", "2 Uhr pm", "25 Uhr", "14 Uhr 60"])
def test_what_only_looks_like_a_time_with_uhr_is_refused(text):
    with pytest.raises(InputError):
        read_time(text)


@pytest.mark.parametrize("text", ["gestoppt", "Gestoppt", " GESTOPPT ", "stopped"])
def test_stopped_is_read_in_both_languages(text):
    assert parse_setting(text) == stopped()


WEEK = "Mon-Fri: 00:00 15 mcg/h, 06:00 10.5 mcg/h; Sat-Sun: 00:00 12 mcg/h"


@pytest.mark.parametrize(
    "text",
    [
        "Mo–Fr: 00:00 15 µg/Std., 06:00 10,5 µg/Std.; Sa–So: 00:00 12 µg/Std.",
        "Mo-Fr: 00:00 Uhr 15 µg/h, 06:00 Uhr 10,5 µg/h; Sa-So: 00:00 Uhr 12 µg/h",
        "Mo. bis Fr.: 00:00 15 mcg/h, 06:00 10,5 mcg/h; Sa.—So.: 00:00 12 mcg/h",
        "Montag–Freitag: 00:00 15 mcg/h, 06:00 10,5 mcg/h; Samstag-Sonntag: 00:00 12 mcg/h",
        "Monday to Friday: 00:00 15 mcg/h, 06:00 10.5 mcg/h; Saturday–Sunday: 00:00 12 mcg/h",
        "Mo-Do: 00:00 15 mcg/h, 06:00 10,5 mcg/h; Fr: 00:00 15 mcg/h, 06:00 10,5 mcg/h;"
        " Sonnabend-Sonntag: 00:00 12 mcg/h",
    ],
)
def test_a_pattern_by_german_weekdays_is_read(text):
    assert parse_pattern(text) == parse_pattern(WEEK)


@pytest.mark.parametrize("text", ["M-F: 00:00 15 mcg/h", "S: 00:00 15 mcg/h", "Xy: 00:00 1 mcg/h"])
def test_a_weekday_that_could_be_two_is_asked_about(text):
    with pytest.raises(InputError, match="which days"):
        parse_pattern(f"{text}; Sa: 00:00 1 mcg/h")


@pytest.mark.parametrize(
    "text", ["45 µg um 08:00, 12:00", "45 µg um 08:00 Uhr, 12:00 Uhr", "45 µg um 08:00 und 12:00"]
)
def test_boluses_at_german_times_are_read(text):
    assert parse_timed_bolus(text) == parse_timed_bolus("45 mcg at 08:00, 12:00")


# Three decimals ("1,625") are asked about in every language, so none are drawn.
RATES = st.integers(1, 1_000).map(lambda n: n / 4)
DAYS = st.lists(
    st.tuples(st.integers(0, 47), RATES), min_size=1, max_size=4, unique_by=lambda step: step[0]
).map(lambda steps: [RateStep(0, 1.5)] + [RateStep(t * 30, r) for t, r in sorted(steps) if t])


@given(
    st.one_of(
        st.just(stopped()),
        RATES.map(constant_rate),
        DAYS.map(lambda day: day_pattern([day])),
        st.lists(DAYS, min_size=7, max_size=7).map(day_pattern),
    )
)
def test_every_setting_that_is_shown_in_german_is_read_back(programme):
    for translated in (None, locale("de")):
        shown = text_in(describe_programme(programme, 6), translated)
        again = describe_programme(parse_setting(shown), 6)
        assert str(again) == str(describe_programme(programme, 6)), shown


@pytest.mark.parametrize(
    "text",
    [
        "Mo–Fr 9–16",
        "Mo. – Fr. 9:00 – 16:00 Uhr",
        "montags bis freitags 9 bis 16 Uhr",
        "Mo-Fr 9-16h",
    ],
)
def test_german_opening_hours_are_read(text):
    assert read_hours(text) == read_hours("Mon-Fri 9-16")


@pytest.mark.parametrize(
    ("text", "same"),
    [("jeden Tag 8–20 Uhr", "daily 8-20"), ("an Werktagen 8–16 Uhr", "weekdays 8-16")],
)
def test_german_sets_of_days_are_read(text, same):
    assert read_hours(text) == read_hours(same)


@pytest.mark.parametrize("typed", ["1,000", "1.500", "1,125", "12,340", "1'250"])
@pytest.mark.parametrize("code", ["en", "de"])
def test_both_numbers_offered_for_one_that_reads_two_ways_are_written_as_there_and_read_in_one(
    typed, code
):
    with pytest.raises(InputError) as refused:
        amount(typed, STRENGTH, bare_unit="mcg/mL")
    told = text_in(str(refused.value), locale(code))
    large, small = re.findall(r"\d+(?:[.,]\d+)?", told.partition(typed)[2])
    assert ("," in small) == (code == "de")
    whole, rest = re.split(r"[,.']", typed)
    assert amount(large, STRENGTH, bare_unit="mcg/mL") == float(whole + rest)
    assert amount(small, STRENGTH, bare_unit="mcg/mL") == float(f"{whole}.{rest}")
