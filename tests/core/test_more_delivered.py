"""More delivered never makes a date later, whatever the history; and no refill puts a call off."""

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from core_helpers import is_one_sentence
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.clinic_days import ClinicDays
from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.forecast_explanation import explain_alarm, explain_refill_by
from pocketpump.core.pump.programme import RequestedBolus, constant_rate
from pocketpump.core.pump.programme_text import with_boluses
from pocketpump.core.pump.situation import Habits, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.units.instants import date_text

START = datetime(2025, 1, 6, 9, tzinfo=UTC)
INSTANTS = (
    "alarm_at", "alarm_earliest", "alarm_latest", "empty_at", "empty_earliest", "maybe_empty_at",
    "felt_low_at", "paced_alarm_at", "drug_age_limit_at",
)  # fmt: skip
DAYS = ("refill_by", "call_by")
# What a reservoir found dry was at least is integrated, to some seconds of a date.
CRUMB = timedelta(minutes=1)


def history(chance: random.Random) -> Situation:
    """Return a pump with refills of every kind: dry, overdue, noted twice, with unknown numbers."""
    volume, strength = chance.choice((10.0, 20.0, 40.0)), chance.choice((500.0, 1000.0, 2000.0))
    days_to_empty = chance.uniform(20, 200)
    dose = volume * strength / days_to_empty
    programme = constant_rate(dose)
    if chance.random() < 0.15:
        programme = with_boluses(programme, (), RequestedBolus(dose / 10, 3))
    at, fills, settings = START, [], [Setting(START, programme, "set")]
    for number in range(chance.randint(2, 8)):
        if number and chance.random() < 0.1:
            strength = chance.choice((500.0, 1000.0, 2000.0))
        bridged = chance.choice((False, True, None))
        fill = Fill(at, volume, strength, bridged, id=f"{number}")
        if number:
            fill = replace(fill, expected_ml=expected(chance, volume),
                           withdrawn_ml=withdrawn(chance, volume))  # fmt: skip
        fills.append(fill)
        if number and chance.random() < 0.2:
            # The same refill noted again, by another device.
            later = timedelta(minutes=chance.choice((0, 0, 5, 300)))
            fills.append(replace(fill, at=at + later, id=f"{number} again",
                                 expected_ml=expected(chance, volume),
                                 withdrawn_ml=withdrawn(chance, volume)))  # fmt: skip
        if chance.random() < 0.2:
            settings.append(Setting(at + timedelta(days=3), constant_rate(dose * 1.2), f"{number}"))
        at += timedelta(days=days_to_empty * chance.choice((0.02, 0.5, 0.8, 0.9, 0.97, 1.1, 1.6)))
    pump = Pump(
        alarm_volume_ml=chance.choice((1.0, 2.0, 4.0)),
        tolerance_percent=chance.choice((0.0, 3.0, 10.0, 14.5, 14.5, 30.0)),
        reading_error_ml=chance.choice((0.0, 0.5, 0.5, 1.0, 3.0)),
        felt_low_ml=chance.choice((None, 3.0)),
        line_volume_ml=chance.choice((None, 0.35)),
    )
    habits = Habits(
        margin_days=chance.choice((0, 3, 7, 10)),
        lead_days=chance.choice((0, 7, 14, 21)),
        clinic_days=ClinicDays(open_weekdays=frozenset(chance.choice(((), (1,), (0, 3))))),
    )
    era = (chance.choice(fills).at.replace(hour=0),) if chance.random() < 0.1 else ()
    return Situation(pump, tuple(fills), tuple(settings), habits, pumps_from=era)


def expected(chance: random.Random, volume: float) -> float | None:
    return chance.choice((None, None, 0.0, volume * 0.05, volume * 0.2, volume * chance.random()))


def withdrawn(chance: random.Random, volume: float) -> float | None:
    near = chance.choice((0.0, 0.05, 0.2, 0.5)) * volume + chance.gauss(0, 1)
    return chance.choice(
        (None, 0.0, 0.5, max(0.0, near), max(0.0, near), chance.uniform(0, volume))
    )


def with_less_withdrawn(told: Situation, chance: random.Random) -> Situation | None:
    """Return ``told`` with less withdrawn at one refill; None when there is none to lower."""
    fills = (*told.fills, *(one for one in told.noted_twice if isinstance(one, Fill)))
    known = [fill for fill in fills if fill.withdrawn_ml]
    if not known:
        return None
    one = chance.choice(known)
    less = one.withdrawn_ml * chance.choice((0.0, chance.random(), 0.99, 0.9))
    # The one that counts of a minute is given last, as it was.
    order = (*(f for f in fills if f not in told.fills), *told.fills)
    lowered = tuple(replace(f, withdrawn_ml=less) if f is one else f for f in order)
    return replace(told, fills=lowered, noted_twice=())


