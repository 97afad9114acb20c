"""The forecast: states, what sets the refill-by date, and what is missing or odd."""

from dataclasses import replace
from datetime import UTC, timedelta
from math import hypot
from zoneinfo import ZoneInfo

import pytest
from core_helpers import (
    FIRST_WINDOW_14_5,
    at,
    day,
    down_to,
    is_one_sentence,
    tip_mcg,
    tip_mcg_per_h,
)
from scipy.optimize import brentq

from pocketpump.core.pump.clinic_days import WORKDAYS, ClinicDays
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import (
    RateStep,
    RequestedBolus,
    constant_rate,
    day_pattern,
    stopped,
)
from pocketpump.core.pump.programme_text import with_boluses
from pocketpump.core.pump.situation import Habits, Printout, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.units.instants import to_seconds

# E14 (derived): alarm after 45 d on 2026-02-26, empty after 50 d on 2026-03-03.
FILLED = at("2026-01-12T09:00")
PUMP = Pump(2.0, tolerance_percent=FIRST_WINDOW_14_5)
E14 = Situation(PUMP, (Fill(FILLED, 20, 500, id="fill"),),
                (Setting(FILLED, constant_rate(200), id="dose"),))  # fmt: skip


def look(situation=E14, now="2026-01-20T09:00"):
    answer, problems = forecast(situation, at(now), UTC)
    if answer is not None:
        assert answer.problems == problems
    return answer


@pytest.mark.parametrize(
    ("now", "state", "days"),
    [
        # Margin 7 days: refill by 02-19; lead 14 days: call by 02-05 (derived).
        ("2026-01-12T09:00", "calm", 45),
        ("2026-02-04T23:59", "calm", 21),
        ("2026-02-05T00:00", "call", 21),
        ("2026-02-18T23:59", "call", 7),
        ("2026-02-19T00:00", "due", 7),
        ("2026-02-20T00:00", "overdue", 6),
        ("2026-02-26T08:59", "overdue", 0),
        ("2026-02-26T09:00", "alarm", 0),
        ("2026-02-26T09:01", "alarm", -1),
        ("2026-03-03T08:59", "alarm", -5),
        ("2026-03-03T09:00", "empty", -5),
        ("2026-04-01T09:00", "empty", -34),
    ],
)
def test_the_state_changes_on_its_day_and_at_its_instant(now, state, days):
    answer = look(now=now)
    assert (answer.state, answer.days_to_alarm) == (state, days)
    assert answer.refill_by == day("2026-02-19")
    assert answer.call_by == day("2026-02-05")
    assert answer.days_to_refill_by == (day("2026-02-19") - at(now).date()).days


def test_the_volume_is_exact_at_the_alarm_and_at_empty():
    assert look(now="2026-02-26T09:00").volume_now_ml == pytest.approx(2.0, abs=1e-9)
    assert look(now="2026-03-03T09:00").volume_now_ml == pytest.approx(0.0, abs=1e-9)
    assert look(now="2026-06-01T09:00").volume_now_ml == 0.0


def test_the_alarm_state_holds_in_the_hour_that_comes_twice():
    # Rome, 2026-10-25: 02:00-03:00 comes twice. The alarm is at 02:30 the first time (00:30 UTC);
    # at 02:10 the second time (01:10 UTC) it has passed.
    rome = ZoneInfo("Europe/Rome")
    filled = at("2026-10-25T00:30") - timedelta(days=45)
    situation = replace(
        E14, fills=(Fill(filled, 20, 500),), settings=(Setting(filled, constant_rate(200)),)
    )
    states = []
    for now in ("2026-10-25T00:29", "2026-10-25T00:30", "2026-10-25T01:10"):
        answer, _ = forecast(situation, at(now), rome)
        states.append(answer.state)
    assert states == ["overdue", "alarm", "alarm"]


def test_a_fill_at_or_below_the_alarm_volume_is_in_alarm_at_once():
    answer = look(replace(E14, fills=(Fill(FILLED, 2.0, 500),)), "2026-01-12T09:00")
    assert answer.state == "alarm"
    assert answer.alarm_at == FILLED
    assert answer.refill_by == FILLED.date()


