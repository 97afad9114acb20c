"""What of the record makes warning signs worse now."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.safety.contacts import call_order
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.circumstances import clinic_open_of, clinics_answered, present_of
from pocketpump.record.facts.diary import contacts_of
from pocketpump.record.facts.situation import situation_of
from pocketpump.record.facts.state import state_by

NOW = datetime(2026, 2, 1, 12, tzinfo=UTC)
CONSTANT = programme_to_payload(constant_rate(200.0))


@pytest.fixture
def record():
    with Record.open(MemoryFiles(), clock=lambda: NOW) as made:
        begun = NOW - timedelta(days=20)
        made.add("pump", begun, "UTC", {"reservoir_ml": 20, "alarm_volume_ml": 2})
        made.add("refill", begun, "UTC", {"filled_ml": 20, "strength_mcg_per_ml": 500})
        made.add("programme", begun, "UTC", {"programme": CONSTANT})
        yield made


def present(record) -> set[str]:
    situation, _ = situation_of(record.alive, NOW)
    answer, _ = forecast(situation, NOW, UTC)
    return set(present_of(record.alive, answer, NOW))


def happened(record, what: str, days_ago: float, **more):
    record.add("happening", NOW - timedelta(days=days_ago), "UTC", {"what": what, **more})


def refilled(record, days_ago: float):
    payload = {"filled_ml": 20, "strength_mcg_per_ml": 500}
    record.add("refill", NOW - timedelta(days=days_ago), "UTC", payload)


def test_a_missed_refill_holds_until_a_refill_is_logged_even_when_answered(record):
    happened(record, "missed refill", 10, follow_up_done=True)
    assert present(record) == {"missed refill"}
    refilled(record, 5)
    assert present(record) == set()


@pytest.mark.parametrize("alarm", ["urgent alarm", "soft alarm"])
def test_an_alarm_heard_holds_until_answered_or_refilled(record, alarm):
    happened(record, f"{alarm} heard", 10)
    assert present(record) == {alarm}
    refilled(record, 5)
    assert present(record) == set()
    happened(record, f"{alarm} heard", 4, follow_up_done=True)
    assert present(record) == set()


def test_what_is_noted_ahead_does_not_count_and_the_last_scan_does(record):
    happened(record, "missed refill", -1)
    happened(record, "scan", 30)
    assert present(record) == set()
    happened(record, "scan", 1)
    assert present(record) == {"scan"}


def test_the_persons_risks_and_a_new_pump_count(record):
    risks = ("injury_t6_or_above", "cannot_communicate", "earlier_withdrawal")
    record.add("care", NOW, "UTC", dict.fromkeys(risks, True))
    implanted = (NOW - timedelta(days=30)).date().isoformat()
    pump = {"reservoir_ml": 20, "alarm_volume_ml": 2, "implanted_on": implanted}
    record.add("pump", NOW, "UTC", pump)
    assert present(record) == {"T6", "cannot speak", "earlier withdrawal", "recent surgery"}


def test_a_refill_ends_what_was_missed_also_while_no_dose_is_noted():
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        happened(record, "missed refill", 10)
        refilled(record, 5)
        assert present_of(record.alive, None, NOW) == {}


def test_without_a_refill_what_was_missed_still_counts():
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        happened(record, "missed refill", 10)
        assert set(present_of(record.alive, None, NOW)) == {"missed refill"}


def called(record, at: datetime) -> bool | None:
    return clinic_open_of(record.alive, at)


def clinic(record, hours: str, zone: str = "UTC", **more) -> str:
    payload = {"name": "C", "role": "pump clinic", "phone": "020 7946 0100", "hours": hours, **more}
    return record.add("contact", NOW, zone, payload).id


def test_the_clinics_hours_are_those_of_home_not_of_the_phones_clock(record):
    clinic(record, "daily 9-16", "Europe/Berlin")
    # 14:00 in New York is 20:00 in Berlin.
    assert called(record, datetime(2026, 3, 3, 14, tzinfo=ZoneInfo("America/New_York"))) is False
    assert called(record, datetime(2026, 3, 3, 9, tzinfo=ZoneInfo("America/New_York"))) is True


def test_on_a_day_noted_as_closed_the_clinic_does_not_answer(record):
    clinic(record, "Mon-Fri 9-16")
    friday_noon = datetime(2026, 12, 25, 12, tzinfo=UTC)
    assert called(record, friday_noon) is True
    days = {"open_weekdays": [0, 1, 2, 3, 4], "closed_on": ["2026-12-25"]}
    record.add("clinic days", NOW, "UTC", days)
    assert called(record, friday_noon) is False


def test_of_two_clinics_the_one_that_answers_is_called_first(record):
    shut = clinic(record, "Mon-Fri 9-16")
    always = clinic(record, "24/7")
    friday_night = datetime(2026, 11, 27, 21, 13, tzinfo=UTC)
    answered = clinics_answered(record.alive, friday_night)
    assert answered == {shut: False, always: True}
    closed = [one for one, is_open in answered.items() if not is_open]
    ordered = call_order(contacts_of(record.alive), emergency_first=False, closed=closed)
    assert [one.id for one in ordered] == [always, shut]


def test_the_visit_that_was_missed_answers_nothing_but_one_noted_later_does():
    clock = [NOW - timedelta(days=10)]
    with Record.open(MemoryFiles(), clock=lambda: clock[0]) as record:
        begun = NOW - timedelta(days=20)
        record.add("pump", begun, "UTC", {"reservoir_ml": 20, "alarm_volume_ml": 2})
        record.add("programme", begun, "UTC", {"programme": CONSTANT})
        visit = (NOW + timedelta(days=2)).date().isoformat()
        payload = {"filled_ml": 20, "strength_mcg_per_ml": 500, "next_visit_on": visit}
        refill = record.add("refill", begun, "UTC", payload)
        clock[0] = NOW - timedelta(hours=1)
        record.add("happening", clock[0], "UTC", {"what": "missed refill"})

        def told() -> str:
            situation, _ = situation_of(record.alive, NOW)
            return state_by(record.alive, forecast(situation, NOW, UTC)[0]).word

        assert told() == "missed"
        clock[0] = NOW
        record.correct(refill.id, payload)
        assert told() == "missed"
        record.add("visit", NOW, "UTC", {"visit_on": visit})
        assert told() == "calm"


def test_the_clinics_hours_are_read(record):
    friday_night = datetime(2026, 11, 27, 21, 13, tzinfo=UTC)
    assert clinic_open_of(record.alive, friday_night) is None
    payload = {
        "name": "C",
        "role": "pump clinic",
        "phone": "020 7946 0100",
        "hours": "Mon–Fri 9–16",
    }
    record.add("contact", NOW, "UTC", payload)
    assert clinic_open_of(record.alive, friday_night) is False
