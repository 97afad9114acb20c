"""The slip finder: each kind of slip planted once is found, and agreement finds none."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from core_helpers import at, day, is_one_sentence

from pocketpump.core.pump.programme import constant_rate, stopped
from pocketpump.core.pump.programme_text import parse_pattern
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.candidate_errors import find_candidate_errors
from pocketpump.core.refill_check.refill_input import RefillInput
from pocketpump.core.units.instants import date_text, local_date

# E14: 20 mL at 500 mcg/mL, 200 mcg/day, alarm at 2 mL: 45 days, 2026-02-26 (derived).
FILLED = at("2026-01-12T00:00")
E14 = RefillInput(Fill(FILLED, 20, 500), constant_rate(200), 2.0, UTC)
E14_ON = day("2026-02-26")


def found(refill_input, printed_on):
    candidate_errors = find_candidate_errors(refill_input, printed_on)
    for candidate_error in candidate_errors:
        assert is_one_sentence(candidate_error.text), candidate_error.text
        # A date in a sentence has its month as a word: nobody can read it the wrong way round.
        dated = candidate_error.field in ("filled", "printed_alarm")
        said = (lambda iso: date_text(day(iso))) if dated else (lambda text: text.split(" (")[0])
        # A bridge is no number: its own sentences are tested below.
        if candidate_error.field != "bridge":
            assert said(candidate_error.would_be) in candidate_error.text
            assert said(candidate_error.entered) in candidate_error.text
    assert [candidate_error.weight for candidate_error in candidate_errors] == sorted(
        (s.weight for s in candidate_errors), reverse=True
    )
    return {
        (candidate_error.field, candidate_error.would_be) for candidate_error in candidate_errors
    }


@pytest.mark.parametrize("off", [-1, 0, 1])
def test_dates_a_day_apart_agree_and_give_no_slips(off):
    assert E14.alarm_on() == E14_ON
    assert find_candidate_errors(E14, E14_ON + timedelta(days=off)) == ()


def test_a_date_two_days_off_is_looked_into_and_one_nothing_explains_is_left_so():
    # 19 mL at 0.4 mL/day are 47.5 days (derived): an alarm at 1 mL instead of 2.
    assert ("alarm_volume", "1 mL") in found(E14, E14_ON + timedelta(days=2))
    # 55 days would take 22 mL: no usual number, no factor of ten, no swapped digits.
    assert find_candidate_errors(E14, E14_ON + timedelta(days=10)) == ()


PLANTED = [
    # What the printout was made for, by hand from flow = dose / strength and days = volume / flow,
    # and the slip that must be found when E14's numbers are what was entered.
    # 1000 mcg/mL: 0.2 mL/d, 90 d.
    (90, "strength", "1000 mcg/mL"),
    # 40 mL: 38 / 0.4 = 95 d.
    (95, "volume", "40 mL"),
    # 4 mL alarm volume: 16 / 0.4 = 40 d.
    (40, "alarm_volume", "4 mL"),
    # A factor of ten in the dose, in the unit of time, and in the unit of mass.
    (450, "dose", "20 mcg/day"),
    (4, "dose", "2000 mcg/day"),
    (45 * 24, "dose", "8.33 mcg/day"),
    # Digits swapped in the volume: 02 mL leaves nothing to pump; in the strength: 050.
    (4, "strength", "50 mcg/mL"),
]


@pytest.mark.parametrize(("days", "field", "would_be"), PLANTED)
def test_a_planted_slip_is_found(days, field, would_be):
    printed_on = local_date(FILLED + timedelta(days=days), UTC)
    assert (field, would_be) in found(E14, printed_on)


def test_the_filling_of_the_refill_before_is_tried_whatever_its_size():
    # 18 mL, as the time before: 16 / 0.4 = 40 d, derived.
    before = Fill(FILLED - timedelta(days=40), 18, 500)
    printed_on = local_date(FILLED + timedelta(days=40), UTC)
    assert ("volume", "18 mL") in found(replace(E14, fills=(before,)), printed_on)


def test_swapped_digits_of_a_dose_are_found():
    # 210 for 120 mcg/day at 1000 mcg/mL: 18 / 0.21 = 85.7 d and 18 / 0.12 = 150 d, derived.
    refill_input = RefillInput(Fill(FILLED, 20, 1000), constant_rate(210), 2.0, UTC)
    assert ("dose", "120 mcg/day") in found(
        refill_input, local_date(FILLED + timedelta(days=150), UTC)
    )


def test_a_dose_an_hour_entered_for_a_dose_a_day_is_found():
    # E7 the other way round: 60 mcg a day entered, printed for 60 an hour, 1440 mcg/day:
    # 18 mL x 2000 / 1440 = 25 d, derived.
    refill_input = RefillInput(Fill(FILLED, 20, 2000), constant_rate(60), 2.0, UTC)
    assert ("dose", "1440 mcg/day") in found(
        refill_input, local_date(FILLED + timedelta(days=25), UTC)
    )


def test_milligrams_read_as_micrograms_are_found():
    # 2 mg/mL entered as 2 mcg/mL: 1000 times, 18 mL x 2000 / 400 = 90 d, derived.
    refill_input = RefillInput(Fill(FILLED, 20, 2), constant_rate(400), 2.0, UTC)
    assert ("strength", "2000 mcg/mL") in found(
        refill_input, local_date(FILLED + timedelta(days=90), UTC)
    )


def test_micrograms_read_as_milligrams_are_found():
    # 90 mcg/day entered as 90 mg/day: 18 mL x 500 / 90 = 100 d, derived.
    refill_input = replace(E14, programme=constant_rate(90_000))
    printed_on = local_date(FILLED + timedelta(days=100), UTC)
    assert ("dose", "90 mcg/day") in found(refill_input, printed_on)


def test_day_and_month_of_the_printed_date_swapped_are_found():
    # Filled 2026-01-20, 45 days: 2026-03-06; printed as 2026-06-03.
    refill_input = RefillInput(Fill(at("2026-01-20"), 20, 500), constant_rate(200), 2.0, UTC)
    candidate_errors = found(refill_input, day("2026-06-03"))
    assert ("printed_alarm", "2026-03-06") in candidate_errors


def test_day_and_month_of_the_refill_swapped_are_found():
    # Filled on 2026-03-01, entered as 2026-01-03; 45 days from 03-01 is 04-15.
    refill_input = RefillInput(Fill(at("2026-01-03T09:00"), 20, 500), constant_rate(200), 2.0, UTC)
    assert ("filled", "2026-03-01") in found(refill_input, day("2026-04-15"))


def test_the_dose_and_strength_of_the_refill_before_are_found():
    before = Fill(FILLED - timedelta(days=40), 20, 750)
    refill_input = replace(E14, fills=(before,), settings=(Setting(before.at, constant_rate(160)),))
    # 160 mcg/day: 18 x 500 / 160 = 56.25 d; 750 mcg/mL: 18 x 750 / 200 = 67.5 d, derived.
    old_dose = "160 mcg/day (the dose before this refill)"
    assert ("dose", old_dose) in found(refill_input, local_date(FILLED + timedelta(days=56), UTC))
    assert ("strength", "750 mcg/mL") in found(
        refill_input, local_date(FILLED + timedelta(days=67), UTC)
    )


@pytest.mark.parametrize("bridged", [True, False])
def test_a_forgotten_bridge_is_found(bridged):
    # 2000 -> 500 with 1.2 mL in the line at 200 mcg/day: the bridge runs 0.1 mL/day for 12 d
    # (1.2 / 0.1), then 16.8 mL at 0.4 mL/day take 42 d: 54 d in all; without it 45 d, derived.
    before = Fill(FILLED - timedelta(days=40), 20, 2000)
    fill = Fill(FILLED, 20, 500, bridged)
    refill_input = replace(E14, fill=fill, fills=(before,), line_volume_ml=1.2)
    assert refill_input.alarm_on() == local_date(
        FILLED + timedelta(days=54 if bridged else 45), UTC
    )
    printed_on = local_date(FILLED + timedelta(days=45 if bridged else 54), UTC)
    assert ("bridge", "not programmed" if bridged else "programmed") in found(
        refill_input, printed_on
    )


@pytest.mark.parametrize(
    ("bridged", "printed_days", "sentence"),
    [
        # The days of the test above.
        (True, 45, "If the clinic programmed no bridge, though one is noted, the"),
        (False, 54, "If the clinic programmed a bridge, though none is noted, the"),
        # Weaker drug: the earlier date, without a bridge, is counted while nobody knows.
        (None, 54, "If the clinic programmed a bridge, which is not known yet, the"),
    ],
)
def test_a_bridge_slip_reads_as_a_sentence(bridged, printed_days, sentence):
    before = Fill(FILLED - timedelta(days=40), 20, 2000)
    refill_input = replace(
        E14, fill=Fill(FILLED, 20, 500, bridged), fills=(before,), line_volume_ml=1.2
    )
    printed_on = local_date(FILLED + timedelta(days=printed_days), UTC)
    (candidate_error,) = [
        s for s in find_candidate_errors(refill_input, printed_on) if s.field == "bridge"
    ]
    assert candidate_error.text.startswith(sentence)
    assert candidate_error.would_be == ("not programmed" if bridged else "programmed")


def test_a_missing_bridge_for_a_stronger_drug_is_found_while_nobody_knows():
    # 500 -> 2000, 1.2 mL in the line at 200 mcg/day: 600 mcg = 3 d at 0.4 mL/day, then 16.8 mL
    # at 0.1 mL/day: 171 d; without a bridge 18 mL at 0.1 mL/day: 180 d, derived.
    before = Fill(FILLED - timedelta(days=40), 20, 500)
    refill_input = replace(
        E14, fill=Fill(FILLED, 20, 2000, None), fills=(before,), line_volume_ml=1.2
    )
    assert refill_input.alarm_on() == local_date(FILLED + timedelta(days=171), UTC)
    printed_on = local_date(FILLED + timedelta(days=180), UTC)
    (candidate_error,) = [
        s for s in find_candidate_errors(refill_input, printed_on) if s.field == "bridge"
    ]
    assert candidate_error.text.startswith(
        "If the clinic programmed no bridge, which is not known yet, the"
    )


def test_a_slip_says_the_date_it_would_really_give():
    # 95 d for 40 mL (above), printed a day later.
    printed_on = local_date(FILLED + timedelta(days=96), UTC)
    candidate_error = next(
        s for s in find_candidate_errors(E14, printed_on) if s.would_be == "40 mL"
    )
    would_be_on = date_text(local_date(FILLED + timedelta(days=95), UTC))
    assert would_be_on in candidate_error.text
    assert "as printed" not in candidate_error.text
    exact = next(
        s
        for s in find_candidate_errors(E14, printed_on - timedelta(days=1))
        if s.would_be == "40 mL"
    )
    assert f"{would_be_on}, as printed" in exact.text
    assert exact.weight > candidate_error.weight


def test_each_slip_is_named_once():
    for days in range(1, 300):
        candidate_errors = find_candidate_errors(
            E14, local_date(FILLED + timedelta(days=days), UTC)
        )
        keys = [
            (candidate_error.field, candidate_error.would_be)
            for candidate_error in candidate_errors
        ]
        assert len(keys) == len(set(keys))


def test_a_stopped_pump_has_no_alarm_date_and_no_exception():
    refill_input = replace(E14, programme=stopped())
    assert refill_input.alarm_on() is None
    found(refill_input, E14_ON)


def test_a_day_pattern_is_scaled_as_a_whole():
    # 290 mcg/day at 2000 (E20), entered for a tenth of it: 38 mL x 2000 / 29 = 2620 d.
    pattern = parse_pattern("00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h")
    refill_input = RefillInput(Fill(FILLED, 40, 2000), pattern, 2.0, UTC)
    printed_on = local_date(FILLED + timedelta(days=2620), UTC)
    assert ("dose", "29 mcg/day") in found(refill_input, printed_on)