def test_a_stopped_pump_keeps_its_drug_age_limit():
    answer = look(replace(E14, settings=(Setting(FILLED, stopped()),)))
    assert (answer.state, answer.alarm_at, answer.empty_at) == ("stopped", None, None)
    # 180 days after 2026-01-12 is 2026-07-11 (E15, derived).
    assert answer.refill_by == day("2026-07-11")
    assert answer.refill_by_because == "drug-age limit"


def habits(margin=7, lead=14, **clinic):
    return Habits(margin, lead, ClinicDays(**clinic))


@pytest.mark.parametrize(
    ("change", "refill_by", "because"),
    [
        ({}, "2026-02-19", "alarm date"),
        # Without a margin the earliest empty date counts: 20 mL at 0.4 x 1.145 mL/day are 43.67
        # days, 02-25 at 01:03; the day before it (derived).
        ({"habits": habits(margin=0)}, "2026-02-24", "earliest empty date"),
        ({"habits": habits(margin=10)}, "2026-02-16", "alarm date"),
        # A printed date that is earlier counts with the same margin, a later one not.
        (
            {"printouts": (Printout(FILLED, day("2026-02-20")),)},
            "2026-02-13",
            "clinic's alarm date",
        ),
        ({"printouts": (Printout(FILLED, day("2026-03-20")),)}, "2026-02-19", "alarm date"),
        ({"printouts": (Printout(FILLED, day("2026-02-26")),)}, "2026-02-19", "alarm date"),
        # 30 days after the fill; the drug does not wait for a margin.
        ({"pump": replace(PUMP, drug_age_limit_days=30)}, "2026-02-11", "drug-age limit"),
        # Felt at 8 mL: 12 mL at 0.4 mL/day are 30 days, less the margin (derived). At 2.7 mL,
        # the mean of Rigoli 2004 (abstract): 43.25 days, 02-24, less the margin.
        ({"pump": replace(PUMP, felt_low_ml=8.0)}, "2026-02-04", "felt volume"),
        ({"pump": replace(PUMP, felt_low_ml=2.7)}, "2026-02-17", "felt volume"),
        ({"pump": replace(PUMP, felt_low_ml=1.5)}, "2026-02-19", "alarm date"),
        # Never before the refill itself, whatever the margin.
        ({"habits": habits(margin=60)}, "2026-01-12", "alarm date"),
    ],
)
def test_the_earliest_reason_sets_the_refill_by_date(change, refill_by, because):
    answer = look(replace(E14, **change))
    assert (answer.refill_by, answer.refill_by_because) == (day(refill_by), because)


@pytest.mark.parametrize(
    ("clinic", "refill_by", "call_by"),
    [
        # 2026-02-19 is a Thursday.
        ({"open_weekdays": WORKDAYS}, "2026-02-19", "2026-02-05"),
        ({"open_weekdays": {0}}, "2026-02-16", "2026-02-02"),
        ({"open_weekdays": {4}}, "2026-02-13", "2026-01-30"),
        ({"open_weekdays": WORKDAYS, "closed_on": {day("2026-02-19")}}, "2026-02-18", "2026-02-04"),
        ({"closed_on": {day("2026-02-05")}}, "2026-02-19", "2026-02-04"),
        # Refills on first Tuesdays, 2026-02-03; the telephone is answered on any workday.
        ({"rule": "FREQ=MONTHLY;BYDAY=1TU"}, "2026-02-03", "2026-01-20"),
        (
            {"rule": "FREQ=MONTHLY;BYDAY=1TU", "closed_on": {day("2026-01-20")}},
            "2026-02-03",
            "2026-01-19",
        ),
        (
            {
                "open_weekdays": {1},
                "rule": "FREQ=MONTHLY;BYDAY=1TU",
                "closed_on": {day("2026-01-20"), day("2026-01-19")},
            },
            "2026-02-03",
            "2026-01-16",
        ),
        # A clinic that never opens must not move the date.
        ({"open_weekdays": set()}, "2026-02-19", "2026-02-05"),
    ],
)
def test_dates_move_back_to_a_day_the_clinic_is_open(clinic, refill_by, call_by):
    answer = look(replace(E14, habits=habits(**clinic)))
    assert (answer.refill_by, answer.call_by) == (day(refill_by), day(call_by))


