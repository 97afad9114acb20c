"""Response, hours, measures, contacts: what is said and when nothing is."""

import random
import re
from datetime import date, datetime, timedelta, timezone
from math import sin
from zoneinfo import ZoneInfo

import pytest
from diary_simulator import START, THREE_A_DAY, Course, Noting
from diary_simulator import simulated_diary as diary
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketpump.core.diary.check_ins import DiaryEvent, Reading, daily_medians
from pocketpump.core.diary.drift import drift
from pocketpump.core.diary.events import HAPPENINGS, follow_up_of, open_follow_ups
from pocketpump.core.diary.hours import hours, rate_by_hour
from pocketpump.core.diary.measures import Measure, by_name, milestones
from pocketpump.core.diary.response import changes_of, responses, runs_of
from pocketpump.core.errors import InputError
from pocketpump.core.pump.programme import RateStep, constant_rate, day_pattern
from pocketpump.core.pump.programme_text import parse_setting
from pocketpump.core.pump.timeline import Setting
from pocketpump.core.safety.contacts import (
    CLINIC_ROLE,
    EMERGENCY_ROLE,
    Contact,
    call_order,
    dial_text,
)


def at(day: float) -> datetime:
    return START + timedelta(days=day)


def steady(value: float, first: int, last: int, jitter: int = 1) -> list[Reading]:
    """One check-in a day, alternating about ``value``: no two days the same, no likeness."""
    return [
        Reading(at(d + 0.5), value + (jitter if d % 2 else -jitter)) for d in range(first, last)
    ]


CHANGE = (Setting(at(-90), constant_rate(200.0)), Setting(at(30), constant_rate(230.0)))


def test_a_plain_drop_is_told_with_its_numbers():
    marks = steady(6, 0, 30) + steady(3, 30, 70)
    (found,) = responses(CHANGE, marks, at(70))
    assert found.verdict == "lower"
    assert found.shift is not None
    assert found.shift.points == pytest.approx(-3, abs=0.01)  # by hand: 6±1 against 3±1
    # 28 days before; after: from day 35 (five settling days) for 28 days.
    assert (len(found.before.days), len(found.after.days)) == (28, 28)
    assert (found.before.middle, found.after.middle) == (6, 3)
    assert "lower by about 3 points" in found.sentence
    assert "28 days before, 28 days after, 56 check-ins" in found.sentence
    assert any("30 %" in line for line in found.lines)  # 3 of 6 is beyond 30 % (§4, from memory)


def test_the_days_of_both_sides_and_between_are_there_to_be_drawn():
    marks = steady(6, 0, 30) + steady(9, 30, 35) + steady(3, 35, 70)
    (found,) = responses(CHANGE, marks, at(70))
    assert [score.day for score in found.before.days] == [at(d).date() for d in range(2, 30)]
    assert [score.day for score in found.not_compared] == [at(d).date() for d in range(30, 35)]
    assert [score.day for score in found.after.days] == [at(d).date() for d in range(35, 63)]
    assert [score.value for score in found.after.days[:3]] == [4, 2, 4]
    assert found.judged_on == at(63).date()
    assert found.next_look_on is None


def test_spasms_are_many():
    marks = steady(3, 0, 30) + steady(1, 30, 70)
    (found,) = responses(CHANGE, marks, at(70), scale="spasms")
    assert "spasms were lower by about 2 points" in found.sentence
    assert "rule of thumb" not in " ".join(found.lines)


def test_the_settling_days_are_left_out_and_can_be_changed():
    marks = steady(6, 0, 30) + steady(9, 30, 35) + steady(3, 35, 70)
    usual = responses(CHANGE, marks, at(70))[0]
    none = responses(CHANGE, marks, at(70), settling_days=0)[0]
    assert usual.after.days[0].day == at(35).date()
    # The day of the change itself is of neither side.
    assert none.after.days[0].day == at(31).date()
    assert usual.after.middle == 3
    assert none.shift is not None
    assert none.shift.high > usual.shift.high


