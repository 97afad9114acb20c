"""Amounts that are unusual in print are asked about with what is usual and its source."""

import re

import pytest
from core_helpers import is_one_sentence
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.errors import InputError
from pocketpump.core.pump.dose_steps import Origin
from pocketpump.core.refill_check.plausibility import Amounts, odd_amounts
from pocketpump.core.units.quantity import STRENGTH, VOLUME, parse_quantity

SPINAL, CEREBRAL, CHILD = Origin("spinal"), Origin("cerebral"), Origin("spinal", child=True)


def fields(**amounts) -> list[str]:
    return [odd.field for odd in odd_amounts(Amounts(**amounts))]


def told(**amounts) -> str:
    return " ".join(odd.sentence for odd in odd_amounts(Amounts(**amounts)))


@pytest.mark.parametrize(
    # Supplied: 500, 1000, 2000 mcg/mL (injectable-drugs handbook); 2002 was measured in a
    # pump (stability study, Neuromodulation 2023).
    "strength",
    [500, 1000, 2000, 2002],
)
def test_a_strength_that_is_supplied_is_not_asked_about(strength):
    assert fields(strength_mcg_per_ml=strength) == []


def test_the_screening_strength_is_named_as_such():
    # 50 mcg/mL is for the screening dose only (label).
    text = told(strength_mcg_per_ml=50)
    assert "screening" in text
    assert "label" in text


@pytest.mark.parametrize("strength", [1, 5, 49, 200, 750, 1500, 3000, 4000, 20_000])
def test_another_strength_is_asked_about_with_those_supplied(strength):
    text = told(strength_mcg_per_ml=strength)
    assert "500, 1000 or 2000 mcg/mL" in text
    assert "handbook" in text


@pytest.mark.parametrize(
    ("origin", "dose", "odd"),
    [
        # Maintenance ranges of the label, mcg/day: spinal 12-2003, cerebral most 90-703,
        # under 12 years 24-1199.
        (SPINAL, 12, False), (SPINAL, 11.9, True), (SPINAL, 2003, False), (SPINAL, 2004, True),
        (CEREBRAL, 90, False), (CEREBRAL, 89, True), (CEREBRAL, 703, False),
        (CEREBRAL, 704, True), (CHILD, 24, False), (CHILD, 23, True), (CHILD, 1199, False),
        (CHILD, 1200, True), (None, 12, False), (None, 2003, False), (None, 2100, True),
        # Stopped is told elsewhere.
        (SPINAL, 0, False),
    ],
)  # fmt: skip
def test_a_dose_beyond_the_published_range_of_its_origin_is_asked_about(origin, dose, odd):
    assert ("dose" in fields(dose_mcg_per_day=dose, origin=origin)) == odd
    if odd:
        assert "label" in told(dose_mcg_per_day=dose, origin=origin)


def test_the_hour_taken_for_the_day_is_named_with_its_source():
    # 60 mcg once a day entered as 60 mcg every hour: 1440 mcg/day (medication-safety alert).
    text = told(dose_mcg_per_day=1440, dose_before_mcg_per_day=60)
    assert "24 times" in text
    assert "medication-safety alert" in text


@pytest.mark.parametrize(
    ("volume", "odd"), [(10, False), (20, False), (40, False), (2, True), (9.5, True), (100, True)]
)
def test_a_reservoir_of_an_unusual_size_is_asked_about(volume, odd):
    # 20 and 40 mL pumps: Maino 2017; the band around them is our own.
    assert ("reservoir" in fields(reservoir_ml=volume)) == odd
    assert ("Maino 2017" in told(reservoir_ml=volume)) == odd
    assert ("filled" in fields(filled_ml=volume)) == odd


def test_an_unusual_filling_fits_a_reservoir_known_to_be_that_small_or_large():
    assert fields(filled_ml=7, reservoir_ml=8) == ["reservoir"]
    assert fields(filled_ml=2, reservoir_ml=20) == ["filled"]


@pytest.mark.parametrize(
    # 2 mL is customary, the study set 4 mL: Rigoli 2004. 1 mL is also met.
    ("alarm", "odd"), [(0, True), (0.2, True), (1, False), (2, False), (4, False), (5, True)]
)  # fmt: skip
def test_an_unusual_alarm_volume_is_asked_about(alarm, odd):
    assert ("alarm_volume" in fields(alarm_volume_ml=alarm)) == odd
    assert ("Rigoli 2004" in told(alarm_volume_ml=alarm)) == odd


FILL = {"filled_ml": 20.0, "alarm_volume_ml": 2.0}


@pytest.mark.parametrize(
    ("strength", "dose", "odd", "length"),
    [
        # 200 / 500 = 0.4 mL/day, 50 days to empty: nothing odd.
        (500, 200, False, ""),
        # The lowest flow met is 0.048 mL/day: 96 mcg/day at 2000 (stability study 2023).
        (2000, 96.1, False, ""),
        # 24 / 2000 = 0.012 mL/day: 20 mL last 1667 days, 4.6 years.
        (2000, 24, True, "4 years"),
        # 300 / 50 = 6 mL/day: 20 mL last 3.3 days.
        (50, 300, True, "3 days"),
        # 2000 / 50 = 40 mL/day: half a day.
        (50, 2000, True, "less than a day"),
    ],
)
def test_a_fill_that_lasts_unusually_short_or_long_is_asked_about(strength, dose, odd, length):
    amounts = {**FILL, "strength_mcg_per_ml": strength, "dose_mcg_per_day": dose}
    found = [one for one in odd_amounts(Amounts(**amounts)) if one.field == "flow"]
    assert bool(found) == odd
    if odd:
        assert length in found[0].sentence


some = st.none() | st.floats(0.001, 20_000)
before = st.just(0.0) | st.floats(0.001, 5000)


@given(some, some, some, some, some, before, st.sampled_from([None, SPINAL, CEREBRAL]))
def test_every_question_is_one_sentence_with_a_source_and_no_advice(
    strength, filled, reservoir, alarm, dose, before, origin
):
    for odd in odd_amounts(Amounts(strength, filled, reservoir, alarm, dose, before, origin)):
        assert is_one_sentence(odd.sentence)
        assert re.search("label|handbook|Maino|Rigoli|Neuromodulation|leaflets|alert", odd.sentence)
        for word in ("too ", "should", "must", "safe", "danger", "recommend", "wrong"):
            assert word not in odd.sentence


def test_nothing_typed_is_nothing_odd():
    assert odd_amounts(Amounts()) == ()


@pytest.mark.parametrize(
    ("text", "dimension", "mend"),
    [
        # A pump filled with less than 1 mcg/mL would hold 100 mcg in 100 mL, one screening dose.
        ("0.0000001 mcg/mL", STRENGTH, "less than 1 mcg/mL"),
        ("0.5 mcg/mL", STRENGTH, "write it like 500 mcg/mL"),
        ("1000 mL", VOLUME, "more than 100 mL"),
        ("0.5 L", VOLUME, "more than 100 mL"),
    ],
)
def test_what_no_pump_can_hold_is_refused_with_how_to_mend_it(text, dimension, mend):
    with pytest.raises(InputError) as caught:
        parse_quantity(text, dimension)
    assert mend in str(caught.value)
    assert "look at the number and the unit again" in str(caught.value)
    assert is_one_sentence(str(caught.value))


def test_the_weakest_and_the_largest_that_is_possible_are_taken():
    assert parse_quantity("1 mcg/mL", STRENGTH) == 1
    assert parse_quantity("0 mcg/mL", STRENGTH) == 0
    assert parse_quantity("100 mL", VOLUME) == 100