def test_the_lead_is_counted_from_the_refill_by_date():
    assert look(replace(E14, habits=habits(lead=0))).call_by == day("2026-02-19")
    assert look(replace(E14, habits=habits(lead=30))).call_by == day("2026-01-20")


def codes(situation, now="2026-01-20T09:00"):
    answer, problems = forecast(situation, at(now), UTC)
    assert all(is_one_sentence(problem.sentence) for problem in problems)
    return answer, [(problem.code, problem.ids) for problem in problems]


def test_a_missing_refill_or_setting_is_told_and_gives_no_forecast():
    assert codes(replace(E14, fills=())) == (None, [("no-refill", ())])
    assert codes(replace(E14, settings=())) == (None, [("no-setting", ())])
    # A refill that is only planned is none yet.
    assert codes(E14, "2026-01-12T08:59") == (None, [("no-refill", ())])
    answer, problems = codes(E14, "2026-01-12T09:00")
    assert answer is not None
    assert problems == []


def test_an_overfull_reservoir_is_told_and_the_forecast_is_still_given():
    answer, problems = codes(replace(E14, pump=Pump(2.0, reservoir_ml=18.0)))
    assert problems == [("overfull", ("fill",))]
    assert answer.alarm_at == at("2026-02-26T09:00")
    assert codes(replace(E14, pump=Pump(2.0, reservoir_ml=20.0)))[1] == []


CHANGED = (Fill(FILLED, 20, 500, id="one"), Fill(at("2026-02-15T09:00"), 20, 2000, id="two"))


def test_a_strength_change_without_line_volume_cannot_be_computed():
    answer, problems = codes(replace(E14, fills=CHANGED), "2026-02-16T09:00")
    assert problems == [("line-volume-unknown", ("two",))]
    now_s = to_seconds(answer.now)
    assert tip_mcg_per_h(answer.timeline, now_s) is None
    assert tip_mcg(answer.timeline, now_s - 3_600, now_s) is None
    # Before the change one strength was all there was.
    before_s = to_seconds(FILLED) + 3_600
    assert tip_mcg_per_h(answer.timeline, before_s) == pytest.approx(200 / 24)
    told = replace(E14, fills=CHANGED, pump=Pump(2.0, line_volume_ml=0.35))
    known, none = codes(told, "2026-02-16T09:00")
    assert none == []
    assert known is not None


def test_a_setting_later_than_the_fill_is_counted_from_the_fill_and_told():
    late = (Setting(at("2026-01-14T09:00"), constant_rate(200), id="late"),)
    answer, problems = codes(replace(E14, settings=late))
    assert problems == [("setting-after-fill", ("late",))]
    assert answer.alarm_at == at("2026-02-26T09:00")


def test_a_planned_setting_moves_the_alarm_but_not_todays_dose():
    # Like E19: 10 d at 0.4 mL/day used 4 mL; the other 14 at 0.8 mL/day (400 mcg/day) take
    # 17.5 d: 27.5 d, derived.
    planned = (Setting(at("2026-01-22T09:00"), constant_rate(400)),)
    answer = look(replace(E14, planned=planned))
    assert answer.dose_mcg_per_day == pytest.approx(200)
    assert answer.flow_ml_per_day == pytest.approx(0.4)
    assert answer.alarm_at == at("2026-02-08T21:00")


def test_a_setting_holds_from_its_own_instant_on():
    changed = (*E14.settings, Setting(at("2026-01-22T09:00"), constant_rate(400)))
    doses = [
        look(replace(E14, settings=changed), now).dose_mcg_per_day
        for now in ("2026-01-22T08:59", "2026-01-22T09:00")
    ]
    assert doses == pytest.approx([200, 400])


def test_entries_may_come_in_any_order():
    fills = (Fill(at("2026-02-20T09:00"), 20, 500), *E14.fills)
    settings = (Setting(at("2026-02-20T09:00"), constant_rate(400)), *E14.settings)
    one = look(replace(E14, fills=fills, settings=settings), "2026-02-21T09:00")
    other = look(replace(E14, fills=fills[::-1], settings=settings[::-1]), "2026-02-21T09:00")
    assert one.alarm_at == other.alarm_at == at("2026-02-20T09:00") + timedelta(days=22.5)
    assert one.dose_mcg_per_day == other.dose_mcg_per_day == pytest.approx(400)


