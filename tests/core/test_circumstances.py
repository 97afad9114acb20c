"""What about now makes signs worse: found from the forecast, the person and what happened."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from core_helpers import FIRST_WINDOW_14_5

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.situation import Printout, Pump, Situation
from pocketpump.core.pump.timeline import Fill, Setting
from pocketpump.core.safety.circumstances import circumstances

NOW = datetime(2026, 2, 20, 9, tzinfo=UTC)


def forecast_at(days_ago: float, printed: date | None = None, doses=((0, 200.0),), **pump):
    """20 mL at 500 mcg/mL, 0.4 mL/day: alarm at 2 mL on day 45, empty on day 50 (derived)."""
    filled = NOW - timedelta(days=days_ago)
    situation = Situation(
        Pump(alarm_volume_ml=2.0, tolerance_percent=FIRST_WINDOW_14_5, **pump),
        (Fill(filled, 20.0, 500.0),),
        tuple(Setting(filled + timedelta(hours=h), constant_rate(dose)) for h, dose in doses),
        printouts=(Printout(filled, printed),) if printed else (),
    )
    answer, _ = forecast(situation, NOW, UTC)
    assert answer is not None
    return answer


def found(answer=None, **others) -> set[str]:
    return set(circumstances(answer, **{"hours_since": {}, **others}))


@pytest.mark.parametrize(
    ("days_ago", "expected"),
    [(1, {"refill"}), (10, set()), (37.5, {"alarm near"}), (38.1, {"alarm near"}),
     # The band's early edge at 14.5 % is day 39.3 (derived).
     (39.4, {"overdue", "alarm window"}),
     # 0.4 mL/day from 20 mL: 4 mL, two above the alarm, is reached on day 40 (Rigoli 2004).
     (41, {"overdue", "alarm window", "low volume"}),
     # The early edge of empty is day 43.7 (50 / 1.145, derived).
     (43, {"overdue", "alarm window", "low volume"}), (44, {"overdue", "alarm window", "empty"}),
     (46, {"overdue", "alarm past", "empty"}),
     (51, {"overdue", "alarm past", "empty"}),
     (200, {"overdue", "alarm past", "empty", "old drug"})],
)  # fmt: skip
def test_the_forecast_gives_its_circumstances(days_ago, expected):
    assert found(forecast_at(days_ago)) == expected


@pytest.mark.parametrize(
    ("days_from_now", "expected"), [(-2, "alarm past"), (0, "alarm past"), (3, "alarm near")]
)
def test_the_clinics_earlier_printed_date_counts(days_from_now, expected):
    # Ours is weeks away.
    printed = NOW.date() + timedelta(days=days_from_now)
    assert found(forecast_at(10, printed)) == {"overdue", expected}


def test_a_date_printed_for_a_higher_dose_does_not_count():
    old = forecast_at(10, NOW.date(), doses=((0, 200.0), (96, 180.0)))
    assert found(old) == set()


def test_a_printed_date_counts_on_when_more_is_given_since_or_the_setting_was_noted_late():
    # More drug a day only brings the alarm forward.
    assert "alarm past" in found(forecast_at(10, NOW.date(), doses=((0, 200.0), (96, 210.0))))
    assert "alarm past" in found(forecast_at(10, NOW.date(), doses=((20, 200.0),)))


@pytest.mark.parametrize(
    ("hours_ago", "dose", "is_raised"),
    [(1, 230.0, True), (72, 230.0, True), (73, 230.0, False), (1, 200.0, False), (1, 180.0, False),
     (-1, 500.0, False)],
)  # fmt: skip
def test_a_raised_dose_counts_for_72_hours(hours_ago, dose, is_raised):
    answer = forecast_at(10, doses=((0, 200.0), (240 - hours_ago, dose)))
    assert ("raised dose" in found(answer)) is is_raised


def test_a_dose_raised_and_then_cut_again_was_still_raised():
    answer = forecast_at(10, doses=((0, 200.0), (180, 260.0), (210, 240.0)))
    assert "raised dose" in found(answer)


@pytest.mark.parametrize("what", ["scan", "surgery"])
def test_a_scan_and_surgery_count_for_72_hours(what):
    assert what in found(hours_since={what: 72})
    assert what not in found(hours_since={what: 72.1})


@pytest.mark.parametrize(
    "what", ["missed refill", "urgent alarm", "soft alarm", "catheter problem"]
)
def test_what_holds_until_the_refill_needs_no_hours(what):
    assert found(since_refill={what}) == {what}


def test_the_person_counts():
    risks = {"T6", "earlier withdrawal", "cannot speak"}
    assert found(risks=risks) == risks


def test_eight_weeks_after_surgery_or_a_new_pump():
    assert found(hours_since={"surgery": 55 * 24}) == {"recent surgery"}
    assert found(days_since_implant=56) == {"recent surgery"}
    assert found(days_since_implant=57) == set()
    assert found(hours_since={"surgery": 57 * 24}) == set()


def test_a_stopped_pump_is_said_and_no_date_is_made_up():
    answer = forecast_at(10)
    stopped = replace(answer, programme=constant_rate(0.0), alarm_at=None, alarm_earliest=None,
                      empty_at=None, empty_earliest=None)  # fmt: skip
    assert found(stopped) == {"stopped"}
