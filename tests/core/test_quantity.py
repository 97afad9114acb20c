"""Amounts as written: what is read, what is refused and how, and units against astropy."""

import math
import random
import re
import time
from datetime import UTC, date, datetime, tzinfo

import pytest
from astropy import units as astro
from core_helpers import is_one_sentence, value_or_sentence
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme import Programme, RequestedBolus, TimedBolus
from pocketpump.core.pump.programme_payload import programme_from_payload, programme_to_payload
from pocketpump.core.pump.programme_text import (
    parse_pattern,
    parse_requested_bolus,
    parse_setting,
    parse_timed_bolus,
)
from pocketpump.core.units.instants import parse_date, parse_instant, zone_named
from pocketpump.core.units.quantity import (
    AMOUNT,
    DOSE,
    HOURLY_RATE,
    PERCENT,
    STRENGTH,
    VOLUME,
    entered_number,
    entered_quantity,
    format_number,
    format_quantity,
    parse_number,
    parse_quantity,
)

DIMENSIONS = [VOLUME, STRENGTH, DOSE, HOURLY_RATE, AMOUNT, PERCENT]


@pytest.mark.parametrize(
    ("written", "dimension", "value"),
    [
        ("20 mL", VOLUME, 20),
        ("20ml", VOLUME, 20),
        ("20 cc", VOLUME, 20),
        ("0.02 L", VOLUME, 20),
        ("0,35 ml", VOLUME, 0.35),
        ("0,350 mL", VOLUME, 0.35),
        (".5 mL", VOLUME, 0.5),
        (" 2 mL. ", VOLUME, 2),
        ("0.335 mL", VOLUME, 0.335),
        ("2.125 mL", VOLUME, 2.125),
        ("20 mL\n", VOLUME, 20),
        ("500 mcg/mL", STRENGTH, 500),
        ("500 µg/mL", STRENGTH, 500),
        ("500 μg/ml", STRENGTH, 500),
        ("500 ug/mL", STRENGTH, 500),
        ("2 mg/mL", STRENGTH, 2000),
        ("0.5 g/L", STRENGTH, 500),
        ("500 micrograms per millilitre", STRENGTH, 500),
        # E4: injectable-drugs handbook (page).
        ("10 mg/20 mL", STRENGTH, 500),
        ("20 mg per 20 mL", STRENGTH, 1000),
        ("10mg/5mL", STRENGTH, 2000),
        ("40 mg/20 mL", STRENGTH, 2000),
        ("1,000.0 mcg/mL", STRENGTH, 1000),
        ("1.000,0 mcg/mL", STRENGTH, 1000),
        ("200 mcg/day", DOSE, 200),
        ("200 mcg/d", DOSE, 200),
        ("200 mcg a day", DOSE, 200),
        ("200 MCG per Day", DOSE, 200),
        ("200 mcg daily", DOSE, 200),
        ("200 mcg/24 h", DOSE, 200),
        ("200 mcg per 24 hours", DOSE, 200),
        ("0.5 mg a day", DOSE, 500),
        ("0,5 mg/day", DOSE, 500),
        ("60 mcg every hour", DOSE, 1440),
        ("10 mcg/h", HOURLY_RATE, 10),
        ("240 mcg/day", HOURLY_RATE, 10),
        ("12,5 mcg hourly", HOURLY_RATE, 12.5),
        ("45 mcg", AMOUNT, 45),
        ("0.045 mg", AMOUNT, 45),
        ("14.5 %", PERCENT, 14.5),
        ("14,5%", PERCENT, 14.5),
        ("14.5 percent", PERCENT, 14.5),
        ("0 mL", VOLUME, 0),
        ("-0 mL", VOLUME, 0),
    ],
)
def test_common_spellings_are_read(written, dimension, value):
    assert parse_quantity(written, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "dimension", "says"),
    [
        # One thousand to some, one to others: a strength 1000 times too small is the slip to catch.
        ("1,000 mcg/mL", STRENGTH, "two ways: write 1000 for the large number or 1.0"),
        ("1'000 mcg/mL", STRENGTH, "two ways"),
        ("1.000 mcg/mL", STRENGTH, "two ways: write 1000 for the large number or 1.0"),
        ("2.000 mcg/mL", STRENGTH, "two ways"),
        ("1.500 mcg/day", DOSE, "two ways: write 1500 for the large number or 1.5"),
        ("10 mg/1,000 mL", STRENGTH, "two ways"),
        ("9" * 300 + ",123 mL", VOLUME, "two ways"),
        ("0,5 mg/Woche", DOSE, 'the unit "Woche"'),
        ("20", VOLUME, "has no unit"),
        ("200", DOSE, "has no unit"),
        ("", VOLUME, "is not a volume"),
        ("mL", VOLUME, "is not a volume"),
        ("twenty mL", VOLUME, "is not a volume"),
        ("20 mg", VOLUME, "is not a volume"),
        ("200 mcg", DOSE, "is not a dose for a time"),
        ("200 mcg/mL", DOSE, "is not a dose for a time"),
        ("10 mL/day", DOSE, "is not a dose for a time"),
        ("-2 mL", VOLUME, "below zero"),
        ("−2 mL", VOLUME, "below zero"),
        ("20 mL 40 mL", VOLUME, "do not know the unit"),
        ("10 mg/0 mL", STRENGTH, "do not know the unit"),
        ("10 mg/", STRENGTH, "do not know the unit"),
        ("10 mg/20", STRENGTH, "do not know the unit"),
        ("1 000 mcg/mL", STRENGTH, "do not know the unit"),
        ("5e3 mcg/mL", STRENGTH, "do not know the unit"),
        ("200 mcg/day/day", DOSE, "do not know the unit"),
        ("1.0.0 mL", VOLUME, "cannot read the number"),
        ("1,00,000 mL", VOLUME, "cannot read the number"),
        ("9" * 400 + " mL", VOLUME, "cannot read the number"),
        ("101 mL", VOLUME, "more than 100 mL"),
        ("0.5 mcg/mL", STRENGTH, "less than 1 mcg/mL"),
        ("20000000 mcg/mL", STRENGTH, "more than 20000 mcg/mL"),
        ("20\n mL\n5", VOLUME, "is not a volume"),
        ("20\nmL", VOLUME, "is not a volume"),
        ("2\u20280 mL", VOLUME, "is not a volume"),
        ("20 mL" + " " * 20_000 + "5", VOLUME, "is not a volume"),
        # A digit or a point may be missing.
        ("5, mL", VOLUME, "cannot read the number"),
        ("5. mL", VOLUME, "cannot read the number"),
        ("020 mL", VOLUME, "cannot read the number"),
        ("00.5 mL", VOLUME, "cannot read the number"),
        ("0,123,456 mcg/mL", STRENGTH, "cannot read the number"),
        ("10 mg/020 mL", STRENGTH, "cannot read the number"),
        ("½ mL", VOLUME, "is not a volume"),
        ("٢٠ mL", VOLUME, "is not a volume"),
        # UCUM's "mcg" does not exist and its "U" is another unit; "U" here is no unit either.
        ("20 U", AMOUNT, "do not know the unit"),
    ],
)
def test_what_could_be_misread_is_refused_in_one_sentence(written, dimension, says):
    with pytest.raises(InputError) as caught:
        parse_quantity(written, dimension, field="the_field")
    assert says in str(caught.value)
    assert is_one_sentence(str(caught.value)), str(caught.value)
    assert caught.value.field == "the_field"