@pytest.mark.parametrize(
    ("now", "verdict"),
    [(31, "settling"), (36, "too soon"), (48.9, "too soon"), (49, "lower"), (70, "lower")],
)
def test_a_change_is_judged_on_fixed_days_after_it_has_settled(now, verdict):
    marks = [m for m in steady(6, 0, 30) + steady(2, 30, 70) if m.at <= at(now)]
    (found,) = responses(CHANGE, marks, at(now))
    assert found.verdict == verdict
    if verdict != "lower":
        assert found.shift is None
        assert "It can be judged on Mon 23 Feb 2026" in found.sentence  # day 49 = 30 + 5 + 14
        assert found.next_look_on == at(49).date()


def test_between_two_looks_nothing_moves_and_after_the_last_the_answer_stands():
    chance = random.Random(4)
    marks = diary(chance, 200, Course(change=-2.0, change_day=30))

    def told(day):
        (found,) = responses(CHANGE, [m for m in marks if m.at <= at(day)], at(day))
        return found

    # Day 30, five settling days, then fourteen and twenty-eight.
    first = {(told(day).shift, told(day).sentence) for day in range(49, 63)}
    last = {(told(day).shift, told(day).sentence) for day in (63, 64, 70, 91, 200)}
    assert len(first) == len(last) == 1
    assert first != last
    assert told(55).cautions[-1] == (
        "It is looked at once more on Mon 9 Mar 2026; then the answer stands."
    )


@pytest.mark.parametrize(
    ("first", "last", "now", "reason", "told"),
    [
        (24, 70, 70, "few before",
         "Too few days were noted before it: 6, and 7 are needed. More days after it cannot"),
        (20, 70, 70, "few before",
         "The diary began only 10 days before it, and 14 are needed. More days after it cannot"),
        (0, 39, 70, "few after", "Too few days were noted after it: 4, and 7 are needed."),
        (0, 39, 50, "few after", "3 days more by Mon 9 Mar 2026 would do."),
    ],
)  # fmt: skip
def test_too_few_days_are_told_by_their_true_reason(first, last, now, reason, told):
    marks = [m for m in steady(5, first, last) if m.at <= at(now)]
    (found,) = responses(CHANGE, marks, at(now))
    assert (found.verdict, found.reason, found.shift) == ("not enough", reason, None)
    assert told in found.sentence
    eases = [line for line in found.cautions if "often eases by itself" in line]
    assert bool(eases) == (reason == "few before")


def test_days_too_alike_and_scores_too_mixed_are_told_by_their_true_reason():
    # Waves of three weeks: each day is like the one before. And 0 to 10 as it falls.
    waves = [Reading(at(d + 0.5), 5 + round(5 * sin(d / 3.3))) for d in range(70)]
    chance = random.Random(9)
    mixed = [Reading(at(d + 0.5), float(chance.choice((0, 10)))) for d in range(70)]
    (alike,) = responses(CHANGE, waves, at(70))
    assert (alike.verdict, alike.reason) == ("not enough", "too alike")
    assert "Days that follow each other are too alike" in alike.sentence
    (apart,) = responses(CHANGE, mixed, at(70))
    assert (apart.verdict, apart.reason) == ("not enough", "too mixed")
    assert "go up and down too much from day to day" in apart.sentence
    assert "days more like these, before and after, would do" in apart.sentence


def test_no_clear_change_says_what_would_have_shown():
    (found,) = responses(CHANGE, steady(5, 0, 70), at(70))
    assert found.verdict == "no clear change"
    assert found.comparison is not None
    assert 1 < found.comparison.visible <= 1.5
    assert "A change of 1.5 points would most likely have shown." in found.sentence


def test_other_hours_than_before_give_no_number():
    marks = [Reading(at(d + (0.35 if d < 30 else 0.85)), 5.0 + d % 2) for d in range(70)]
    (found,) = responses(CHANGE, marks, at(70))
    assert (found.verdict, found.shift) == ("other hours", None)
    assert "noted at other hours or on other days than before" in found.sentence
    assert not any(char in found.sentence for char in ("point", "lower", "higher"))