def test_a_later_refill_is_not_foreseen():
    fills = (*E14.fills, Fill(at("2026-02-15T09:00"), 40, 500))
    assert look(replace(E14, fills=fills)).alarm_at == at("2026-02-26T09:00")


def test_the_window_counts_tolerance_reading_error_and_requests():
    # 200 + up to 4 x 25 mcg/day at 500: 0.6 or 0.4 mL/day; 20 mL read to +-0.5 mL; +-10 %.
    # 18 mL to pump; at the ends of the band pumped - 18 is off by what the pump (1.6 times 10 %),
    # this fill (2 % as a standard deviation) and the reading (0.5 mL afresh, 0.5 shared) are off,
    # combined as independent normal errors; derived, solved by scipy.
    programme = with_boluses(constant_rate(200), (), RequestedBolus(25.0, 4))
    answer = look(
        replace(
            E14,
            pump=Pump(2.0, tolerance_percent=10.0, reading_error_ml=0.5),
            settings=(Setting(FILLED, programme),),
        )
    )

    def days(instant):
        return (to_seconds(instant) - to_seconds(FILLED)) / 86_400

    assert days(answer.alarm_at) == pytest.approx(30, abs=1e-5)

    def off(ml):
        return hypot(1.6 * 0.1 * ml, 1.959964 * 0.02 * ml, 0.5, 0.5)

    early = brentq(lambda ml: ml + off(ml) - 18, 0, 18)
    late = brentq(lambda ml: ml - off(ml) - 18, 18, 40)
    # All requested boluses: 0.6 mL a day; none: 0.4.
    assert days(answer.alarm_earliest) == pytest.approx(early / 0.6, abs=1e-5)
    assert days(answer.alarm_latest) == pytest.approx(late / 0.4, abs=1e-5)


def test_a_reading_error_above_the_alarm_volume_stops_at_empty():
    pump = Pump(1.0, tolerance_percent=0.0, reading_error_ml=3.0)
    answer = look(replace(E14, pump=pump))
    assert answer.alarm_latest == answer.empty_at == at("2026-03-03T09:00")


def test_only_requested_boluses_may_never_empty_the_pump():
    programme = with_boluses(constant_rate(0), (), RequestedBolus(50.0, 4))
    answer = look(replace(E14, settings=(Setting(FILLED, programme),)))
    assert answer.alarm_at == at("2026-02-26T09:00")
    assert answer.alarm_latest is None
    assert answer.state == "calm"


def test_a_dose_too_small_to_matter_gives_no_date():
    # 1 mcg/day at 2000 mcg/mL would take 36,000 days (derived); nothing overflows.
    for dose in (1.0, 1e-9, 1e-300, 5e-324):
        settings = (Setting(FILLED, constant_rate(dose)),)
        answer = look(replace(E14, fills=(Fill(FILLED, 20, 2000),), settings=settings))
        assert answer.alarm_at is None
        assert answer.days_to_alarm is None
        assert answer.refill_by_because == "drug-age limit"


def test_the_largest_readable_flow_ends_at_once_and_does_not_hang():
    # 100,000 mcg/day at 1 mcg/mL is 100,000 mL a day: 18 mL last 15.6 s (derived).
    fills = (Fill(FILLED, 20, 1000), Fill(FILLED + timedelta(seconds=30), 20, 1, True))
    settings = (Setting(FILLED, constant_rate(100_000)),)
    pump = Pump(2.0, line_volume_ml=1.0)
    answer = look(replace(E14, pump=pump, fills=fills, settings=settings), "2026-01-12T12:00")
    assert answer.state == "empty"
    assert len(answer.timeline.segments) < 10


# --- exactly at a pause ------------------------------------------------------------------