def given_anew(told: Situation) -> Situation:
    twice = tuple(one for one in told.noted_twice if isinstance(one, Fill))
    return replace(told, fills=(*twice, *told.fills), noted_twice=())


def look(told: Situation):
    now = max(fill.at for fill in told.fills) + timedelta(hours=13)
    answer, _ = forecast(told, now, UTC)
    assert answer is not None
    return answer


def later(before, after) -> list[str]:
    """Return the names of the dates that are later in ``after``; no date at all is the latest."""
    found = []
    for name in INSTANTS:
        was, now = getattr(before, name), getattr(after, name)
        if name == "paced_alarm_at" and was is None:
            continue
        if was is not None and (now is None or now > was + CRUMB):
            found.append(f"{name}: {was} -> {now}")
    for name in DAYS:
        was, now = getattr(before, name), getattr(after, name)
        if now > was:
            found.append(f"{name}: {was} -> {now}")
    return found


@pytest.mark.parametrize(
    "seeds",
    [range(400), pytest.param(range(400, 115_000), marks=pytest.mark.thorough)],
    ids=("some", "100,000 pairs"),
)
def test_less_withdrawn_never_makes_any_date_later(seeds):
    pairs = 0
    for seed in seeds:
        chance = random.Random(seed)
        told = history(chance)
        lowered = with_less_withdrawn(told, chance)
        if lowered is not None:
            pairs += 1
            assert later(look(given_anew(told)), look(lowered)) == [], f"history {seed}"
    assert pairs > 0.85 * len(seeds)


REFILL = st.tuples(st.sampled_from([4.0, 0.0, None, 9.0]), st.floats(0, 20))


@given(st.lists(REFILL, min_size=1, max_size=5), st.data(), st.sampled_from([35, 45, 49, 60]))
def test_less_withdrawn_at_any_refill_never_makes_any_date_later(refills, data, days):
    number = data.draw(st.integers(0, len(refills) - 1))
    told, volume = refills[number]
    lowered = [*refills]
    lowered[number] = told, data.draw(st.floats(0, volume))
    assert later(look(every(days, refills)), look(every(days, lowered))) == []


def every(days: int, refills) -> Situation:
    """Return 20 mL at 0.4 mL/day, with refills so many days apart: (expected, withdrawn)."""
    fills = [Fill(START, 20.0, 500.0, id="0")]
    for number, (told, volume) in enumerate(refills, 1):
        at = START + timedelta(days=days * number)
        fills.append(Fill(at, 20.0, 500.0, id=f"{number}", expected_ml=told, withdrawn_ml=volume))
    return Situation(Pump(2.0, reading_error_ml=0.5), tuple(fills),
                     (Setting(START, constant_rate(200.0)),))  # fmt: skip


@pytest.mark.parametrize("before", [[], [(4.0, 4.0)] * 6], ids=["the first", "after six"])
def test_the_less_is_left_the_earlier_the_plan_down_to_dry(before):
    # 16 of 20 mL asked for: 0.6 mL left is 1.21 times that, nothing left at least 1.25 times.
    answers = [look(every(40, [*before, (4.0, left)])) for left in (4, 2.2, 1.2, 0.6, 0.5, 0.0)]
    for name in ("alarm_earliest", "empty_earliest", "paced_alarm_at"):
        instants = [getattr(answer, name) for answer in answers]
        assert instants == sorted(instants, reverse=True)
        assert len(set(instants)) == len(instants)
    for name in DAYS:
        days = [getattr(answer, name) for answer in answers]
        assert days == sorted(days, reverse=True)
    assert answers[-1].refill_by < answers[0].refill_by


def test_a_pump_that_delivers_far_too_much_is_counted_and_told():
    answer = look(every(40, [(4.0, 0.6), (10.0, 0.6)]))
    # 19.4 of 10 mL: 1.94 times, at the second refill.
    assert answer.ratio.far_more == ("2",)
    assert answer.ratio.mean > 1.3
    assert answer.refill_by < look(every(40, [(4.0, 0.6), (4.0, 0.6)])).refill_by
    (told,) = [one for one in answer.problems if one.code == "pace-far-more"]
    assert told.ids == ("2",)
    assert is_one_sentence(told.sentence)
    lines = explain_alarm(answer).lines
    assert [line for line in lines if "far less was left" in line and "ask the clinic" in line]
    assert not [line for line in lines if "far more was left" in line]


def test_a_pump_that_delivers_far_too_little_is_held_back_and_told():
    # Sgouros 2010 (abstract): 19 mL still inside, no delivery at all.
    answer = look(every(40, [(4.0, 4.0), (4.0, 19.0)]))
    assert answer.ratio.far_less == ("2",)
    assert answer.ratio.mean > 0.8
    (told,) = [one for one in answer.problems if one.code == "pace-far-less"]
    assert is_one_sentence(told.sentence)
    assert [line for line in explain_alarm(answer).lines if "far more was left" in line]
    # The plan waits for no slow pump.
    silent = look(every(40, [(4.0, None), (4.0, None)]))
    assert answer.refill_by <= silent.refill_by
    assert answer.call_by <= silent.call_by