def test_the_same_instants_on_other_clocks_are_other_hours():
    # The same instants, read after the change from a clock eight hours away.
    there = timezone(timedelta(hours=-8))
    marks = steady(5, 0, 70)
    away = [m.at.astimezone(there) if m.at >= at(30) else m.at for m in marks]
    noon = [m.at.replace(tzinfo=there) if m.at >= at(30) else m.at for m in marks]

    def told(times):
        kept = [Reading(when, m.value) for when, m in zip(times, marks, strict=True)]
        return responses(CHANGE, kept, at(80))[0].verdict

    assert told([m.at for m in marks]) == "no clear change"
    assert told(away) == "other hours"
    assert told(noon) == "no clear change"


def test_what_was_falling_already_is_not_said_to_be_lower_after():
    marks = [Reading(at(d + 0.5), round(9 - d / 9 + d % 2)) for d in range(70)]
    (found,) = responses(CHANGE, marks, at(70))
    assert found.verdict == "already falling"
    assert "it was already falling before" in found.sentence
    rising = [Reading(m.at, 10 - m.value) for m in marks]
    assert responses(CHANGE, rising, at(70))[0].verdict == "already rising"


def test_after_a_bad_week_it_is_said_that_bad_spells_ease_by_themselves():
    # Barnett 2005, Int J Epidemiol: regression to the mean.
    calm, bad = steady(5, 0, 23), steady(8, 23, 30)
    (found,) = responses(CHANGE, [*calm, *bad, *steady(5, 30, 70)], at(70))
    assert found.verdict == "no clear change"
    assert any("A bad spell often eases by itself." in line for line in found.cautions)
    (better,) = responses(CHANGE, [*calm, *bad, *steady(1, 30, 70)], at(70))
    assert better.verdict == "lower"
    assert any("A bad spell often eases by itself." in line for line in better.cautions)
    (plain,) = responses(CHANGE, steady(5, 0, 70), at(70))
    assert plain.cautions == ()


def test_a_window_never_reaches_into_another_change():
    settings = (*CHANGE, Setting(at(50), constant_rate(250.0)))
    first, second = responses(settings, steady(5, 0, 120), at(120))
    assert first.judged_on == at(49).date()  # there was no second look before the next change
    assert first.next_look_on is None
    assert first.after.days[-1].day == at(48).date()
    assert second.before.days[0].day == at(35).date()
    assert responses(CHANGE[:1], steady(5, 0, 90), at(90)) == ()


def test_a_titration_is_judged_as_one_from_before_the_first_to_after_the_last():
    days = (30, 38, 46, 53)
    steps = tuple(Setting(at(day), constant_rate(230.0 + day)) for day in days)
    marks = steady(7, 0, 30) + steady(5, 30, 58) + steady(2, 58, 100)
    (found,) = responses((CHANGE[0], *steps), marks, at(100))
    assert found.steps == steps
    assert found.setting == steps[-1]
    assert found.verdict == "lower"
    assert found.before.days[-1].day == at(29).date()
    assert found.not_compared[0].day == at(30).date()
    assert found.not_compared[-1].day == at(57).date()
    assert found.after.days[0].day == at(58).date()
    assert "After the 4 changes from Wed 4 Feb 2026 to Fri 27 Feb 2026" in found.sentence
    # A change that comes when the first look is over stands alone.
    apart = (CHANGE[1], Setting(at(49), constant_rate(250.0)))
    assert [len(run) for run in runs_of(apart, 5)] == [1, 1]
    assert [len(run) for run in runs_of((*apart[:1], *steps[2:3]), 5)] == [2]


def test_a_setting_noted_again_is_no_change_and_cuts_no_window_short():
    again = [Setting(at(day), constant_rate(230.0)) for day in (45, 50)]
    marks = steady(6, 0, 30) + steady(3, 30, 80)
    (found,) = responses((*CHANGE, *again), marks, at(80))
    assert found == responses(CHANGE, marks, at(80))[0]
    assert changes_of([*again, *CHANGE], at(80)) == CHANGE
    assert changes_of([*CHANGE, Setting(at(90), constant_rate(250.0))], at(80)) == CHANGE
    clock = Setting(at(60), constant_rate(230.0, clock_offset_minutes=120))
    assert changes_of([*CHANGE, clock], at(80)) == CHANGE
    # There and back are two changes.
    back = Setting(at(60), constant_rate(200.0))
    assert changes_of([*CHANGE, back], at(80)) == (*CHANGE, back)