def half_day_pump():
    """20 mcg/h from 00:00 to 12:00 and a pause from 12:00, at 1000 mcg/mL: 0.24 mL a day."""
    filled = at("2026-01-12T00:00")
    pattern = day_pattern([[RateStep(0, 20.0), RateStep(720, 0.0)]])
    return filled, build_timeline([Fill(filled, 20, 1000)], [Setting(filled, pattern)])[0]


@pytest.mark.parametrize("days", [1, 3, 10, 50, 64, 70, 75, 76, 83])
def test_a_volume_reached_at_the_start_of_a_pause_is_reached_then_and_not_after_it(days):
    filled, timeline = half_day_pump()
    reached_s = down_to(timeline, 0, 20 - days * 0.24)
    assert (reached_s - to_seconds(filled)) / 86_400 == pytest.approx(days - 0.5, abs=1e-6)


# Powers of two, so that the amount itself is exact in floating point.
@pytest.mark.parametrize("weeks", [1, 2, 8])
def test_whole_weeks_of_drug_are_out_before_the_pause_that_ends_the_week(weeks):
    filled, timeline = half_day_pump()
    curve = timeline.segments[0].curve
    # 2026-01-12 is a Monday; the last piece of the week is a pause from Sunday 12:00.
    assert curve.week_mcg == pytest.approx(7 * 240, rel=1e-12)
    taken_s = curve.time_to_deliver(to_seconds(filled), weeks * curve.week_mcg)
    assert taken_s / 86_400 == pytest.approx(weeks * 7 - 0.5, abs=1e-6)


def test_no_time_to_deliver_is_before_its_start():
    filled, timeline = half_day_pump()
    curve = timeline.segments[0].curve
    start_s = to_seconds(filled) + 5 * 86_400 + 18 * 3_600
    for amount in (1e-14, 1e-12, 1e-9):
        assert curve.time_to_deliver(start_s, amount) >= 0


def test_a_level_reached_before_a_setting_is_not_carried_past_it():
    filled = at("2026-01-12T00:00")
    pattern = day_pattern([[RateStep(0, 20.0), RateStep(720, 0.0)]])
    change = filled + timedelta(days=74, hours=18)
    settings = [Setting(filled, pattern), Setting(change, constant_rate(10))]
    timeline, _ = build_timeline([Fill(filled, 20, 1000)], settings)
    # 75 half days use 18 mL (derived): at 12:00 of day 74, six hours before the change.
    reached_s = down_to(timeline, 0, 2.0)
    assert (reached_s - to_seconds(filled)) / 86_400 == pytest.approx(74.5, abs=1e-6)


def test_a_second_strength_change_before_the_line_has_cleared_keeps_the_order():
    # Line 1 mL. 500, then 1000 after which 0.4 mL are pumped, then 2000: the tip gives 500 for
    # 0.6 mL more, then 1000 for 0.4 mL, then 2000. No bridge, 240 mcg/day (derived).
    one, two, three = at("2026-01-12T00:00"), at("2026-02-01T00:00"), at("2026-02-02T16:00")
    fills = [Fill(one, 20, 500), Fill(two, 20, 1000), Fill(three, 20, 2000)]
    timeline, _ = build_timeline(fills, [Setting(one, constant_rate(240))], 1.0)
    start_s = to_seconds(three)
    # 0.24 mL/day at 1000 makes 0.4 mL in 40 h; then 0.12 mL/day at 2000, 0.005 mL/h.
    tips = {119: 500, 121: 1000, 199: 1000, 201: 2000}
    for hours, tip in tips.items():
        rate = tip_mcg_per_h(timeline, start_s + hours * 3_600)
        assert rate == pytest.approx(0.005 * tip, rel=1e-9)


def test_a_setting_changed_during_a_bridge_keeps_the_dose_right():
    # Bridge 500 -> 2000 with 0.35 mL: at 200 mcg/day 21 h (E23); raised to 400 after 7 h, a third
    # is gone and the other two thirds take half of 14 h: 14 h in all, derived.
    one, two = at("2026-01-12T00:00"), at("2026-02-01T00:00")
    fills = [Fill(one, 20, 500), Fill(two, 20, 2000, True)]
    settings = [
        Setting(one, constant_rate(200)),
        Setting(two + timedelta(hours=7), constant_rate(400)),
    ]
    timeline, _ = build_timeline(fills, settings, 0.35)
    two_s = to_seconds(two)
    for hours, dose in {6.9: 200, 7.1: 400, 13.9: 400, 14.1: 400}.items():
        rate = tip_mcg_per_h(timeline, two_s + hours * 3_600)
        assert rate * 24 == pytest.approx(dose, rel=1e-9)
    divisors = [timeline.segment_at(two_s + h * 3_600).divisor_mcg_per_ml for h in (13.9, 14.1)]
    assert divisors == [500, 2000]