def test_no_delivery_is_told_also_when_more_was_asked_for_than_there_was():
    # 60 days at 0.4 mL/day ask for 24 of 20 mL.
    assert look(every(60, [(None, 19.0)])).ratio.far_less == ("1",)
    assert look(every(60, [(None, 3.0)])).ratio.far_less == ()


def test_a_little_left_after_more_was_asked_for_than_there_was_shows_no_slow_pump():
    answer, silent = look(every(90, [(None, 0.6)] * 4)), look(every(90, [(None, None)] * 4))
    assert answer.ratio.counted == 0
    assert answer.alarm_earliest == silent.alarm_earliest


@pytest.mark.parametrize(
    "seeds",
    [range(400), pytest.param(range(400, 20_400), marks=pytest.mark.thorough)],
    ids=("some", "20,000 histories"),
)
def test_what_refills_have_taught_never_puts_the_call_off(seeds):
    put_forward = 0
    for seed in seeds:
        told = given_anew(history(random.Random(seed)))
        fills = tuple(replace(fill, withdrawn_ml=None) for fill in told.fills)
        silent = replace(told, fills=fills, noted_twice=())
        taught, untaught = look(told), look(silent)
        assert taught.call_by <= untaught.call_by, f"history {seed}"
        assert not untaught.call_untaught
        put_forward += taught.call_by < untaught.call_by
    assert put_forward > 0


def test_a_call_that_exact_refills_would_put_off_says_why_it_is_not():
    # 40 mL at 0.23 mL/day, refilled eight times with exactly what was expected left.
    days, instants = 120, [START + timedelta(days=120 * n) for n in range(9)]
    left = 40 - 0.23 * days
    fills = [Fill(at, 40.0, 1000.0, id=f"{n}", withdrawn_ml=left if n else None)
             for n, at in enumerate(instants)]  # fmt: skip
    told = Situation(Pump(2.0), tuple(fills), (Setting(START, constant_rate(230.0)),))
    silent = replace(told, fills=(*fills[:1], *(replace(f, withdrawn_ml=None) for f in fills[1:])))
    exact, unknown = look(told), look(silent)
    assert exact.call_untaught
    assert exact.call_by == unknown.call_by
    (line,) = [line for line in explain_refill_by(exact).lines if "Call-by" in line]
    assert date_text(exact.call_by) in line
    assert "must not put the call off" in line
    assert "must not" not in " ".join(explain_refill_by(unknown).lines)


def test_a_reservoir_found_dry_though_nearly_nothing_was_asked_for_still_gives_dates_and_is_told():
    # 0.28 µL were asked for in 13 hours: 70,000 times that, read as badly.
    told = every(40, [(4.0, 4.0)] * 6)
    last = told.fills[-1].at
    soon = Fill(last + timedelta(hours=13), 18.0, 500.0, id="soon", withdrawn_ml=0.0)
    settings = (
        *told.settings,
        Setting(last, constant_rate(0.26)),
        Setting(soon.at, constant_rate(200)),
    )
    answer = look(replace(told, fills=(*told.fills, soon), settings=settings))
    before = look(told)
    assert answer.ratio.far_more == ("soon",)
    assert answer.ratio.mean == pytest.approx(before.ratio.mean, abs=1e-3)


@pytest.mark.parametrize("tolerance_percent", [5, 10, 14.5])
@pytest.mark.parametrize("withdrawn_ml", [2.0, 0.6, 0.0])
@pytest.mark.parametrize("refills", [1, 2])
def test_a_pump_may_be_empty_no_later_than_at_its_own_pace(
    tolerance_percent, withdrawn_ml, refills
):
    fills = [
        Fill(START + timedelta(days=60 * number), 18.0, 1000.0, False, f"fill {number}",
             expected_ml=6.0 if number else None, withdrawn_ml=withdrawn_ml if number else None)
        for number in range(refills + 1)
    ]  # fmt: skip
    pump = Pump(2.0, 20.0, tolerance_percent, reading_error_ml=0.5)
    setting = Setting(START, constant_rate(200.0), "set")
    now = fills[-1].at + timedelta(days=3)
    answer, _ = forecast(Situation(pump, tuple(fills), (setting,)), now, UTC)
    # 18 mL at 0.2 mL a day, by the pace that these refills have shown.
    own = fills[-1].at + timedelta(days=18 / 0.2 / answer.ratio.mean)
    assert answer.maybe_empty_at <= own + CRUMB
