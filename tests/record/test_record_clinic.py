"""What the record keeps around the clinic visit, and how it is read back."""

from datetime import UTC, date, datetime

import pytest
from record_helpers import Ticking, counted_ids

from pocketpump.core.errors import InputError
from pocketpump.core.pump.clinic_days import WORKDAYS
from pocketpump.core.pump.dose_steps import Origin
from pocketpump.record import Entry, MemoryFiles, Record, check_payload
from pocketpump.record.entry.frozen import freeze
from pocketpump.record.facts.situation import (
    habits_of,
    origin_of,
    settling_days_of,
    situation_of,
)

AT = datetime(2026, 1, 12, 9, tzinfo=UTC)


@pytest.fixture
def record():
    with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as kept:
        yield kept


def foreign(kind: str, payload: dict) -> Entry:
    """An entry as a damaged or foreign copy may bring it: not checked against its kind."""
    return Entry("foreign", kind, AT, "UTC", AT, freeze(payload))


def test_clinic_days_keep_weeks_closed_and_open_days(record):
    record.add("clinic days", AT, "UTC", {
        "open_weekdays": [1], "rule": "FREQ=MONTHLY;BYDAY=1TU", "closed_on": ["2026-03-03"],
        "opened_on": ["2026-03-04"],
    })  # fmt: skip
    days = habits_of(record.alive[0]).clinic_days
    # First Tuesdays of 2026, read off a calendar: 3 February, 3 March, 7 April.
    told = {"2026-02-03": True, "2026-02-10": False, "2026-03-03": False, "2026-03-04": True,
            "2026-04-07": True}  # fmt: skip
    assert {day: days.is_open(date.fromisoformat(day)) for day in told} == told


def test_clinic_days_from_before_there_were_weeks_still_read(record):
    record.add("clinic days", AT, "UTC", {"open_weekdays": [0, 3]})
    days = habits_of(record.alive[0]).clinic_days
    assert (days.open_weekdays, days.rule, days.opened_on) == ({0, 3}, "", frozenset())


@pytest.mark.parametrize(
    ("field", "value"),
    [("rule", "every Tuesday"), ("rule", 3), ("opened_on", ["soon"]), ("opened_on", "2026-01-01")],
)
def test_odd_clinic_days_are_refused_on_the_way_in(field, value):
    with pytest.raises(InputError) as refused:
        check_payload("clinic days", {"open_weekdays": [1], field: value})
    assert refused.value.field == field


@pytest.mark.parametrize(
    "payload", [{"rule": "FREQ=DAILY"}, {"closed_on": ["soon"]}, {"open_weekdays": 5},
                {"lead_days": "many"}],
)  # fmt: skip
def test_clinic_days_that_cannot_be_read_are_told_of_and_stop_nothing(record, payload):
    pump = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0}
    record.add("pump", AT, "UTC", pump)
    odd = foreign("clinic days", payload)
    situation, problems = situation_of([*record.alive, odd])
    assert situation is not None
    assert situation.habits.clinic_days.open_weekdays == WORKDAYS
    assert [(p.code, p.ids) for p in problems] == [("unreadable", ("foreign",))]


def test_origin_and_settling_days_are_preferences(record):
    assert (origin_of(record.alive, AT), settling_days_of(record.alive, AT)) == (None, 5)

    def choose(name, value):
        record.add("preference", AT, "UTC", {"name": name, "value": value})

    choose("child", "yes")
    assert origin_of(record.alive, AT) is None
    choose("origin", "cerebral")
    assert origin_of(record.alive, AT) == Origin("cerebral", child=True)
    choose("child", "no")
    choose("settling days", "3")
    found = origin_of(record.alive, AT), settling_days_of(record.alive, AT)
    assert found == (Origin("cerebral"), 3)
    choose("origin", "")
    assert origin_of(record.alive, AT) is None


def test_a_question_is_kept_and_can_be_answered(record):
    asked = record.add("question", AT, "UTC", {"text": "May I swim?"})
    record.correct(asked.id, {"text": "May I swim?", "answered": True}, AT, "UTC")
    (now,) = record.alive
    assert now.payload == {"text": "May I swim?", "answered": True}
    with pytest.raises(InputError):
        record.add("question", AT, "UTC", {"text": "  "})