def test_what_a_refusal_of_two_readings_tells_to_write_is_then_read():
    for written in ("1,125 mcg/day", "2.000 mcg/day", "1'500 mcg/day"):
        with pytest.raises(InputError) as caught:
            parse_quantity(written, DOSE)
        large, small = re.findall(r"[0-9.]*[0-9](?= for)", str(caught.value))
        readings = [parse_quantity(f"{part} mcg/day", DOSE) for part in (large, small)]
        assert readings[0] == pytest.approx(1000 * readings[1], rel=1e-12)


def test_a_bare_number_is_read_only_where_the_field_fixes_the_unit():
    assert parse_quantity("20", VOLUME, bare_unit="mL") == 20
    assert parse_quantity("14,5", PERCENT, bare_unit="%") == 14.5
    assert parse_quantity("0.02 L", VOLUME, bare_unit="mL") == 20
    with pytest.raises(InputError):
        parse_quantity("20 mg", VOLUME, bare_unit="mL")


@pytest.mark.parametrize(
    ("written", "number"), [("20", 20), (" 0,5 ", 0.5), ("+3", 3), ("1,000,000", 1e6), ("-0", 0)]
)
def test_plain_numbers_are_read(written, number):
    assert parse_number(written) == number


@pytest.mark.parametrize("written", ["", "x", "20 mL", "-1", "1,000", "1.000", ".", "1..2", "nan"])
def test_what_is_no_plain_number_is_refused(written):
    with pytest.raises(InputError) as caught:
        parse_number(written)
    assert is_one_sentence(str(caught.value)), str(caught.value)


