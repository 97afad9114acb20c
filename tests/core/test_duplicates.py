"""One refill noted twice, on two phones minutes apart: told, and learnt from once."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from math import prod
from random import Random

import pytest
from core_helpers import is_one_sentence
from test_more_delivered import history, later

from pocketpump.core.pump.delivery_ratio import residuals_of
from pocketpump.core.pump.duplicates import duplicate_problems
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.pump.what_if import WhatIf, what_if
from pocketpump.core.refill_check.visit_check import Visit, check_visit
from pocketpump.core.safety.circumstances import circumstances

FIRST = Fill(datetime(2026, 1, 12, 9, tzinfo=UTC), 20, 500, id="first")
REFILL = datetime(2026, 2, 20, 9, tzinfo=UTC)
ONCE = Fill(REFILL, 20, 500, id="a", expected_ml=4.4, withdrawn_ml=6.0)
SETTINGS = (Setting(FIRST.at, constant_rate(200)),)


def again(minutes: float, volume=20.0, strength=500.0) -> Fill:
    return Fill(REFILL + timedelta(minutes=minutes), volume, strength, id="b", expected_ml=4.4,
                withdrawn_ml=6.0)  # fmt: skip


@pytest.mark.parametrize(
    ("second", "twins"),
    [
        (again(0), True), (again(5), True), (again(719), True),
        # The same refill also where the numbers differ: a slip on one of the phones.
        (again(5, volume=18.0), True), (again(5, strength=1000.0), True), (again(0, 18.0), True),
        # Half a day apart is another visit (own choice, no source).
        (again(721), False), (again(721, volume=18.0), False),
    ],
)  # fmt: skip
def test_only_the_same_refill_again_is_told_and_not_learnt_from(second, twins):
    told = Situation(Pump(2.0), (second, ONCE, FIRST), SETTINGS)
    problems = duplicate_problems(told)
    assert [set(problem.ids) for problem in problems] == ([{"a", "b"}] if twins else [])
    assert all(is_one_sentence(problem.sentence) for problem in problems)
    timeline, _ = build_timeline(told.fills, SETTINGS)
    assert len(residuals_of(timeline)) == (1 if twins else 2)


def test_a_refill_noted_twice_teaches_the_ratio_once():
    assert ratio_of(ONCE, again(5)) == ratio_of(ONCE)


def silent(fill: Fill, **known) -> Fill:
    return replace(fill, **{"expected_ml": None, "withdrawn_ml": None, **known})


def told_of(*fills):
    return forecast(
        Situation(Pump(2.0), (FIRST, *fills), SETTINGS), REFILL + timedelta(days=5), UTC
    )[0]


def ratio_of(*fills):
    return told_of(*fills).ratio


FAST, SLOW = replace(ONCE, withdrawn_ml=2.0), ONCE


@pytest.mark.parametrize("minutes", [0, 5, 300])
@pytest.mark.parametrize("in_order", [True, False])
@pytest.mark.parametrize("other", ["silent", "unexpected", "slow", "smaller"])
def test_the_note_counts_by_which_the_plan_is_earlier(minutes, in_order, other):
    second = {
        "silent": silent(FAST),
        "unexpected": replace(FAST, expected_ml=None),
        "slow": SLOW,
        "smaller": replace(silent(FAST), volume_ml=15.0),
    }[other]
    second = replace(second, at=REFILL + timedelta(minutes=minutes), id="b")
    notes = (FAST, second) if in_order else (second, FAST)
    both, alone = told_of(*notes), [told_of(one) for one in notes]
    first = min(alone, key=lambda one: (one.refill_by, one.alarm_at))
    assert both.fill.volume_ml == first.fill.volume_ml
    assert both.ratio.mean == pytest.approx(first.ratio.mean)
    for name in ("refill_by", "call_by", "alarm_earliest", "maybe_empty_at"):
        assert getattr(both, name) == min(getattr(one, name) for one in alone)


def test_what_was_expected_in_one_note_is_not_held_against_what_was_left_in_the_other():
    """Two true facts of two notes must not make a lesson that neither of them says."""
    drained = replace(again(120), expected_ml=20.0, withdrawn_ml=19.9)
    both = told_of(replace(ONCE, expected_ml=None, withdrawn_ml=2.0), drained)
    assert both.refill_by == min(
        told_of(replace(ONCE, expected_ml=None, withdrawn_ml=2.0)).refill_by,
        told_of(drained).refill_by,
    )


def test_the_refill_after_one_noted_twice_teaches_from_what_was_filled_then():
    next_one = Fill(REFILL + timedelta(days=40), 20, 500, id="n", expected_ml=4.0, withdrawn_ml=5.0)
    situation = Situation(Pump(2.0), (FIRST, silent(ONCE), again(5), next_one), SETTINGS)
    timeline, _ = build_timeline(situation.fills, SETTINGS)
    lessons = residuals_of(timeline)
    assert [(one.expected_ml, one.withdrawn_ml, one.id) for one in lessons] == [
        (4.4, 6.0, "b"), (4.0, 5.0, "n"),
    ]  # fmt: skip


def test_a_refill_noted_three_times_is_told_twice():
    third = Fill(REFILL + timedelta(minutes=9), 20, 500, id="c")
    told = Situation(Pump(2.0), (FIRST, ONCE, again(5), third), SETTINGS)
    assert [p.ids for p in duplicate_problems(told)] == [("a", "b"), ("b", "c")]


def test_notes_that_disagree_are_told_with_both_numbers():
    told = Situation(Pump(2.0), (FIRST, ONCE, again(25, 18.5, 1000.0)), SETTINGS)
    (problem,) = forecast(told, REFILL + timedelta(days=5), UTC)[1]
    assert "20 mL of 500 mcg/mL" in problem.sentence
    assert "18.5 mL of 1000 mcg/mL" in problem.sentence
    assert "remove" in problem.sentence


def test_two_fills_with_another_pump_between_them_are_two():
    second = again(60)
    told = Situation(Pump(2.0), (FIRST, ONCE, second), SETTINGS,
                     pumps_from=(REFILL + timedelta(minutes=30),))  # fmt: skip
    assert told.fills == (FIRST, ONCE, second)
    assert duplicate_problems(told) == ()


def test_a_note_still_to_come_changes_nothing_yet():
    told = Situation(Pump(2.0), (FIRST, ONCE, again(60, 10.0)), SETTINGS)
    alone = Situation(Pump(2.0), (FIRST, ONCE), SETTINGS)
    before = REFILL + timedelta(minutes=30)
    was, now = (forecast(one, before, UTC)[0] for one in (alone, told))
    assert (now.fill, now.refill_by) == (was.fill, was.refill_by)
    after, _ = forecast(told.until(before), REFILL + timedelta(days=1), UTC)
    assert after.fill.volume_ml == 10.0


def test_the_check_of_either_note_asks_of_that_note_and_dates_as_the_forecast():
    notes = ONCE, replace(again(25, 18.0), withdrawn_ml=4.4)
    told = Situation(Pump(2.0), (FIRST, *notes), SETTINGS)
    date_told = forecast(told, REFILL + timedelta(days=1), UTC)[0].alarm_at.date()
    for note, other in (notes, notes[::-1]):
        alone = check_visit(Visit(note), Situation(Pump(2.0), (FIRST, note), SETTINGS), UTC)
        check = check_visit(Visit(note), told, UTC)
        assert (check.asks, check.agrees) == (alone.asks, alone.agrees)
        assert check.computed_alarm_on == date_told
        assert alone.other_notes == ()
        (sentence,) = check.other_notes
        assert f"{other.volume_ml:g} mL of 500" in sentence
        assert "remove" in sentence


def test_a_note_that_is_corrected_is_not_taken_for_another_note():
    told = Situation(Pump(2.0), (FIRST, ONCE), SETTINGS)
    corrected = replace(ONCE, volume_ml=30.0)
    check = check_visit(Visit(corrected), told, UTC)
    alone = check_visit(Visit(corrected), Situation(Pump(2.0), (FIRST,), SETTINGS), UTC)
    assert check == alone
    # Typed anew beside it, it is another note of that refill.
    beside = check_visit(Visit(replace(corrected, id="")), told, UTC)
    assert beside.computed_alarm_on < alone.computed_alarm_on
    assert len(beside.other_notes) == 1


def test_another_amount_is_tried_also_on_the_day_of_a_refill():
    now = REFILL + timedelta(hours=2)
    told = Situation(Pump(2.0), (FIRST, ONCE, again(25, 18.0)), SETTINGS)
    _, tried = what_if(told, WhatIf(filled_ml=30.0), now, UTC)
    assert (tried.fill.at, tried.fill.volume_ml) == (now, 30.0)


@pytest.mark.parametrize(
    "seeds",
    [range(300), pytest.param(range(300, 30_000), marks=pytest.mark.thorough)],
    ids=("some", "30,000 histories"),
)
def test_a_second_note_of_any_refill_never_makes_a_date_later(seeds):
    moved = kept = 0
    for seed in seeds:
        chance = Random(seed)
        told = history(chance)
        notes = told.refill_notes
        note = chance.choice([one for one in told.fills if told.notes_of(one) == (one,)] or notes)
        apart = timedelta(minutes=chance.choice((0, 5, 25, 300, 719)))
        second = replace(
            note,
            at=note.at + apart,
            expected_ml=chance.choice((note.expected_ml, None, 0.0, note.volume_ml)),
            withdrawn_ml=chance.choice((note.withdrawn_ml, note.withdrawn_ml, None, 0.2)),
            volume_ml=note.volume_ml * chance.choice((1.0, 1.03, 0.9, 0.5, 1.5)),
            strength_mcg_per_ml=note.strength_mcg_per_ml * chance.choice((1.0, 1.0, 0.5, 2.0)),
            bridged=chance.choice((note.bridged, True, False, None)),
            id="second",
        )
        others = tuple(one for one in notes if one is not note)
        strengths = {one.strength_mcg_per_ml for one in (*notes, second)}
        soon = min((b.at - a.at for a, b in pairwise(told.fills)), default=timedelta(365))
        if soon < timedelta(days=10 if len(strengths) > 1 else 2.5):
            # Between two refills in a row a note may be of either; and the line may hold three
            # drugs, so that which note gives the earlier date depends on all of them.
            continue
        every = replace(told, fills=(*notes, second), noted_twice=())
        if prod(len(every.notes_of(one)) for one in every.fills) > 16:
            # So many ways are tried and no more.
            continue
        kept += 1
        now = max(one.at for one in (*notes, second)) + timedelta(hours=13)
        both, *either = (
            forecast(replace(told, fills=fills, noted_twice=()), now, UTC)[0]
            for fills in ((*notes, second), notes, (*others, second))
        )
        # What set the day to call is told of the note that set it.
        assert (both.call_by, both.call_untaught) in [
            (one.call_by, one.call_untaught) for one in either
        ], f"history {seed}"
        for was in either:
            found = later(was, both)
            # No plan waits for the late end of the window, nor for a slow pace, of which the other
            # note may show nothing; and nobody waits for a pace that is told beside earlier dates.
            unheard = ["alarm_latest"]
            if both.paced_alarm_at is None and (
                was.ratio.mean <= 1 or both.alarm_at <= was.paced_alarm_at
            ):
                unheard.append("paced_alarm_at")
            found = [one for one in found if one.partition(":")[0] not in unheard]
            assert found == [], f"history {seed}"
            moved += was.refill_by > both.refill_by
    assert kept > len(seeds) / 2
    assert moved > kept / 20


def test_dose_settings_of_one_refill_that_disagree_are_told_and_the_higher_one_dates():
    other = Setting(again(20).at, constant_rate(220), "s2")
    told = Situation(
        Pump(2.0), (FIRST, ONCE, again(20)), (*SETTINGS, Setting(REFILL, constant_rate(250), "s1"),
                                              other),
    )  # fmt: skip
    answer, problems = forecast(told, REFILL + timedelta(days=1), UTC)
    higher, _ = forecast(
        replace(told, settings=told.settings[:-1]), REFILL + timedelta(days=1), UTC
    )
    assert answer.refill_by == higher.refill_by
    assert answer.dose_mcg_per_day == pytest.approx(250)
    (problem,) = (one for one in problems if one.code == "setting-twice")
    assert problem.ids == ("s1", "s2")
    assert is_one_sentence(problem.sentence)


def test_a_dose_set_with_one_note_alone_runs_by_either():
    told = Situation(
        Pump(2.0), (FIRST, ONCE, again(20)), (*SETTINGS, Setting(again(20).at, constant_rate(100)))
    )
    answer, problems = forecast(told, REFILL + timedelta(days=1), UTC)
    assert answer.dose_mcg_per_day == pytest.approx(100)
    assert {one.code for one in problems} == {"twin-refills"}


def test_the_printed_date_of_either_note_counts_as_it_would_alone():
    """A second note must not make the clinic's date look older than the dose set since."""
    settings = (
        *SETTINGS, Setting(REFILL + timedelta(hours=1), constant_rate(250)),
        Setting(REFILL + timedelta(days=8), constant_rate(220)),
    )  # fmt: skip
    printed = (Printout(REFILL, date(2026, 3, 22), "a"),)
    now = REFILL + timedelta(days=13)
    alone, both = (
        forecast(Situation(Pump(2.0), (FIRST, *notes), settings, printouts=printed), now, UTC)[0]
        for notes in ((ONCE,), (ONCE, again(120)))
    )
    assert both.printed_in_force == alone.printed_in_force == date(2026, 3, 22)
    assert both.refill_by == alone.refill_by


def test_the_hours_of_highest_risk_last_from_the_last_note():
    told = Situation(Pump(2.0), (FIRST, ONCE, again(660)), SETTINGS)
    answer, _ = forecast(told, REFILL + timedelta(hours=78), UTC)
    assert "refill" in circumstances(answer, hours_since={})
    answer, _ = forecast(told, REFILL + timedelta(hours=84), UTC)
    assert "refill" not in circumstances(answer, hours_since={})


def test_the_drug_is_no_younger_by_a_second_note():
    told = Situation(Pump(2.0), (FIRST, ONCE, again(600, volume=15.0)), SETTINGS)
    answer = forecast_of(told)
    assert answer.fill.volume_ml == 15.0
    alone = forecast_of(Situation(Pump(2.0), (FIRST, ONCE), SETTINGS))
    assert answer.drug_age_limit_at == alone.drug_age_limit_at


def forecast_of(told):
    return forecast(told, REFILL + timedelta(days=1), UTC)[0]