def test_a_dry_reservoir_gives_nothing_to_the_body():
    answer = look(now="2026-03-10T09:00")
    now_s = to_seconds(answer.now)
    assert tip_mcg_per_h(answer.timeline, now_s) == 0
    reached = tip_mcg(answer.timeline, to_seconds(FILLED), now_s)
    # 20 mL at 500 mcg/mL and not a mcg more.
    assert reached == pytest.approx(10_000, rel=1e-9)


def test_before_the_first_fill_nothing_is_known():
    timeline = look().timeline
    before_s = to_seconds(FILLED) - 1
    assert timeline.volume_at(before_s) is None
    assert tip_mcg_per_h(timeline, before_s) is None
    assert timeline.pumped_at(before_s) == 0


def test_a_date_printed_before_the_last_dose_change_no_longer_sets_the_plan():
    changed = FILLED + timedelta(days=10)
    told = replace(
        E14,
        settings=(*E14.settings, Setting(changed, constant_rate(150.0))),
        printouts=(Printout(FILLED, day("2026-02-26")),),
    )
    before, _ = forecast(told, changed - timedelta(hours=1), UTC)
    after, _ = forecast(told, changed + timedelta(hours=1), UTC)
    assert not before.printed_is_old
    assert after.printed_is_old
    # 14 mL left to the alarm at 0.3 mL/day from 01-22 09:00 on: 46 d 16 h, 03-10 (derived).
    assert (after.refill_by, after.refill_by_because) == (day("2026-03-03"), "alarm date")


@pytest.mark.parametrize(
    ("given", "stands"),
    [
        # The same dose as it is printed by the hour: 8.33 mcg/h for 200 mcg/day.
        ([(10, 8.33 * 24)], True),
        # More, then a little less: still more than ran when the date was printed.
        ([(10, 220.0), (12, 219.0)], True),
        # Given in the minute of the printing itself, some seconds later.
        ([(40 / 86_400, 200.0)], True),
        ([(10, 190.0)], False),
        ([(10, 220.0), (12, 190.0)], False),
    ],
)
def test_a_printed_date_stands_while_no_less_is_set_than_when_it_was_printed(given, stands):
    settings = [Setting(FILLED, constant_rate(200.0))]
    settings += [Setting(FILLED + timedelta(days=n), constant_rate(dose)) for n, dose in given]
    told = replace(E14, settings=tuple(settings), printouts=(Printout(FILLED, day("2026-02-05")),))
    answer, _ = forecast(told, FILLED + timedelta(days=15), UTC)
    assert (answer.printed_in_force is not None) is stands


def test_once_the_window_has_begun_the_state_says_so():
    # Earliest alarm after 39.30 days (E14, derived), with a margin so small that nothing is due.
    told = replace(E14, habits=habits(margin=0, lead=0))
    early, _ = forecast(told, FILLED + timedelta(days=39), UTC)
    within, _ = forecast(told, FILLED + timedelta(days=40), UTC)
    assert early.state == "call"  # the call comes before the window, whatever the margin
    assert within.state == "window"


@pytest.mark.parametrize("strengths", [(500.0, 2000.0), (2000.0, 500.0)])
def test_an_unknown_bridge_counts_as_the_one_that_empties_the_pump_sooner(strengths):
    old, new = strengths
    changed = FILLED + timedelta(days=20)

    def alarm(bridged):
        told = Situation(
            Pump(2.0, line_volume_ml=0.35),
            (Fill(FILLED, 20, old), Fill(changed, 20, new, bridged)),
            (Setting(FILLED, constant_rate(200.0)),),
        )
        return forecast(told, changed, UTC)

    unknown, problems = alarm(None)
    assert unknown.alarm_at == min(alarm(True)[0].alarm_at, alarm(False)[0].alarm_at)
    assert [problem.code for problem in problems] == ["bridge-unknown"]


