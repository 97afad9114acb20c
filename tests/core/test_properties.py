"""What always holds (trade_facts section 8, "Properties that always hold"), over random regimens.

Hypothesis hands in the random numbers, so a failing regimen is shrunk to a small one.
"""

from dataclasses import replace
from datetime import UTC, timedelta
from itertools import pairwise
from math import inf

import pytest
from core_helpers import down_to, random_plan, random_regimen, tip_mcg
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import scaled, stopped
from pocketpump.core.pump.situation import Habits
from pocketpump.core.pump.timeline import Fill, Setting, in_order
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.core.refill_check.residual import check_residual
from pocketpump.core.units.instants import local_date, to_seconds

randoms = st.randoms(use_true_random=False)
quick = settings(max_examples=100, deadline=None)
# From rounding to a whole second at the edge.
SECOND = timedelta(seconds=1)


def line_of(regimen, share=1.0):
    timeline, _ = build_timeline(
        regimen.core_fills(), regimen.core_settings(), regimen.line_ml, share
    )
    return timeline, len(regimen.fills) - 1


def answer_of(regimen, **pump):
    answer, _ = forecast(regimen.situation(**pump), regimen.now(), UTC)
    assert answer is not None
    return answer


@quick
@given(randoms)
def test_the_alarm_is_never_after_empty(rng):
    answer = answer_of(random_regimen(rng))
    if answer.empty_at is not None:
        assert answer.alarm_at is not None
        assert answer.alarm_at <= answer.empty_at


@quick
@given(randoms, st.floats(0, 50), st.floats(0, 3))
def test_earliest_likely_and_latest_are_in_order(rng, tolerance, reading_error):
    answer = answer_of(
        random_regimen(rng), tolerance_percent=tolerance, reading_error_ml=reading_error
    )
    moments = [answer.alarm_earliest, answer.alarm_at, answer.alarm_latest]
    # None is "never", which is later than any date.
    seconds = [inf if moment is None else to_seconds(moment) for moment in moments]
    assert seconds == sorted(seconds)


@quick
@given(randoms, st.floats(0, 39), st.floats(0, 39))
def test_a_larger_alarm_volume_never_gives_a_later_alarm(rng, one, other):
    timeline, last = line_of(random_regimen(rng))
    smaller, larger = sorted([one, other])
    assert down_to(timeline, last, larger) <= down_to(timeline, last, smaller)


@quick
@given(randoms)
def test_doubling_the_strength_at_the_same_dose_doubles_the_volume_left_to_last(rng):
    # The whole week's amount is the same, so the doubled reservoir lasts twice the amount:
    # exactly twice the days at a constant rate, within a week's unevenness otherwise.
    plan = random_plan(rng, stopped_too=False)
    when = random_regimen(rng).fills[0][0]
    programme = plan.programme()
    spans = []
    for strength in (500.0, 1000.0):
        timeline, _ = build_timeline([Fill(when, 20, strength)], [Setting(when, programme)])
        spans.append(down_to(timeline, 0, 2.0) - to_seconds(when))
    if spans[0] == inf:
        assert spans[1] == inf
    elif (
        len({step.rate_mcg_per_hour for d in programme.days for step in d}) == 1 and not plan.timed
    ):
        # The core counts a volume as reached 1e-10 mL early.
        assert spans[1] == pytest.approx(2 * spans[0], rel=1e-9)
    else:
        assert abs(spans[1] - 2 * spans[0]) <= 7 * 86_400


@quick
@given(randoms, st.floats(0.01, 0.99), st.floats(0, 300))
def test_splitting_an_interval_at_an_unchanged_dose_changes_nothing(rng, part, days_later):
    regimen = random_regimen(rng)
    timeline, last = line_of(regimen)
    given_so = regimen.core_settings()
    ordered = in_order(given_so)
    first, end = ordered[0].at, ordered[-1].at + timedelta(days=60)
    split = first + (end - first) * part
    in_force = [setting for setting in ordered if setting.at <= split][-1]
    again, _ = build_timeline(
        regimen.core_fills(),
        # Given first: where the minute holds another setting already, that one counts.
        [Setting(split, in_force.programme), *given_so],
        regimen.line_ml,
    )
    at_s = to_seconds(regimen.fills[-1][0]) + days_later * 86_400
    assert again.volume_at(at_s) == pytest.approx(timeline.volume_at(at_s), abs=1e-9)
    assert again.pumped_at(at_s) == pytest.approx(timeline.pumped_at(at_s), rel=1e-12, abs=1e-9)
    alarm_s = down_to(timeline, last, regimen.alarm_ml)
    if alarm_s < inf:
        # The volume, not the second, is compared: over a pause the second is not defined.
        assert again.volume_at(alarm_s) == pytest.approx(regimen.alarm_ml, abs=1e-8) or (
            timeline.volume_at(alarm_s) < regimen.alarm_ml
        )