# UCUM codes of the trade (trade_facts 7: ug/d, ug/mL, mL/d, mL, ug/h; "never mcg in a UCUM code"),
# each as people write it, as astropy has it, and our canonical unit in astropy.
UNIT_PAIRS = [
    ("ug/mL", astro.ug / astro.mL, STRENGTH, astro.ug / astro.mL),
    ("mg/mL", astro.mg / astro.mL, STRENGTH, astro.ug / astro.mL),
    ("mg/L", astro.mg / astro.L, STRENGTH, astro.ug / astro.mL),
    ("g/L", astro.g / astro.L, STRENGTH, astro.ug / astro.mL),
    ("ug/d", astro.ug / astro.day, DOSE, astro.ug / astro.day),
    ("ug/h", astro.ug / astro.hour, DOSE, astro.ug / astro.day),
    ("mg/d", astro.mg / astro.day, DOSE, astro.ug / astro.day),
    ("mg/h", astro.mg / astro.hour, DOSE, astro.ug / astro.day),
    ("ug/min", astro.ug / astro.minute, DOSE, astro.ug / astro.day),
    ("g/d", astro.g / astro.day, HOURLY_RATE, astro.ug / astro.hour),
    ("ug/d", astro.ug / astro.day, HOURLY_RATE, astro.ug / astro.hour),
    ("mg/d", astro.mg / astro.day, HOURLY_RATE, astro.ug / astro.hour),
    ("mL", astro.mL, VOLUME, astro.mL),
    ("L", astro.L, VOLUME, astro.mL),
    ("mg", astro.mg, AMOUNT, astro.ug),
    ("g", astro.g, AMOUNT, astro.ug),
]


@pytest.mark.parametrize(("written", "unit", "dimension", "canonical"), UNIT_PAIRS)
@pytest.mark.parametrize("value", [0.0137, 0.07])
def test_conversions_agree_with_astropy(written, unit, dimension, canonical, value):
    expected = (value * unit).to(canonical).value
    if expected > dimension.largest:
        value *= 1e-3
        expected *= 1e-3
    while 0 < expected < dimension.smallest:
        value *= 10
        expected *= 10
    assert parse_quantity(f"{value} {written}", dimension) == pytest.approx(expected, rel=1e-12)


@given(st.floats(0, 900), st.sampled_from(DIMENSIONS))
def test_what_is_shown_is_read_back_as_the_same_number(value, dimension):
    value = min(max(value, dimension.smallest), dimension.largest)
    read = parse_quantity(format_quantity(value, dimension, 6), dimension)
    assert read == pytest.approx(value, abs=5.1e-7)
    shown = format_quantity(value, dimension)
    assert format_quantity(parse_quantity(shown, dimension), dimension) == shown


@given(st.floats(-1e6, 1e6), st.integers(0, 6))
def test_a_number_is_shown_without_trailing_zeros_or_minus_zero(value, places):
    shown = format_number(value, places)
    assert float(shown) == pytest.approx(value, abs=0.51 * 10**-places)
    assert shown != "-0"
    assert "." not in shown or not shown.endswith(("0", "."))


def test_long_pasted_text_is_refused_without_delay():
    for text in ("1" * 3_000 + "a\nb", "," * 3_000, "1" + " " * 2_000 + "x", "1 " + "a " * 2_000):
        begun = time.perf_counter()
        for dimension in (VOLUME, DOSE):
            assert value_or_sentence(parse_quantity, text, dimension) is None
        # Was cubic in the length: 3000 digits took over a minute.
        assert time.perf_counter() - begun < 5


# --- anything at all, into every reader ---------------------------------------------------

SEEDS = [
    "20 mL", "0,5 mg/day", "10 mg/20 mL", "1,000 mcg/mL", "200 mcg per 24 h", "14.5 %", "stopped",
    "00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h", "Mon-Fri: 00:00 15 mcg/h; Sat: 01:00 1 mcg/h",
    "45 mcg x 4", "45 mcg at 08:00, 12:00", "25 mcg × 4", "2026-01-12T09:00", "2026-01-12",
    "2026-03-29T02:30+01:00", "9999-12-31T24:00", "0001-01-01T00:00-23:59", "Europe/Rome", "UTC",
]  # fmt: skip
PIECES = [
    "", " ", "\n", "\t", "\x00", "'", '"', ",", ".", "/", ":", ";", "-", "−", "+", "%", "x", "at",
    "per", "every", "µ", "μ", "½", "٢", "\u202e", "\ud800", "😀", "0", "9" * 50, "1e999", "nan",
    "inf", "mcg", "mL", "day", "24:00", "T", "Z", "..", "\u00a0", "00", "{}", "\\", "%s",
]  # fmt: skip