def test_the_day_to_call_is_never_before_the_refill():
    # 3 mL above the alarm volume at 0.4 mL/day: no lead of 21 days fits in.
    short = replace(E14, fills=(Fill(FILLED, 5, 500),), habits=habits(lead=21))
    answer = look(short, "2026-01-12T10:00")
    assert answer.call_by == day("2026-01-12")
    assert answer.state in ("call", "due")


def test_one_refill_noted_twice_for_one_minute_still_gives_an_forecast_and_is_told():
    again = at("2026-02-20T09:00")
    twins = (Fill(again, 19, 500, id="one", withdrawn_ml=4.4), Fill(again, 20, 500, id="two"))
    answer, problems = forecast(replace(E14, fills=(*E14.fills, *twins)), again, UTC)
    assert answer.volume_now_ml == 19
    assert [(p.code, p.ids) for p in problems] == [("twin-refills", ("one", "two"))]


def test_the_same_setting_noted_again_does_not_make_the_printed_date_old():
    again = Setting(FILLED + timedelta(days=2), E14.settings[0].programme)
    noted = replace(
        E14,
        settings=(*E14.settings, again),
        printouts=(Printout(FILLED, day("2026-02-16")),),
    )
    answer = look(noted)
    assert not answer.printed_is_old
    assert answer.refill_by == day("2026-02-09")


def test_requests_that_were_not_made_teach_nothing_about_the_pace():
    asked = with_boluses(constant_rate(200), (), RequestedBolus(25.0, 4))
    instants = [at("2025-06-01T09:00") + timedelta(days=55 * n) for n in range(4)]
    # Half of the boluses taken: 0.25 mL/day.
    fills = [Fill(instants[0], 20, 1000)]
    fills += [Fill(when, 20, 1000, withdrawn_ml=20 - 55 * 0.25) for when in instants[1:]]
    told = Situation(Pump(2.0), tuple(fills), (Setting(instants[0], asked),))
    now = instants[-1] + timedelta(hours=1)
    learnt, _ = forecast(told, now, UTC)
    alone, _ = forecast(replace(told, fills=(fills[-1],)), now, UTC)
    assert learnt.ratio.counted == 0
    assert learnt.alarm_earliest == alone.alarm_earliest
    # The clinic's own expected volume knows how many were taken.
    read = tuple(replace(fill, expected_ml=fill.withdrawn_ml) for fill in fills)
    assert forecast(replace(told, fills=read), now, UTC)[0].ratio.counted == 3


def test_a_fast_pump_reaches_the_felt_volume_sooner():
    fills = [Fill(FILLED + timedelta(days=40 * n), 20, 500) for n in range(4)]
    # 10 % fast: 17.6 mL in 40 days instead of 16.
    fast = tuple(replace(f, withdrawn_ml=20 - 17.6) if n else f for n, f in enumerate(fills))
    exact = tuple(replace(f, withdrawn_ml=4.0) if n else f for n, f in enumerate(fills))
    told = replace(E14, pump=Pump(2.0, felt_low_ml=6.0))
    now = fills[-1].at.isoformat()[:16]
    quick, even = (look(replace(told, fills=f), now) for f in (fast, exact))
    sooner = (even.felt_low_at - quick.felt_low_at) / timedelta(days=1)
    # 14 mL at 0.4 mL/day: 35 days, less what the learnt ratio takes off.
    assert sooner == pytest.approx(35 - 35 / quick.ratio.mean, abs=0.01)
    assert quick.ratio.mean > 1.05


def test_the_call_comes_before_the_window_of_a_long_fill():
    # 40 mL at 0.23 mL/day: the window is weeks wide, the margin only one.
    long = replace(
        E14,
        fills=(Fill(FILLED, 40, 1000),),
        settings=(Setting(FILLED, constant_rate(230)),),
        habits=habits(margin=7, lead=0),
    )
    answer = look(long)
    assert answer.call_by <= answer.alarm_earliest.date() < answer.refill_by