def test_beside_every_lower_stands_that_a_bad_spell_eases_by_itself():
    """Also where the spell is as long as the days before, so that nothing shows it was one."""
    for from_day in (-5, 0, 9):
        marks = steady(4, -5, from_day) + steady(8, from_day, 30) + steady(3, 30, 70)
        (found,) = responses(CHANGE, marks, at(70))
        if found.verdict == "lower":
            assert "eases by itself" in " ".join(found.cautions)
    assert responses(CHANGE, steady(8, -5, 30) + steady(3, 30, 70), at(70))[0].verdict == "lower"


def test_only_days_that_are_compared_are_counted_and_the_others_named():
    evenings = [Reading(at(day + 0.83), 5.0) for day in range(40, 50)]
    marks = sorted(steady(6, 0, 30) + steady(3, 30, 70) + evenings, key=lambda mark: mark.at)
    (found,) = responses(CHANGE, marks, at(70))
    assert found.comparison is not None
    assert (found.before.check_ins, found.after.check_ins) == (28, 28)
    assert "56 check-ins" in found.sentence
    assert "10 check-ins are not compared" in " ".join(found.cautions)
    assert [score.day for score in found.not_compared] == [at(d).date() for d in range(30, 35)]


@pytest.mark.parametrize(("after", "verdict"), [(0.8, "other hours"), (0.5, "too soon")])
def test_where_nothing_is_compared_no_day_is_shown_as_compared(after, verdict):
    marks = steady(6, 0, 30) + [Reading(at(day + after), 5.0) for day in range(30, 70)]
    now = at(70) if verdict == "other hours" else at(40)
    (found,) = responses(CHANGE, [mark for mark in marks if mark.at <= now], now)
    assert (found.verdict, found.comparison) == (verdict, None)
    shown = {score.day for score in found.not_compared}
    assert shown >= {score.day for score in (*found.before.days, *found.after.days)}
    assert shown


def test_what_else_happened_is_told_beside_the_response():
    fall = DiaryEvent(at(40), "fall")
    late = DiaryEvent(at(80), "scan")
    (found,) = responses(CHANGE, steady(5, 0, 70), at(70), diary_events=[fall, late])
    assert "fall" in found.also
    assert "scan" not in found.also
    # A trip counts by the days it took.
    trip = DiaryEvent(at(-10), "trip", until=at(3))
    past = DiaryEvent(at(-10), "trip", until=at(1))
    assert "trip" in responses(CHANGE, steady(5, 0, 70), at(70), diary_events=[trip])[0].also
    assert responses(CHANGE, steady(5, 0, 70), at(70), diary_events=[past])[0].also == ""


@given(st.integers(0, 10_000), st.sampled_from([-2.0, 0.0, 2.0]))
def test_the_sentence_says_what_the_interval_says(seed, shift):
    course = Course(change=shift, change_day=30, alike=seed % 10 / 10)
    marks = diary(random.Random(seed), 70, course, THREE_A_DAY)
    (found,) = responses(CHANGE, marks, at(70))
    if found.shift is None:
        assert found.verdict == "other hours"
    elif found.shift.low > 0:
        assert found.verdict == "higher"
    elif found.shift.high < 0:
        assert found.verdict == "lower"
    else:
        assert found.verdict not in ("lower", "higher")
    assert found.sentence.endswith(".")
    assert "likely 0 to" not in found.sentence
    assert "None" not in found.sentence + " ".join((*found.lines, *found.cautions))
    assert not any(word in found.sentence for word in ("because", "caused", " did ", "inf"))


