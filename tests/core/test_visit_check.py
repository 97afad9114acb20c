"""A refill visit's numbers against each other, as they are typed in the clinic."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from core_helpers import at, day

from pocketpump.core.pump.programme import RequestedBolus, constant_rate
from pocketpump.core.pump.programme_text import with_boluses
from pocketpump.core.pump.situation import Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.visit_check import Visit, check_change, check_visit

# E25 (derived): filled with 20 mL at 500 mcg/mL, 200 mcg/day; 40 days later 4 mL are expected.
FILLED = at("2026-01-12T09:00")
TODAY = FILLED + timedelta(days=40)
BEFORE = Situation(
    Pump(2.0, reservoir_ml=20.0),
    (Fill(FILLED, 20, 500),),
    (Setting(FILLED, constant_rate(200)),),
)
# The new fill with the same numbers: 45 days to the alarm (E14), 2026-02-21 + 45 = 2026-04-07.
SAME = Visit(Fill(TODAY, 20, 500, expected_ml=4.0, withdrawn_ml=2.2), day("2026-04-07"))


def asks(visit, situation=BEFORE):
    return " ".join(check_visit(visit, situation, UTC).asks)


def test_numbers_that_fit_together_raise_no_question():
    check = check_visit(SAME, BEFORE, UTC)
    assert check.asks == ()
    assert check.computed_alarm_on == day("2026-04-07")
    assert len(check.agrees) == 2
    assert "Tue 7 Apr 2026" in check.agrees[0]


def test_a_printed_date_for_another_strength_raises_the_question():
    # 1000 mcg/mL: 90 days, 2026-05-22.
    check = check_visit(replace(SAME, printed_alarm_on=day("2026-05-22")), BEFORE, UTC)
    assert "Tue 7 Apr 2026" in check.asks[0]
    assert "Fri 22 May 2026" in check.asks[0]
    assert any("1000 mcg/mL and not 500 mcg/mL" in ask for ask in check.asks)
    # The date itself and three slips at the most.
    assert len(check.asks) <= 4


@pytest.mark.parametrize(
    ("withdrawn", "words"),
    # E25; flag limits of the regional-anaesthesia society poster 2017 (page) and 14.5 % (practice).
    [(6.5, "2.5 mL more than expected"), (0.5, "3.5 mL less than expected"), (2.2, "")],
)
def test_a_withdrawn_volume_beyond_the_limits_raises_the_question(withdrawn, words):
    said = asks(replace(SAME, fill=replace(SAME.fill, withdrawn_ml=withdrawn)))
    assert words in said
    assert (said == "") is (words == "")


def test_more_than_the_reservoir_holds_and_volume_missing_after_the_fill_are_asked_about():
    assert "22 mL is more than the reservoir's 20 mL" in asks(
        replace(SAME, fill=Fill(TODAY, 22, 500), printed_alarm_on=None)
    )
    # E29: 1.2 mL missing of 20: Maino 2017 (abstract).
    assert "1.2 mL are missing" in asks(replace(SAME, measured_after_ml=18.8))
    assert asks(replace(SAME, measured_after_ml=19.0)) == ""


def refilled(strength, volume=20.0):
    return Visit(Fill(TODAY, volume, strength))


@pytest.mark.parametrize(
    # 50 mcg/mL is for screening only (label); 500, 1000, 2000 are supplied (injectable-drugs
    # handbook).
    ("strength", "words"), [(50, "screening dose"), (200, "unusual strength"), (1000, "")]
)  # fmt: skip
def test_an_unusual_strength_stands_in_the_check(strength, words):
    said = asks(refilled(strength))
    assert words in said
    assert (said == "") is (words == "")


def test_what_was_as_unusual_at_the_refill_before_is_not_asked_again():
    before = replace(BEFORE, fills=(Fill(FILLED, 20, 3000),))
    assert asks(refilled(3000), before) == ""
    assert "unusual strength" in asks(refilled(3500), before)


def test_a_dose_far_from_the_one_before_stands_in_the_check_of_the_visit_that_brought_it():
    # 60 mcg once a day entered as 60 mcg every hour: 24 times (medication-safety alert).
    assert "24 times" in asks(replace(SAME, printed_alarm_on=None, programme=constant_rate(4800)))
    later = Setting(TODAY, constant_rate(4800))
    saved = replace(BEFORE, settings=(*BEFORE.settings, later))
    assert "24 times" in asks(replace(SAME, printed_alarm_on=None), saved)


def test_the_very_first_dose_is_asked_about():
    # 12-2003 mcg/day: label.
    first = Situation(Pump(2.0), (), (Setting(TODAY, constant_rate(2400)),))
    assert "2400 mcg/day is outside the 12 to 2003 mcg/day" in asks(refilled(2000), first)


def test_a_dose_that_ran_before_is_not_asked_about_at_a_refill():
    # 8 mcg/day is below the label's range; only the clinic that sets it is asked.
    before = replace(BEFORE, settings=(Setting(FILLED, constant_rate(8)),))
    assert asks(refilled(500), before) == ""


def test_more_expected_than_was_filled_is_said_and_not_raised():
    assert "more than the 20 mL" in asks(replace(SAME, fill=replace(SAME.fill, expected_ml=21.0)))


def test_a_new_dose_of_the_visit_is_what_the_date_is_computed_from():
    # 260 mcg/day: 18 mL at 0.52 mL/day are 34.6 days: 2026-03-27 at 23:46.
    visit = replace(SAME, programme=constant_rate(260), printed_alarm_on=day("2026-03-27"))
    assert check_visit(visit, BEFORE, UTC).asks == ()
    # Printed for the old dose, the old dose is offered as an explanation.
    said = asks(replace(visit, printed_alarm_on=day("2026-04-07")))
    assert "200 mcg/day (the dose before this refill)" in said


def test_a_visit_already_in_the_record_is_checked_against_the_refill_before_it():
    recorded = replace(BEFORE, fills=(*BEFORE.fills, SAME.fill))
    assert check_visit(SAME, recorded, UTC) == check_visit(SAME, BEFORE, UTC)


def test_without_any_dose_or_refill_before_nothing_can_be_compared():
    empty = Situation(Pump(2.0), (), ())
    check = check_visit(SAME, empty, UTC)
    assert check.computed_alarm_on is None
    assert check.asks == check.agrees == ()


# 20 mL at 500 mcg/mL, 2 mL alarm volume: 10 days at 200 mcg/day use 4 mL; the 14 mL left above
# the alarm volume last 28 days at 250 mcg/day (derived by hand).
@pytest.mark.parametrize(
    ("printed", "words"),
    [("2026-02-19", "agrees"), ("2026-02-20", "agrees"), ("2026-02-26", "Ask the clinic")],
)
def test_the_date_printed_at_a_dose_change_is_checked_before_it_is_saved(printed, words):
    filled = at("2026-01-12T09:00")
    known = Situation(
        Pump(2.0), (Fill(filled, 20, 500),), (Setting(filled, constant_rate(200), "first"),)
    )
    changed = Setting(filled + timedelta(days=10), constant_rate(250), "second")
    now = filled + timedelta(days=11)
    found = check_change(changed, day(printed), known, now, UTC)
    assert found.computed_alarm_on == day("2026-02-19")
    assert words in " ".join((*found.asks, *found.agrees))
    # Once it is saved, correcting it says the same.
    saved = replace(known, settings=(*known.settings, replace(changed, programme=constant_rate(2))))
    assert check_change(changed, day(printed), saved, now, UTC) == found


def test_a_change_before_the_last_refill_is_not_held_against_its_printout():
    filled = at("2026-01-12T09:00")
    known = Situation(Pump(2.0), (Fill(filled, 20, 500),), (Setting(filled, constant_rate(200)),))
    earlier = Setting(filled - timedelta(days=3), constant_rate(90))
    found = check_change(earlier, day("2026-01-15"), known, filled + timedelta(days=1), UTC)
    assert found.asks == found.agrees == ()


@pytest.mark.parametrize(
    ("withdrawn", "is_asked"), [(6.25, False), (3.5, False), (9.0, False), (15.0, True)]
)
def test_any_number_of_requests_taken_is_as_expected(withdrawn, is_asked):
    # 55 days: all requests 0.3 mL/day leave 3.5 mL, none 0.2 mL/day leave 9 mL (derived).
    asked = with_boluses(constant_rate(200), (), RequestedBolus(25.0, 4))
    filled = at("2026-01-12T09:00")
    known = Situation(Pump(2.0), (Fill(filled, 20, 1000),), (Setting(filled, asked),))
    visit = Visit(Fill(filled + timedelta(days=55), 20, 1000, withdrawn_ml=withdrawn))
    found = check_visit(visit, known, UTC)
    assert any("than expected was left" in ask for ask in found.asks) is is_asked
