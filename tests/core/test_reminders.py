"""Reminders: the forecast's dates, and which of them matter when."""

from datetime import UTC, date, datetime, timedelta

import pytest
from core_helpers import FIRST_WINDOW_14_5
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.core.pump.forecast import Forecast, forecast
from pocketpump.core.pump.programme import constant_rate, stopped
from pocketpump.core.pump.reminders import USUAL_SETTLING_DAYS, reminders
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.state import state_now
from pocketpump.core.pump.timeline import Fill, Setting

FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)


def e14(day: str, *, changes=(), printed: date | None = None, programme=None) -> Forecast:
    """E14, derived: 20 mL at 500 mcg/mL, 200 mcg/d, alarm 2 mL, filled 2026-01-12."""
    settings = (Setting(FILLED, programme or constant_rate(200)), *changes)
    situation = Situation(
        Pump(alarm_volume_ml=2.0, tolerance_percent=FIRST_WINDOW_14_5),
        (Fill(FILLED, 20, 500),),
        settings,
        printouts=(Printout(FILLED, printed),) if printed else (),
    )
    answer, _ = forecast(situation, datetime.fromisoformat(f"{day}T12:00+00:00"), UTC)
    assert answer is not None
    return answer


def by_code(found) -> dict:
    assert len({one.code for one in found}) == len(found)
    return {one.code: one for one in found}


def test_the_dates_are_those_of_the_forecast():
    answer = e14("2026-01-20", printed=date(2026, 2, 26))
    found = by_code(reminders(answer))
    # E14: alarm 2026-02-26, limit of 180 days 2026-07-11; margin 7 days, lead 14 days.
    assert {code: str(one.on) for code, one in found.items()} == {
        "call-by": "2026-02-05",
        "refill-by": "2026-02-19",
        "alarm": "2026-02-26",
        "clinic-alarm": "2026-02-26",
        "drug-age-limit": "2026-07-11",
    }
    assert not any(one.urgent for one in found.values())


@pytest.mark.parametrize("visit", [date(2026, 2, 17), date(2026, 2, 19)])
def test_a_visit_in_time_ends_the_call(visit):
    in_time = by_code(reminders(e14("2026-01-20"), next_visit_on=visit))
    assert "call-by" not in in_time
    assert in_time["next-visit"].on == visit
    assert in_time["refill-by"].on == date(2026, 2, 19)
    assert not any(one.urgent for one in in_time.values())


@pytest.mark.parametrize(
    ("day", "visit", "state"),
    [
        # E14: call by 02-05, refill by 02-19, alarm 02-26 (derived).
        ("2026-02-06", None, "call"),
        ("2026-02-06", date(2026, 2, 16), "calm"),
        ("2026-02-16", date(2026, 2, 16), "calm"),
        ("2026-02-17", date(2026, 2, 16), "call"),
        ("2026-02-06", date(2026, 2, 20), "late-visit"),
        ("2026-02-19", date(2026, 2, 19), "due"),
        ("2026-02-20", date(2026, 2, 21), "overdue"),
        ("2026-02-27", date(2026, 2, 28), "alarm"),
    ],
)
def test_a_visit_in_time_answers_the_call_and_nothing_else(day, visit, state):
    answer = e14(day)
    assert state_now(answer, next_visit_on=visit).word == state
    calls = "call-by" in by_code(reminders(answer, next_visit_on=visit))
    assert calls == (state not in ("calm", "due"))


def test_a_visit_after_the_refill_by_date_is_urgent():
    answer = e14("2026-01-20")
    late = by_code(reminders(answer, next_visit_on=date(2026, 2, 20)))
    assert late["next-visit"].urgent
    assert "after the refill-by date" in late["next-visit"].text
    assert "call-by" in late


def test_a_visit_gone_by_books_nothing():
    found = by_code(reminders(e14("2026-02-10"), next_visit_on=date(2026, 2, 9)))
    assert "next-visit" not in found
    assert found["call-by"].urgent


def test_an_overdue_refill_stays_and_is_urgent():
    found = by_code(reminders(e14("2026-02-27")))
    assert found["refill-by"].urgent
    assert found["call-by"].urgent
    assert "alarm" not in found
    # A calendar shows what is to be done on the day on which it can be done.
    assert found["refill-by"].on == found["call-by"].on == date(2026, 2, 27)
    assert "was Thu 19 Feb 2026" in found["refill-by"].text
    assert "was due by Thu 19 Feb 2026" in found["call-by"].text


@pytest.mark.parametrize(
    ("days_ago", "settling_days", "due"),
    [
        # Common practice, no source: 3-5 days before a change is judged.
        (2, USUAL_SETTLING_DAYS, "2026-01-23"),
        (2, 3, "2026-01-21"),
        (9, USUAL_SETTLING_DAYS, None),
    ],
)
def test_a_change_can_be_judged_after_the_settling_days(days_ago, settling_days, due):
    changed = datetime(2026, 1, 20, 9, tzinfo=UTC) - timedelta(days=days_ago)
    answer = e14("2026-01-20", changes=(Setting(changed, constant_rate(220)),))
    found = by_code(reminders(answer, settling_days=settling_days))
    assert (str(found["judge-from"].on) if due else found.get("judge-from")) == due
    # What came after, never what came of it.
    assert not due or "effect" not in found["judge-from"].text


def test_the_same_setting_again_is_no_change():
    again = Setting(datetime(2026, 1, 19, 9, tzinfo=UTC), constant_rate(200))
    assert "judge-from" not in by_code(reminders(e14("2026-01-20", changes=(again,))))


def test_a_stopped_pump_has_no_alarm_to_remind_of():
    found = by_code(reminders(e14("2026-01-20", programme=stopped())))
    assert "alarm" not in found
    assert "drug-age-limit" in found


@given(st.integers(0, 400), st.one_of(st.none(), st.integers(-30, 400)))
def test_reminders_are_in_order_and_none_is_of_a_day_gone_by(days, visit_in):
    day = FILLED + timedelta(days=days)
    visit = None if visit_in is None else (FILLED + timedelta(days=visit_in)).date()
    found = reminders(e14(f"{day:%Y-%m-%d}"), next_visit_on=visit)
    assert [one.on for one in found] == sorted(one.on for one in found)
    assert all(one.on >= day.date() for one in found)
    assert {"refill-by"} <= {one.code for one in found}
