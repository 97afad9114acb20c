"""The situation put in order once: what is a change, what runs, what another pump taught."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from math import hypot
from zoneinfo import ZoneInfo

import pytest
from core_helpers import at, day, is_one_sentence, tip_mcg_per_h
from numpy import interp, linspace
from scipy.stats import norm

from pocketpump.core.diary.hours import rate_by_hour
from pocketpump.core.diary.response import changes_of
from pocketpump.core.pump.delivery_ratio import Z95, Residual, learn_ratio, residuals_of
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.forecast_explanation import explain_alarm
from pocketpump.core.pump.programme import RateStep, constant_rate, day_pattern
from pocketpump.core.pump.reminders import judged_from, reminders
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.situation_problems import not_in_force
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.refill_check.visit_check import Visit, check_visit
from pocketpump.core.safety.card import CareFacts, build_card
from pocketpump.core.units.instants import to_seconds

FILLED = at("2026-01-12T09:00")
FILL = Fill(FILLED, 20, 500, id="fill")
E14 = Situation(Pump(2.0), (FILL,), (Setting(FILLED, constant_rate(200), "dose"),))
NOW = at("2026-01-20T09:00")
PATTERN = day_pattern([[RateStep(0, 15.0), RateStep(360, 10.0)]])
# E14: 18 mL at 0.4 mL/day, 45 days: 26 Feb 2026.
PRINTED = day("2026-02-20")


def look(situation, now=NOW, zone=UTC):
    answer, _ = forecast(situation, now, zone)
    assert answer is not None
    return answer


def codes(situation, now=NOW):
    return {problem.code for problem in forecast(situation, now, UTC)[1]}


@pytest.mark.parametrize("later", [timedelta(minutes=30), timedelta(days=3)])
def test_the_first_setting_noted_after_the_refill_leaves_the_printed_date_in_force(later):
    late = replace(
        E14,
        settings=(Setting(FILLED + later, constant_rate(200)),),
        printouts=(Printout(FILLED, PRINTED),),
    )
    answer = look(late)
    assert not answer.printed_is_old
    assert answer.printed_in_force == PRINTED
    assert (answer.refill_by, answer.refill_by_because) == (
        day("2026-02-13"),
        "clinic's alarm date",
    )
    assert judged_from(answer, 5, UTC) is None


@pytest.mark.parametrize("programme", [constant_rate(200), PATTERN])
def test_the_same_programme_under_another_clock_is_no_change_for_any_face(programme):
    again = Setting(FILLED + timedelta(days=3), replace(programme, clock_offset_minutes=120))
    told = replace(
        E14,
        settings=(Setting(FILLED, programme), again),
        printouts=(Printout(FILLED, PRINTED),),
    )
    answer = look(told)
    assert answer.printed_in_force == PRINTED
    assert told.changes() == ()
    assert changes_of(told.settings, NOW) == told.settings[:1]
    assert "judge-from" not in {one.code for one in reminders(answer)}
    assert build_card(CareFacts(), answer, NOW).value("dose_changed") == ""


def test_steps_that_change_no_rate_are_no_change_and_a_lower_rate_is():
    split = day_pattern([[RateStep(0, 200 / 24), RateStep(720, 200 / 24)]])
    settings = (*E14.settings, Setting(FILLED + timedelta(days=1), split))
    assert replace(E14, settings=settings).changes() == ()
    lower = Setting(FILLED + timedelta(days=2), constant_rate(150))
    (change,) = replace(E14, settings=(lower, *settings[::-1])).changes()
    assert (change.before, change.after) == (settings[1], lower)
    assert not change.is_raise


def test_of_several_in_one_minute_the_smaller_fill_counts_for_every_question():
    first, last = Fill(FILLED, 20, 500, id="first"), Fill(FILLED + timedelta(seconds=40), 18, 500)
    told = replace(E14, fills=(last, first))
    assert set(told.noted_twice) == {first, last}
    assert look(told).fill == last
    assert "twin-refills" in codes(told)
    # The check of either dates as the forecast does.
    checks = {check_visit(Visit(one), told, UTC).computed_alarm_on for one in (first, last)}
    assert checks == {look(told).alarm_at.date()}


def test_two_settings_of_one_minute_are_told_only_when_they_differ():
    same = replace(E14, settings=(*E14.settings, Setting(FILLED, constant_rate(200), "b")))
    assert codes(same) == set()
    other = replace(E14, settings=(*E14.settings, Setting(FILLED, constant_rate(300), "b")))
    assert codes(other) == {"setting-twice"}
    assert look(other).dose_mcg_per_day == pytest.approx(300)


def test_what_is_dated_ahead_is_told_and_changes_no_date():
    ahead = replace(
        E14,
        fills=(FILL, Fill(at("2026-02-01T09:00"), 40, 2000, id="next")),
        settings=(*E14.settings, Setting(at("2026-01-25T09:00"), constant_rate(50), "slow")),
    )
    before, answer = look(E14), look(ahead)
    for name in ("alarm_at", "alarm_earliest", "empty_at", "refill_by", "fill", "programme"):
        assert getattr(answer, name) == getattr(before, name)
    told = [problem for problem in answer.problems if problem.code.endswith("-ahead")]
    assert {problem.ids for problem in told} == {("next",), ("slow",)}
    assert all(is_one_sentence(problem.sentence) for problem in told)
    # Once its instant has come it counts.
    assert look(ahead, at("2026-01-26T09:00")).dose_mcg_per_day == pytest.approx(50)


def test_a_setting_only_in_the_future_runs_nothing_now_and_says_so_in_one_sentence():
    ahead = replace(E14, settings=(Setting(at("2026-03-01T09:00"), constant_rate(200), "dose"),))
    answer, (problem,) = forecast(ahead, NOW, UTC)
    assert answer is None
    assert (problem.code, problem.ids) == ("no-setting", ("dose",))
    assert "Sun 1 Mar 2026" in problem.sentence
    assert ahead.until(NOW).programme_at(NOW) is None


# What a pump has taught.

DRY = (
    Fill(at("2026-01-01T09:00"), 20, 500, id="a"),
    # 45 days at 0.4 mL/day: 18 mL, so 2 mL expected; found with none.
    Fill(at("2026-02-15T09:00"), 20, 500, id="b", withdrawn_ml=0.0),
)
DRY_SITUATION = Situation(Pump(2.0), DRY, (Setting(DRY[0].at, constant_rate(200)),))
AFTER_DRY = at("2026-02-20T09:00")


def exact_ends(mean, sd, least, noise):
    """Return mean and 95 % of a normal times the likelihood of "at least", by adding up."""
    at = linspace(mean - 12 * sd, mean + 12 * sd, 400_001)
    weight = norm.pdf(at, mean, sd) * norm.cdf((at - least) / noise)
    summed = weight.cumsum() / weight.sum()
    return (at * weight).sum() / weight.sum(), *interp((0.025, 0.975), summed, at)


@pytest.mark.parametrize("expected_ml", [0.0, -4.0, 1.0, 2.0])
def test_a_dry_reservoir_moves_the_mean_as_the_censored_likelihood_says(expected_ml):
    ratio = learn_ratio([Residual(20, expected_ml, 0.0, "dry")], 14.5, 0.5)
    intended = 20 - expected_ml
    noise = hypot(2 * 0.5 / Z95 / intended, 0.029)
    mean, low, high = exact_ends(1.0, 1.6 * 0.145 / Z95, 20 / intended, noise)
    assert (ratio.mean, ratio.low, ratio.high) == pytest.approx((mean, low, high), abs=1e-5)
    assert (ratio.counted, ratio.dry, ratio.far_less) == (0, 1, ())


def test_a_dry_reservoir_is_no_ratio_of_one_and_makes_no_date_later():
    told = look(DRY_SITUATION, AFTER_DRY)
    without = replace(DRY_SITUATION, fills=(DRY[0], replace(DRY[1], withdrawn_ml=None)))
    unknown = look(without, AFTER_DRY)
    assert told.ratio.mean > 20 / 18 - 0.02
    for name in ("alarm_earliest", "alarm_latest", "empty_earliest"):
        assert getattr(told, name) < getattr(unknown, name)
    assert told.paced_alarm_at < told.alarm_at
    lines = explain_alarm(told).lines
    assert [line for line in lines if "found empty" in line]
    assert not [line for line in explain_alarm(unknown).lines if "found empty" in line]
    assert told.refill_by <= unknown.refill_by


@pytest.mark.parametrize("lessons", [0, 1, 6])
@pytest.mark.parametrize("dry_ml", [0.0, 0.4])
@pytest.mark.parametrize("asked_ml", [12.0, 18.0, 20.0, 25.0, 80.0])
def test_a_dry_lesson_never_lowers_the_mean_nor_widens_the_slow_side(lessons, dry_ml, asked_ml):
    known = [Residual(20, 4.0, 4.5, f"r{i}") for i in range(lessons)]
    before = learn_ratio(known, 14.5, 0.5)
    after = learn_ratio([Residual(20, 20 - asked_ml, dry_ml, "dry"), *known], 14.5, 0.5)
    # Integrated, to some 1e-6.
    assert after.mean >= before.mean - 1e-6
    assert after.low >= before.low - 1e-6
    assert after.high >= before.high - 1e-6
    assert after.counted == before.counted == lessons


def test_asked_for_more_than_there_was_a_dry_reservoir_says_next_to_nothing():
    # 90 days at 0.4 mL/day ask 36 mL of 20: dry on time.
    late = replace(DRY[1], at=at("2026-04-01T09:00"))
    ratio = look(replace(DRY_SITUATION, fills=(DRY[0], late)), at("2026-04-02T09:00")).ratio
    assert ratio.mean == pytest.approx(1.0, abs=1e-3)
    assert ratio.dry == 1


def test_a_replaced_pump_learns_anew():
    fills = tuple(
        Fill(at("2025-06-01T09:00") + timedelta(days=40 * i), 20, 500, id=str(i),
             expected_ml=4.0, withdrawn_ml=2.5 if i else None)
        for i in range(5)
    )  # fmt: skip
    old = Situation(Pump(2.0), fills, (Setting(fills[0].at, constant_rate(200)),))
    now = fills[4].at + timedelta(days=1)
    assert look(old, now).ratio.counted == 4
    # The pump that is replaced on the day of the fourth refill gives back its own drug there.
    new = replace(old, pumps_from=(fills[3].at.replace(hour=0),))
    answer = look(new, now)
    assert answer.ratio.counted == 1
    assert [one.id for one in residuals_of(answer.timeline, new.pump_since)] == ["4"]
    only = replace(old, pumps_from=(fills[4].at.replace(hour=0),))
    assert look(only, now).ratio == learn_ratio((), 14.5, 0.0)
    # Before the replacement nothing is forgotten.
    assert look(only, fills[4].at - timedelta(days=1)).ratio.counted == 3


def test_a_replaced_pump_without_a_refill_since_is_told():
    replaced = replace(E14, pumps_from=(at("2026-01-15T00:00"),))
    (problem,) = [one for one in forecast(replaced, NOW, UTC)[1] if one.code == "new-pump-unfilled"]
    assert is_one_sentence(problem.sentence)
    assert codes(replaced, at("2026-01-14T09:00")) == set()


# Old drug in the line.


def strength_changed(line_ml, bridged, *later):
    changed = Fill(at("2026-02-01T09:00"), 20, 1000, bridged=bridged, id="two")
    return replace(E14, fills=(FILL, changed, *later), pump=Pump(2.0, line_volume_ml=line_ml))


AFTER = at("2026-02-06T10:00")
"""0.2 mL/day, or 0.4 with a bridge: at the latest after 5 days 1 mL is pumped through the line."""


@pytest.mark.parametrize(
    ("line_ml", "bridged", "first"),
    [
        (None, None, {"bridge-unknown", "line-volume-unknown"}),
        (None, True, {"line-volume-unknown"}),
        (0.35, None, {"bridge-unknown"}),
    ],
)
def test_what_is_not_known_of_a_strength_change_is_told_as_long_as_the_date_depends_on_it(
    line_ml, bridged, first
):
    told = strength_changed(line_ml, bridged)

    # Pumped through or not, this fill's date would be another one if it were known.
    known = strength_changed(0.9, True) if line_ml is None else strength_changed(line_ml, False)
    assert look(known, AFTER).alarm_at != look(told, AFTER).alarm_at
    for instant in ("2026-02-01T12:00", "2026-02-06T10:00", "2026-03-10T09:00"):
        assert codes(told, at(instant)) == first
    # The next refill starts with a volume that is known, and a line that is pumped through.
    refilled = strength_changed(line_ml, bridged, Fill(at("2026-03-10T09:00"), 20, 1000, id="3"))
    assert codes(refilled, at("2026-03-10T09:00")) == set()
    soon = strength_changed(line_ml, bridged, Fill(at("2026-02-01T22:30"), 20, 1000, id="3"))
    assert codes(soon, at("2026-02-01T22:30")) == first
    assert codes(soon, at("2026-03-10T09:00")) == first


def test_without_a_bridge_an_unknown_line_matters_until_it_is_pumped_through():
    told = strength_changed(None, False)
    assert look(told, AFTER).alarm_at == look(strength_changed(0.9, False), AFTER).alarm_at
    for instant, unknown in (("2026-02-01T12:00", True), ("2026-02-06T08:00", True),
                             ("2026-02-06T10:00", False)):  # fmt: skip
        now = at(instant)
        assert codes(told, now) == ({"line-volume-unknown"} if unknown else set())
        # And so does what it hides: how much reaches the body.
        rate = tip_mcg_per_h(look(told, now).timeline, to_seconds(now))
        assert (rate is None) == unknown
    assert rate == pytest.approx(200 / 24)


@pytest.mark.parametrize(("old", "new"), [(500.0, 1000.0), (1000.0, 500.0)])
@pytest.mark.parametrize("bridged", [None, True, False])
def test_what_is_said_of_a_strength_change_is_so(old, new, bridged):
    fills = (replace(FILL, strength_mcg_per_ml=old),
             Fill(at("2026-02-01T09:00"), 20, new, bridged=bridged, id="two"))  # fmt: skip

    def asked(line_ml, bridge=bridged):
        pump = Pump(2.0, line_volume_ml=line_ml)
        changed = replace(fills[1], bridged=bridge)
        return forecast(replace(E14, fills=(fills[0], changed), pump=pump), fills[1].at, UTC)

    answer, problems = asked(None)
    said = {one.code: one.sentence for one in problems}
    sooner = asked(0.9, True)[0].alarm_at < answer.alarm_at and bridged is not False
    assert ("earlier than told" in said["line-volume-unknown"]) == sooner
    assert "earlier date is counted" not in said.get("bridge-unknown", "")
    if bridged is None:
        assert "earlier date is counted" in asked(0.9)[1][0].sentence
        dates = [asked(0.9, bridge)[0].alarm_at for bridge in (True, False)]
        assert asked(0.9)[0].alarm_at == min(dates)


@pytest.mark.parametrize(("old", "new"), [(500.0, 2000.0), (2000.0, 500.0)])
@pytest.mark.parametrize("bridged", [None, True, False])
def test_the_window_holds_the_alarm_of_every_line_there_may_be(old, new, bridged):
    fills = (replace(FILL, strength_mcg_per_ml=old),
             Fill(at("2026-02-01T09:00"), 20, new, bridged=bridged, id="two"))  # fmt: skip
    now = at("2026-02-20T09:00")

    def answer(line_ml):
        return look(replace(E14, fills=fills, pump=Pump(2.0, 0, 0, line_volume_ml=line_ml)), now)

    unknown, lines = answer(None), [answer(line_ml) for line_ml in (0.1, 0.5, 1.0)]
    assert unknown.alarm_earliest <= min(one.alarm_at for one in lines)
    assert unknown.empty_earliest <= min(one.empty_at for one in lines)
    assert unknown.refill_by < min(one.empty_at for one in lines).date()


# The same date from the check and from the forecast.


def test_the_check_counts_everything_from_before_the_visit():
    # Two changes of strength in a row: the oldest drug is in the line at the second one still.
    fills = (
        Fill(at("2026-01-01T09:00"), 20, 2000),
        Fill(at("2026-01-02T09:00"), 20, 500, bridged=True),
        Fill(at("2026-01-03T09:00"), 20, 1000, bridged=True, id="last"),
    )
    told = Situation(Pump(2.0, line_volume_ml=0.9), fills,
                     (Setting(fills[0].at, constant_rate(100)),))  # fmt: skip
    computed = check_visit(Visit(fills[2]), told, UTC).computed_alarm_on
    assert computed == look(told, fills[2].at).alarm_at.date()


# Zones whose clocks jump at midnight.


@pytest.mark.parametrize(
    ("zone", "on"),
    [
        ("America/Santiago", "2025-09-07"),
        ("Asia/Beirut", "2026-03-29"),
        ("Africa/Cairo", "2026-04-24"),
    ],
)
def test_the_hours_of_a_day_without_midnight_are_those_of_its_own_clock(zone, on):
    there = ZoneInfo(zone)
    offset = datetime.combine(day(on), datetime.min.time(), there).replace(hour=12).utcoffset()
    # By the clock there after the jump: 20 mcg/h from 06:00 to 07:00, else 10.
    programme = day_pattern(
        [[RateStep(0, 10.0), RateStep(360, 20.0), RateStep(420, 10.0)]],
        int(offset.total_seconds() // 60),
    )
    rates = rate_by_hour(programme, day(on), there)
    assert len(rates) == 24
    assert [hour for hour, rate in enumerate(rates) if rate > 15] == [6]


# What was noted and is not what runs.


def test_a_setting_that_does_not_run_now_is_told_with_the_one_that_does():
    noted = replace(
        E14,
        settings=(
            Setting(at("2026-01-10T09:00"), constant_rate(300), "before the refill"),
            Setting(FILLED, constant_rate(200), "dose"),
            Setting(at("2026-01-13T14:30"), constant_rate(200), "the same"),
            Setting(at("2026-01-15T09:00"), constant_rate(220), "older"),
            Setting(at("2026-01-18T09:00"), constant_rate(200), "running"),
            Setting(at("2026-02-01T09:00"), constant_rate(250), "ahead"),
        ),
    ).until(NOW)
    told = {one.id: not_in_force(noted, one.id, NOW) for one in noted.settings}
    assert told.pop("running") == ""
    # What was noted again is what runs, whenever it began.
    assert told.pop("dose") == told.pop("the same") == ""
    assert set(told) == {"before the refill", "older"}
    for sentence in told.values():
        assert "Sun 18 Jan 2026, 09:00" in sentence
        assert is_one_sentence(sentence)
    assert not_in_force(noted, "nobody's", NOW) == ""


def test_a_setting_before_the_refill_runs_on_while_no_newer_one_is_noted():
    early = replace(E14, settings=(Setting(at("2026-01-10T09:00"), constant_rate(300), "early"),))
    assert look(early).dose_mcg_per_day == 300
    assert not_in_force(early, "early", NOW) == ""