ENDLESS = re.compile(r"\b(inf|nan|none)\b", re.IGNORECASE)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 100_000),
    st.floats(0.15, 0.6),
    st.floats(-1.2, 1.2),
    st.floats(0, 0.95),
    st.sampled_from([48, 52, 66, 70]),
)
def test_no_sparse_diary_is_told_a_bound_without_an_end(seed, noted, slope, alike, day):
    course = Course(base=5 - 4 * slope, alike=alike, trend_per_week=slope)
    seldom = Noting({8: 1.0, 20: 0.3}, weekdays=noted, weekends=noted)
    marks = diary(random.Random(seed), 70, course, seldom)
    for found in responses(CHANGE, [m for m in marks if m.at <= at(day)], at(day)):
        for said in (found.sentence, *found.cautions, *found.lines):
            assert not ENDLESS.search(said), said


def test_where_the_days_are_too_few_for_a_bound_that_is_said_in_words():
    """A long fall, noted every third day: already falling, and the ranks exclude nothing."""
    chance, marks = random.Random(9), []
    for day in range(2, 50):
        if chance.random() < 0.32:
            score = round(10 - 0.12 * day + chance.gauss(0, 0.6))
            marks.append(Reading(at(day + 0.4), float(max(0, min(10, score)))))
    (found,) = responses(CHANGE, marks, at(50))
    assert found.verdict == "already falling"
    assert found.shift is not None
    assert not found.shift.is_bounded
    assert sum("o bound could be given" in line for line in found.lines) == 2


def test_the_day_is_that_of_the_wall_clock_where_the_check_in_was_made():
    toronto = ZoneInfo("America/Toronto")
    late = Reading(datetime(2026, 3, 1, 23, 30, tzinfo=toronto), 4)  # 2 March in UTC
    early = Reading(datetime(2026, 3, 1, 1, 0, tzinfo=toronto), 6)
    assert daily_medians([early, late]) == {date(2026, 3, 1): 5}


def test_the_rate_by_hour_is_that_of_the_wall_clock():
    # E20, derived; the pump's clock follows no daylight saving. Set in winter
    # (UTC+1), read in summer: what is at 06:00 by the pump comes at 07:00 on the wall.
    pattern = parse_setting("00:00 15 mcg/h, 06:00 10 mcg/h, 22:00 20 mcg/h", 60)
    rome = ZoneInfo("Europe/Rome")
    winter = rate_by_hour(pattern, date(2026, 1, 15), rome)
    summer = rate_by_hour(pattern, date(2026, 7, 15), rome)
    assert sum(winter) == pytest.approx(290)
    assert winter[5:7] == pytest.approx((15, 10))
    assert summer[6:8] == pytest.approx((15, 10))
    # 29 March 2026 has no hour from 2 to 3; the day still has 24 names of hours.
    assert len(rate_by_hour(pattern, date(2026, 3, 29), rome)) == 24


def daily(scores: dict[int, float], days: int = 40) -> list[Reading]:
    """The same scores at the same hours every day, one point up and down from day to day."""
    return [
        Reading(at(day) + timedelta(hours=hour), value + day % 2)
        for day in range(days)
        for hour, value in scores.items()
    ]


def test_stiff_hours_at_a_low_rate_are_shown_and_at_a_high_rate_not():
    pattern = parse_setting("00:00 8 mcg/h, 08:00 12 mcg/h, 16:00 8 mcg/h", 0)
    evening = hours(daily({9: 2, 14: 2, 21: 6}), pattern, at(40))
    (found,) = evening.disagree
    assert (found.span.start_hour, found.level, found.days) == (20, "below", 40)
    assert (found.shift.points, found.shift.low, found.shift.high) == (4, 4, 4)
    assert "from 20:00 to 00:00 stiffness is higher by about 4 points" in evening.sentence
    assert "(40 days)" in evening.sentence
    assert hours(daily({9: 6, 14: 2, 21: 2}), pattern, at(40)).disagree == ()
    # Looser than the rest where the rate is above its mean, in the hours and before them.
    assert hours(daily({9: 2, 14: 6, 21: 6}), pattern, at(40)).disagree == ()
    loose = hours(daily({9: 6, 14: 2, 21: 6}), pattern, at(40)).disagree
    assert [(one.span.start_hour, one.level) for one in loose] == [(12, "above")]
    few = hours(daily({9: 2, 14: 2, 21: 6}, 13), pattern, at(40))
    assert "not enough to say" in few.sentence
    assert few.disagree == ()