def mutated(rng: random.Random) -> str:
    if rng.random() < 0.25:
        top = rng.choice([0x7F, 0x2FF, 0x10FFFF])
        return "".join(chr(rng.randint(0, top)) for _ in range(rng.randint(0, 30)))
    text = rng.choice(SEEDS)
    for _ in range(rng.choice([0, 1, 1, 2, 4])):
        cut = sorted(rng.randint(0, len(text)) for _ in range(2))
        piece = rng.choice([rng.choice(PIECES), rng.choice(SEEDS), text[cut[0] : cut[1]]])
        keep_from = rng.choice([cut[0], cut[1]])
        text = text[: cut[0]] + piece + text[keep_from:]
    return text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        # As typed, to the last digit; also through an hourly rate and back.
        (331.25, "331.25"), (331.25 / 24 * 24, "331.25"), (0.0625, "0.0625"), (20.0, "20"),
        (96.1255, "96.1255"), (13.802083, "13.802083"), (0.1 + 0.2, "0.3"), (0.0, "0"),
        # Computed without an end: rounded, but never to nothing.
        (331.25 / 24, "13.8"), (1000 / 3, "333.33"), (0.001 / 3, "0.00033"), (1e-9, "0.000000001"),
    ],
)  # fmt: skip
def test_an_amount_is_shown_with_every_digit_that_was_typed(value, text):
    assert entered_number(value) == text
    assert entered_quantity(value, DOSE) == f"{text} mcg/day"


@given(st.integers(0, 10**9), st.integers(0, 6))
def test_no_typed_number_is_ever_shown_changed(digits, places):
    typed = f"{digits // 10**places}.{digits % 10**places:0{places}d}" if places else str(digits)
    assert float(entered_number(float(typed))) == float(typed)


def test_any_text_gives_a_value_or_one_clear_sentence():
    rng = random.Random(20260112)
    read = refused = 0

    def check(value, good) -> None:
        nonlocal read, refused
        refused += value is None
        read += value is not None
        assert value is None or good(value), value

    def finite(value) -> bool:
        return math.isfinite(value) and value >= 0

    for _ in range(20_000):
        text = mutated(rng)
        dimension = rng.choice(DIMENSIONS)
        check(
            value_or_sentence(parse_quantity, text, dimension),
            lambda v, d=dimension: 0 <= v <= d.largest,
        )
        check(value_or_sentence(parse_number, text), finite)
        for reader in (parse_setting, parse_pattern):
            check(
                value_or_sentence(reader, text),
                lambda p: isinstance(p, Programme) and finite(p.dose_mcg_per_day),
            )
        check(value_or_sentence(parse_timed_bolus, text), lambda b: isinstance(b, TimedBolus))
        check(
            value_or_sentence(parse_requested_bolus, text), lambda b: isinstance(b, RequestedBolus)
        )
        check(
            value_or_sentence(parse_instant, text, UTC),
            lambda i: isinstance(i, datetime) and i.tzinfo is not None and 1949 <= i.year <= 2151,
        )
        check(value_or_sentence(parse_date, text), lambda d: isinstance(d, date))
        check(value_or_sentence(zone_named, text), lambda z: isinstance(z, tzinfo))
    # A guard on the fuzzing itself: both outcomes must be met often.
    assert read > 1_000
    assert refused > 10_000


@settings(max_examples=300, deadline=None)
@given(st.text(), st.sampled_from(DIMENSIONS))
def test_any_unicode_gives_a_value_or_one_clear_sentence(text, dimension):
    for tail in ("", " mL", " mcg/day"):
        value_or_sentence(parse_quantity, text + tail, dimension)
    value_or_sentence(parse_setting, "00:00 " + text)
    value_or_sentence(parse_timed_bolus, "45 mcg x " + text)


def random_json(rng: random.Random, depth: int = 0):
    kind = rng.randint(0, 9 if depth < 4 else 5)
    if kind <= 5:
        return rng.choice(
            [None, True, 0, 1, -1, 7, 1439, 1440, 10**400, 1.5, -0.0, 1e308, float("inf"),
             float("nan"), "", "0", "nan", "days", "12"]
        )  # fmt: skip
    if kind <= 7:
        return [random_json(rng, depth + 1) for _ in range(rng.randint(0, 4))]
    names = ["days", "timed", "requested", "amount_mcg", "per_day", "start_minutes", "x"]
    return {rng.choice(names): random_json(rng, depth + 1) for _ in range(rng.randint(0, 4))}