@quick
@given(randoms)
def test_a_stopped_pump_gives_no_date_and_no_exception(rng):
    regimen = random_regimen(rng)
    last = max(fill[0] for fill in regimen.fills)
    situation = replace(regimen.situation(), settings=(Setting(last, stopped()),), planned=())
    answer, _ = forecast(situation, regimen.now(), UTC)
    assert (
        answer.alarm_at is answer.empty_at is answer.alarm_earliest is answer.alarm_latest is None
    )
    assert answer.days_to_alarm is None
    assert answer.flow_ml_per_day == 0
    assert answer.state == "stopped"
    assert answer.volume_now_ml == answer.fill.volume_ml


@quick
@given(randoms, st.integers(0, 40))
def test_refill_by_is_after_the_alarm_date_only_never_and_before_the_fill_never(rng, margin):
    regimen = random_regimen(rng)
    situation = replace(regimen.situation(), habits=Habits(margin_days=margin))
    answer, _ = forecast(situation, regimen.now(), UTC)
    filled_on = local_date(answer.fill.at, UTC)
    assert answer.refill_by >= filled_on
    if answer.alarm_at is not None:
        latest = local_date(answer.alarm_at, UTC) - timedelta(days=margin)
        assert answer.refill_by <= max(latest, filled_on)


@quick
@given(randoms, st.floats(0, 200))
def test_what_leaves_the_line_is_what_went_in_and_what_was_there(rng, days):
    # Mass balance by first in, first out: drug out of the tip = line's start contents + drug
    # out of the reservoir - what is in the line at the end. The last is found by going back
    # over the spans of pumping, newest first, until the line's volume is filled (derived).
    regimen = random_regimen(rng)
    line_ml = regimen.line_ml or 0.35
    timeline, _ = build_timeline(regimen.core_fills(), regimen.core_settings(), line_ml)
    start_s = timeline.segments[0].start_s
    end_s = start_s + days * 86_400
    pumped = []
    for segment in timeline.segments:
        end = min(end_s, segment.end_s)
        if end > segment.start_s:
            ml = timeline.pumped_at(end) - timeline.pumped_at(segment.start_s)
            # Up to the reservoir running dry; after it nothing flows and nothing is compared.
            if segment.volume_ml - ml < 0:
                return
            pumped.append((ml, segment.strength_mcg_per_ml))
    went_in = sum(ml * strength for ml, strength in pumped)
    first_strength = timeline.fills[0].strength_mcg_per_ml
    inside, room = 0.0, line_ml
    for ml, strength in reversed([(line_ml, first_strength), *pumped]):
        taken = min(ml, room)
        inside += taken * strength
        room -= taken
    came_out = tip_mcg(timeline, start_s, end_s)
    expected = line_ml * first_strength + went_in - inside
    assert came_out == pytest.approx(expected, rel=1e-9, abs=1e-4)


@quick
@given(randoms)
def test_a_scaled_programme_scales_its_dose_and_nothing_else(rng):
    programme = random_plan(rng).programme()
    double = scaled(programme, 2.0)
    assert double.dose_mcg_per_day == pytest.approx(2 * programme.dose_mcg_per_day, rel=1e-9)
    assert scaled(double, 0.5) == programme


@quick
@given(randoms)
def test_the_daily_dose_is_background_and_boluses_added_up(rng):
    # Straight from the definitions in trade_facts 3, every minute of the pump's week.
    plan = random_plan(rng)
    programme = plan.programme()
    assert programme.dose_mcg_per_day == pytest.approx(sum(plan.table()) / 7, rel=1e-9, abs=1e-9)
    background = replace(plan, timed=(), spread=None, requested=None).table()
    assert programme.background_mcg_per_day == pytest.approx(
        sum(background) / 7, rel=1e-9, abs=1e-9
    )


@given(st.floats(1, 40), st.floats(0, 1), st.floats(0, 1))
def test_the_delivered_ratio_is_one_exactly_when_the_difference_is_zero(filled, left, withdrawn):
    expected, taken = filled * left, filled * withdrawn
    same = check_residual(filled, expected, expected, 14.5)
    assert same.difference_ml == 0
    assert same.delivered_ratio == (1 if expected < filled else None)
    check = check_residual(filled, expected, taken, 14.5)
    if check.delivered_ratio is not None:
        assert (check.delivered_ratio > 1) <= (check.difference_ml < 0)
        assert (check.delivered_ratio < 1) <= (check.difference_ml > 0)


@quick
@given(randoms, st.floats(0, 365))
def test_the_volume_never_rises_between_refills_and_is_never_below_zero(rng, days):
    timeline, last = line_of(random_regimen(rng))
    start_s = to_seconds(timeline.fills[last].at)
    volumes = [timeline.volume_at(start_s + days * 86_400 * k / 5) for k in range(6)]
    assert min(volumes) >= 0
    assert all(later <= earlier + 1e-12 for earlier, later in pairwise(volumes))