def test_a_rate_a_hair_above_its_mean_is_about_its_mean():
    """A rhythm of 3 % explains nothing: not called above, and stiff hours there are shown."""
    scores = {9: 2, 14: 2, 21: 6}
    by_rate = {
        rate: hours(daily(scores), parse_setting(f"00:00 10 mcg/h, 16:00 {rate} mcg/h", 0), at(40))
        for rate in ("10.3", "12")
    }
    (found,) = by_rate["10.3"].disagree
    assert (found.span.start_hour, found.level) == (20, "at")
    assert by_rate["12"].disagree == ()
    calm = hours(daily({9: 6, 14: 6, 21: 2}), parse_setting("00:00 10 mcg/h, 16:00 10.3 mcg/h", 0),
                 at(40))  # fmt: skip
    assert calm.disagree == ()


def test_hours_are_not_judged_while_the_rate_changes_or_changed_just_before():
    """What acts in the evening is also what ran in the four hours before (label: a bolus acts most
    at about four hours)."""
    marks = daily({9: 2, 14: 2, 21: 6})
    lower_from_20 = hours(marks, parse_setting("00:00 12 mcg/h, 20:00 8 mcg/h", 0), at(40))
    assert lower_from_20.disagree == ()
    assert {s.start_hour: s.coverage for s in lower_from_20.spans}[20] == "rate changes"
    assert any(
        "the rate changes then or in the four hours before: 20:00 to 00:00" in line
        for line in lower_from_20.lines
    )
    lower_from_16 = hours(marks, parse_setting("00:00 12 mcg/h, 16:00 8 mcg/h", 0), at(40))
    assert [one.span.start_hour for one in lower_from_16.disagree] == [20]
    # Of the first hours of a day those of the day before count.
    night = daily({1: 6, 13: 2, 21: 2})
    until_midnight = hours(night, parse_setting("00:00 8 mcg/h, 12:00 12 mcg/h", 0), at(40))
    assert {s.start_hour: s.coverage for s in until_midnight.spans}[0] == "rate changes"
    assert until_midnight.disagree == ()


def test_it_is_said_of_which_hours_nothing_stands_out():
    marks = daily({9: 3, 21: 3}) + daily({14: 3}, 6)
    marks.sort(key=lambda mark: mark.at)
    found = hours(marks, constant_rate(200.0), at(40))
    assert "of those that could be judged: 08:00 to 12:00, 20:00 to 00:00 (40 days)" in (
        found.sentence
    )
    (few,) = [line for line in found.lines if "too few days" in line]
    assert "12:00 to 16:00" in few
    assert "08:00" not in few.replace("04:00 to 08:00", "")
    assert any("4 hours before are looked at, anything slower is not" in one for one in found.lines)


def test_a_bad_evening_counts_once_however_often_it_was_noted():
    calm = daily({9: 3, 21: 3})
    many = [Reading(at(38) + timedelta(hours=20, minutes=5 * i), 9.0) for i in range(8)]
    marks = sorted([*calm, *many], key=lambda mark: mark.at)
    found = hours(marks, constant_rate(200.0), at(40))
    assert found.disagree == ()
    assert {span.start_hour: span.days for span in found.spans if span.days} == {8: 40, 20: 40}


def test_an_evening_noted_only_when_it_is_bad_is_not_judged():
    marks = [m for m in daily({9: 3, 21: 8}, 56) if m.at.hour == 9 or m.at.day % 3 == 0]
    assert sum(m.at.hour == 21 for m in marks) >= 14
    assert hours(marks, constant_rate(200.0), at(56)).disagree == ()


WEEKEND = day_pattern([[RateStep(0, 10)]] * 5 + [[RateStep(0, 10), RateStep(1_200, 20)]] * 2)