def planted(rng: random.Random):
    """Return a good payload with one thing in it replaced by anything."""
    payload = {
        "days": [[[0, 5.0], [360, 6.0]]],
        "timed": [{"amount_mcg": 45.0, "per_day": 2, "start_minutes": [480, 1435]}],
        "requested": {"amount_mcg": 25.0, "max_per_day": 4},
        "clock_offset_minutes": 60,
    }
    holder, key = rng.choice(
        [
            (payload, "days"), (payload, "timed"), (payload, "requested"),
            (payload, "clock_offset_minutes"), (payload["days"], 0), (payload["days"][0], 1),
            (payload["days"][0][1], 0), (payload["days"][0][1], 1), (payload["timed"], 0),
            (payload["timed"][0], "amount_mcg"), (payload["timed"][0], "per_day"),
            (payload["timed"][0], "start_minutes"), (payload["requested"], "amount_mcg"),
            (payload["timed"][0]["start_minutes"], 1), (payload["requested"], "max_per_day"),
        ]
    )  # fmt: skip
    holder[key] = random_json(rng, 2)
    return payload


def test_any_record_gives_a_sound_programme_or_one_clear_sentence():
    rng = random.Random(7)
    kept = 0
    for number in range(10_000):
        payload = planted(rng) if number % 2 else random_json(rng)
        programme = value_or_sentence(programme_from_payload, payload)
        if programme is None:
            continue
        kept += 1
        rates = [step.rate_mcg_per_hour for d in programme.days for step in d]
        assert all(math.isfinite(rate) and rate >= 0 for rate in rates)
        amounts = [bolus.amount_mcg for bolus in programme.timed]
        amounts += [programme.requested.amount_mcg] if programme.requested else []
        assert all(math.isfinite(amount) and amount > 0 for amount in amounts)
        for bolus in programme.timed:
            assert bolus.per_day >= 1
            assert all(0 <= minute < 1440 for minute in bolus.start_minutes)
        assert programme.requested is None or programme.requested.max_per_day >= 1
        dose = programme.dose_mcg_per_day
        assert math.isfinite(dose)
        parts = sum(b.amount_mcg * b.per_day for b in programme.timed)
        parts += (
            programme.requested.amount_mcg * programme.requested.max_per_day
            if (programme.requested)
            else 0.0
        )
        assert dose == pytest.approx(programme.background_mcg_per_day + parts, rel=1e-9, abs=1e-9)
        assert programme_from_payload(programme_to_payload(programme)) == programme
    assert kept > 100


@pytest.mark.parametrize(
    "text",
    ["200 mcg/day", "stopped", "00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h",
     "Mon-Fri: 00:00 15 mcg/h; Sat-Sun: 00:00 12 mcg/h, 08:15 2,5 mcg/h"],
)  # fmt: skip
def test_a_written_setting_is_kept_and_read_back_unchanged(text):
    programme = parse_setting(text, 60)
    assert programme_from_payload(programme_to_payload(programme)) == programme


@pytest.mark.parametrize(
    "text",
    ["", "0 mcg/day", "200 mcg", "06:00 10", "25:00 10 mcg/h", "06:00 10 mcg/h, 06:00 11 mcg/h",
     "Mon: 00:00 1 mcg/h; Mon: 00:00 2 mcg/h", "Mon: 00:00 1 mcg/h; 00:00 2 mcg/h",
     "Xyz: 00:00 1 mcg/h", "off", ":", ";"],
)  # fmt: skip
def test_an_unclear_setting_is_refused_in_one_sentence(text):
    with pytest.raises(InputError) as caught:
        parse_setting(text)
    assert is_one_sentence(str(caught.value)), str(caught.value)
    assert caught.value.field == "programme"


@pytest.mark.parametrize(
    ("reader", "text"),
    [(parse_timed_bolus, "45 mcg"), (parse_timed_bolus, "45 mcg x 0"),
     (parse_timed_bolus, "0 mcg x 4"), (parse_timed_bolus, "45 mcg at 08:00, 08:00"),
     (parse_timed_bolus, "45 mcg at 24:00"), (parse_requested_bolus, "25 mcg at 08:00"),
     (parse_requested_bolus, "25 x 4"), (parse_requested_bolus, "25 mcg x 49"),
     (parse_requested_bolus, "25 mcg x 4.5")],
)  # fmt: skip
def test_an_unclear_bolus_is_refused_in_one_sentence(reader, text):
    with pytest.raises(InputError) as caught:
        reader(text)
    assert is_one_sentence(str(caught.value)), str(caught.value)
