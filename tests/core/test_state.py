"""The one sentence: where the person stands and the next step, the gravest first."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from core_helpers import FIRST_WINDOW_14_5, at, day, random_regimen
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.pump.clinic_days import ClinicDays
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate, stopped
from pocketpump.core.pump.situation import Habits, Printout, Pump, Situation
from pocketpump.core.pump.state import GRAVE_STATES, WORDS, state_now, states
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.units.instants import local_date

FILLED = at("2026-01-12T09:00")
# E14 (derived): call by 02-05, refill by 02-19, earliest alarm 02-20 16:14, earliest empty
# 02-25 01:04 (20 mL at 0.4 x 1.145 mL/day), alarm 02-26 09:00, empty 03-03 09:00.
PUMP = Pump(2.0, tolerance_percent=FIRST_WINDOW_14_5)
E14 = Situation(PUMP, (Fill(FILLED, 20, 500),), (Setting(FILLED, constant_rate(200)),))
PRINTED_EARLY = replace(E14, printouts=(Printout(FILLED, day("2026-02-03")),))
USUAL = replace(E14, pump=Pump(2.0))
OLD_DRUG = replace(E14, pump=replace(PUMP, drug_age_limit_days=20))
STOPPED = replace(E14, settings=(Setting(FILLED, stopped()),))
TIGHT = replace(E14, habits=Habits(margin_days=3))


def look(now, situation=E14):
    answer, _ = forecast(situation, at(now), UTC)
    assert answer is not None
    return answer


def told(now, situation=E14, **known):
    state = state_now(look(now, situation), **known)
    return state.word, state.sentence


@pytest.mark.parametrize(
    ("now", "situation", "word", "sentence"),
    [
        ("2026-01-20T09:00", E14, "calm", "By these numbers nothing is due. Call the clinic by"
         " Thu 5 Feb 2026 to book the refill."),
        ("2026-02-05T00:00", E14, "call", "Time to call the clinic and book the refill. It is due"
         " by Thu 19 Feb 2026."),
        ("2026-02-19T12:00", E14, "due", "The refill is due today. Call the clinic now if it is"
         " not booked."),
        ("2026-02-20T12:00", E14, "overdue", "The refill-by date, Thu 19 Feb 2026, is past. Call"
         " the clinic today."),
        ("2026-02-21T12:00", E14, "overdue", "The refill-by date, Thu 19 Feb 2026, is past, and the"
         " alarm may come any day now. Call the clinic today; if the alarm sounds, call at once."),
        # 50 d at 15.57 % faster: 14.5 %, and 2.9 % from fill to fill (derived).
        ("2026-02-24T15:16", USUAL, "overdue", None),
        ("2026-02-24T15:19", USUAL, "maybe-empty", "By these numbers the pump may be empty. Call"
         " the clinic now, day or night."),
        ("2026-02-26T09:00", E14, "alarm", "By these numbers the alarm date, Thu 26 Feb 2026, has"
         " come. Call the clinic now."),
        ("2026-02-26T09:00", USUAL, "alarm", "By these numbers the alarm date, Thu 26 Feb 2026, has"
         " come and the pump may be empty. Call the clinic now, day or night."),
        ("2026-03-03T09:00", E14, "empty", "By these numbers the pump is empty. Call the clinic"
         " now, day or night."),
        ("2026-01-20T09:00", STOPPED, "stopped", "The pump is noted as stopped. If your clinic did"
         " not stop it, call now."),
        # The limit is 2026-02-01; the day itself is still within it.
        ("2026-02-01T23:59", OLD_DRUG, "due", None),
        ("2026-02-02T00:00", OLD_DRUG, "drug-age", "The drug has been in the pump longer than its"
         " limit, Sun 1 Feb 2026. Call the clinic today."),
        # Printed three weeks before ours, two days past: it must be told.
        ("2026-02-02T23:59", PRINTED_EARLY, "overdue", None),
        ("2026-02-05T12:00", PRINTED_EARLY, "clinic-alarm", "The alarm date the clinic printed,"
         " Tue 3 Feb 2026, has come. Call the clinic now."),
        ("2026-02-21T12:00", TIGHT, "window", "The alarm may come any day now, and the refill is"
         " due by Mon 23 Feb 2026. Call the clinic today if it is not booked; if the alarm sounds,"
         " call at once."),
        ("2026-02-08T12:00", TIGHT, "calm", "By these numbers nothing is due. Call the clinic by"
         " Mon 9 Feb 2026 to book the refill. If the alarm sounds before that, call at once."),
    ],
)  # fmt: skip
def test_it_says_how_things_stand_and_the_next_step(now, situation, word, sentence):
    found = told(now, situation)
    assert found == (word, sentence or found[1])


@pytest.mark.parametrize(
    ("now", "visit", "word", "begins"),
    [
        ("2026-01-20T09:00", "2026-02-16", "calm", "Your refill is booked for Mon 16 Feb 2026."
         " Until then nothing is due by these numbers."),
        ("2026-02-10T09:00", "2026-02-16", "calm", "Your refill is booked for Mon 16 Feb"),
        ("2026-02-16T23:00", "2026-02-16", "calm", "Your refill is booked for today."),
        ("2026-02-17T00:00", "2026-02-16", "call", "The visit of Mon 16 Feb 2026 is past and no"
         " refill is noted since. Log the refill, or call"),
        ("2026-02-19T09:00", "2026-02-19", "due", "Your refill is booked for today, its last"),
        ("2026-01-20T09:00", "2026-02-20", "late-visit", "The visit on Fri 20 Feb 2026 is after the"
         " refill-by date, Thu 19 Feb 2026. Call the clinic for an earlier one."),
        ("2026-02-20T09:00", "2026-02-20", "overdue", "The refill-by date"),
        # A visit noted before the last refill was of another fill.
        ("2026-01-20T09:00", "2026-01-05", "calm", "By these numbers nothing is due."),
    ],
)  # fmt: skip
def test_a_visit_is_told_as_in_time_too_late_or_past(now, visit, word, begins):
    found = told(now, next_visit_on=day(visit))
    assert found[0] == word
    assert found[1].startswith(begins)


def test_a_booked_visit_in_the_window_still_says_what_to_do_when_the_alarm_sounds():
    word, sentence = told("2026-02-21T12:00", TIGHT, next_visit_on=day("2026-02-23"))
    assert word == "window"
    assert "Your refill is booked for Mon 23 Feb 2026" in sentence
    assert "if the alarm sounds before, call the clinic at once" in sentence


def test_a_visit_too_late_says_what_to_do_when_the_alarm_sounds_before_it():
    # The window opens on 21 Feb in TIGHT, so the alarm may come before the visit (derived).
    word, sentence = told("2026-01-20T09:00", TIGHT, next_visit_on=day("2026-03-02"))
    assert word == "late-visit"
    assert sentence.endswith(
        "Call the clinic for an earlier one. If the alarm sounds before that, call at once."
    )


def test_an_urgent_alarm_that_was_not_looked_into_is_told_before_all_but_an_empty_pump():
    told_now = told("2026-01-20T09:00", urgent_alarm=True, next_visit_on=day("2026-02-16"))
    assert told_now == (
        "urgent-alarm", "The pump gave an urgent alarm. Call the clinic now, day or night.",
    )  # fmt: skip
    assert told("2026-03-04T09:00", urgent_alarm=True)[0] == "empty"


def test_a_visit_on_the_day_of_the_refill_is_no_next_one():
    assert told("2026-01-12T12:00", next_visit_on=day("2026-01-12"))[0] == "calm"
    assert told("2026-01-13T12:00", next_visit_on=day("2026-01-12"))[0] == "calm"


def test_a_missed_refill_is_grave_until_a_new_day_in_time_is_booked():
    missed = {"missed_on": day("2026-01-18")}
    assert told("2026-01-20T09:00", **missed) == (
        "missed", "A refill was missed and none is noted since. Call the clinic today.",
    )  # fmt: skip
    again = {**missed, "next_visit_on": day("2026-02-16")}
    assert told("2026-01-20T09:00", **again)[0] == "calm"
    assert told("2026-02-17T09:00", **again)[0] == "missed"
    # The visit that was missed books nothing, nor does one too late.
    assert told("2026-01-18T09:00", **missed, next_visit_on=day("2026-01-18"))[0] == "missed"
    assert told("2026-01-20T09:00", **missed, next_visit_on=day("2026-02-20"))[0] == "missed"
    # Nor does one that was noted before the refill was missed.
    assert told("2026-01-20T09:00", **again, rebooked=False)[0] == "missed"
    # What is graver still comes first.
    assert told("2026-03-04T09:00", **missed)[0] == "empty"


def test_the_earliest_empty_date_of_a_long_fill_comes_before_the_margin():
    # 40 mL at 0.23 mL/day, read to 0: alarm after 165.2 d; empty at 14.5 % faster after
    # 151.89 d, 2026-06-13 (derived). The margin of 7 days alone gives 2026-06-19.
    long = replace(
        E14,
        fills=(Fill(FILLED, 40, 1000),),
        settings=(Setting(FILLED, constant_rate(230)),),
    )
    answer = look("2026-01-20T09:00", long)
    assert answer.empty_earliest.date() == day("2026-06-13")
    assert (answer.refill_by, answer.refill_by_because) == (
        day("2026-06-12"), "earliest empty date",
    )  # fmt: skip
    assert state_now(answer).sentence.endswith("If the alarm sounds before that, call at once.")


def test_the_plan_allows_for_pumps_beyond_their_flow_accuracy_the_red_call_for_those_within_it():
    # 40 mL at 0.42 mL/day, alarm after 90.5 d, empty after 95.2 d. A pump at 1.20 of what it is
    # told is empty after 79.4 d: refill-by is before. At 14.5 % and 2.9 % from fill to fill, 15.6 %
    # as 95 %, it is after 82.4 d (derived): until then Today does not call for day and night.
    fill = replace(E14, pump=Pump(2.0), fills=(Fill(FILLED, 40, 1000),),
                   settings=(Setting(FILLED, constant_rate(420)),))  # fmt: skip
    answer = look("2026-01-20T09:00", fill)
    assert answer.refill_by < (FILLED + timedelta(days=79)).date()
    assert answer.maybe_empty_at - FILLED == pytest.approx(timedelta(days=82.4), abs=timedelta(0.1))
    day_before, day_after = FILLED + timedelta(days=82), FILLED + timedelta(days=83)
    assert told(day_before.isoformat()[:16], fill)[0] == "overdue"
    assert told(day_after.isoformat()[:16], fill)[0] == "maybe-empty"


quick = settings(max_examples=150, deadline=None)
randoms = st.randoms(use_true_random=False)


@quick
@given(
    randoms,
    st.floats(0, 40),
    st.floats(0, 3),
    st.integers(0, 60),
    st.sets(st.integers(0, 6)),
)
def test_refill_by_is_never_later_than_the_day_before_the_earliest_empty_date(
    rng, tolerance, error, margin, weekdays
):
    regimen = random_regimen(rng)
    situation = replace(
        regimen.situation(tolerance_percent=tolerance, reading_error_ml=error),
        habits=Habits(margin, 14, ClinicDays(open_weekdays=frozenset(weekdays))),
    )
    answer, _ = forecast(situation, regimen.now(), UTC)
    filled_on = local_date(answer.fill.at, UTC)
    if answer.empty_earliest is None:
        assert answer.empty_at is None
        return
    # A date further off than the horizon is none; the fast edge may lie before it.
    assert answer.empty_at is None or answer.empty_earliest <= answer.empty_at
    assert answer.alarm_earliest <= answer.empty_earliest
    assert answer.maybe_empty_at is None or answer.empty_earliest <= answer.maybe_empty_at
    assert answer.refill_by < answer.empty_earliest.date() or answer.refill_by == filled_on
    assert answer.refill_by >= filled_on


@quick
@given(
    randoms,
    st.one_of(st.none(), st.integers(-20, 120)),
    st.one_of(st.none(), st.integers(-20, 120)),
    st.one_of(st.none(), st.integers(0, 120)),
    st.integers(0, 200),
)
def test_what_was_listed_once_says_on_every_later_day_what_is_worked_out_anew(
    rng, printed, visit, missed, later
):
    regimen = random_regimen(rng, stopped_too=False)
    now = regimen.now()

    def days_on(days):
        return None if days is None else (now + timedelta(days=days)).date()

    dates = () if printed is None else (Printout(regimen.fills[-1][0], days_on(printed)),)
    situation = replace(regimen.situation(), printouts=dates)
    # Settings still to come are another matter: then the dates themselves are new.
    situation = replace(situation.until(now), planned=())
    saved, _ = forecast(situation, now, UTC)
    known = {"next_visit_on": days_on(visit), "missed_on": days_on(missed)}
    then = now + timedelta(days=later, hours=later % 24)
    anew, _ = forecast(situation, then, UTC)
    listed = next(one for one in states(saved, **known) if one.holds(then))
    worked_out = state_now(anew, **known)
    assert (listed.word, listed.sentence) == (worked_out.word, worked_out.sentence)
    assert listed.word in WORDS


@quick
@given(randoms, st.integers(0, 120))
def test_nobody_is_told_to_be_calm_once_a_date_has_come(rng, later):
    regimen = random_regimen(rng)
    answer, _ = forecast(regimen.situation(), regimen.now() + timedelta(days=later), UTC)
    state = state_now(answer, next_visit_on=answer.today)
    reached = [
        instant
        for instant in (answer.empty_earliest, answer.alarm_at)
        if instant is not None and answer.now >= instant
    ]
    if reached or answer.today > answer.refill_by:
        assert state.is_grave
        assert state.word in GRAVE_STATES