def test_every_check_in_is_judged_by_the_rate_of_its_own_day():
    marks = daily({9: 3, 13: 3, 21: 6}, 56)
    told = {hours(marks, WEEKEND, at(50 + k)).sentence for k in range(7)}
    # Fifty to 56 days are looked at; of the evenings only those without the higher rate count.
    assert all("about its daily mean" in text for text in told)
    (found,) = hours(marks, WEEKEND, at(56)).disagree
    assert (found.level, found.days) == ("at", 40)  # eight weeks of Monday to Friday
    # Stiff on weekend evenings alone, when the rate is higher: nothing disagrees.
    weekends = [m for m in marks if m.at.hour != 21 or m.at.weekday() >= 5]
    weekends += [Reading(m.at, 3.0) for m in marks if m.at.hour == 21 and m.at.weekday() < 5]
    weekends.sort(key=lambda mark: mark.at)
    assert hours(weekends, WEEKEND, at(56)).disagree == ()
    shown = {hours(marks, WEEKEND, at(50 + k)).rate_by_hour_mcg_per_h[21] for k in range(7)}
    assert max(shown) == pytest.approx(min(shown))
    assert max(shown) == pytest.approx((5 * 10 + 2 * 20) / 7)


def test_no_sentence_proposes_a_dose_or_a_setting():
    pattern = constant_rate(200.0)
    marks = [Reading(at(d) + timedelta(hours=h), 8.0 if h == 21 else 2.0)
             for d in range(70) for h in (9, 21)]  # fmt: skip
    found = responses(CHANGE, marks, at(70))[0]
    texts = [found.sentence, *found.lines, hours(marks, pattern, at(70)).sentence,
             drift(marks, at(70)).sentence]  # fmt: skip
    for text in texts:
        assert not any(
            word in text.lower() for word in ("should", "increase", "raise the", "needs more")
        )


def test_milestones_are_first_best_and_the_goal_once():
    walks = [(0, 20.0), (10, 22.0), (20, 18.0), (30, 13.5), (40, 13.0), (50, 14.5)]
    group = [Measure(at(d), "walk", v, "s", 14.0, lower_is_better=True) for d, v in walks]
    assert [(m.what, m.measure.value) for m in milestones(group)] == [
        ("first", 20.0), ("best so far", 18.0), ("goal reached", 13.5), ("best so far", 13.0),
    ]  # fmt: skip
    assert list(by_name([*group, Measure(at(60), "standing", 5, "min")])) == ["standing", "walk"]
    assert milestones([]) == ()


@pytest.mark.parametrize(
    ("written", "dialled"),
    # +44 20 7946 0xxx is kept free for fiction (Ofcom).
    [("+44 20 7946 0112", "+442079460112"), ("112", "112"), ("(020) 7946-0112", "02079460112")],
)
def test_a_number_is_dialled_without_its_marks(written, dialled):
    assert dial_text(written) == dialled


@given(st.text(max_size=30))
def test_any_text_is_dialled_or_refused_in_one_sentence(text):
    try:
        dialled = dial_text(text)
    except InputError as error:
        assert str(error) == "Write a telephone number, like +31 20 123 45 67."
    else:
        assert dialled.strip("+0123456789*#") == ""
        assert 2 <= len(dialled) <= 21


def test_the_clinic_comes_first_unless_it_is_an_emergency():
    known = [
        Contact("Friend", "someone else", "020 7946 0114"),
        Contact("Nurses", CLINIC_ROLE, "020 7946 0113"),
        Contact("Clinic", CLINIC_ROLE, "020 7946 0112", emergency=True),
        Contact("Ambulance", EMERGENCY_ROLE, "112", emergency=True),
        Contact("No number", CLINIC_ROLE, ""),
    ]
    names = [c.name for c in call_order(known, emergency_first=False)]
    assert names == ["Clinic", "Nurses", "Ambulance", "Friend"]
    assert call_order(known, emergency_first=True)[0].name == "Ambulance"


def test_a_scan_stays_open_until_the_pump_was_checked():
    # De Andres 2011 (abstract): have the pump checked after an MRI.
    scan, told = DiaryEvent(at(0), "scan"), DiaryEvent(at(1), "scan", follow_up_done=True)
    free = DiaryEvent(at(2), "a word of one's own")
    assert [h for h, _ in open_follow_ups([scan, told, free])] == [scan]
    assert "checked" in follow_up_of("scan")
    assert len({known.what for known in HAPPENINGS}) == len(HAPPENINGS)
