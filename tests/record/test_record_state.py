"""What was noted after a missed refill: only a visit said since then answers it."""

from datetime import UTC, datetime, timedelta

import pytest
from record_helpers import Ticking, counted_ids

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme import constant_rate
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.record import MemoryFiles, Record
from pocketpump.record.facts.situation import situation_of
from pocketpump.record.facts.state import since_refill

FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)
MISSED = FILLED + timedelta(days=20)
REFILL = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "next_visit_on": "2026-02-06"}
DOSE = {"programme": programme_to_payload(constant_rate(200.0))}


@pytest.fixture
def record():
    clock = [FILLED]
    with Record.open(MemoryFiles(), clock=lambda: clock[0]) as opened:
        opened.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        opened.add("refill", FILLED, "UTC", REFILL)
        opened.add("programme", FILLED, "UTC", DOSE)
        clock[0] = MISSED
        opened.add("happening", MISSED, "UTC", {"what": "missed refill"})
        clock[0] = MISSED + timedelta(hours=1)
        yield opened


def is_rebooked(record) -> bool:
    now = MISSED + timedelta(hours=2)
    situation, _ = situation_of(record.alive, now)
    answer, _ = forecast(situation, now, UTC)
    since = since_refill(record.alive, answer)
    assert since["missed_on"] == MISSED.date()
    return since["rebooked"]


def test_a_visit_said_after_the_missed_refill_answers_it(record):
    assert not is_rebooked(record)
    record.add("visit", MISSED + timedelta(minutes=30), "UTC", {"visit_on": "2026-02-07"})
    assert is_rebooked(record)


def test_of_a_refill_and_a_miss_in_one_minute_the_one_written_last_counts():
    # The seconds say nothing: one time was typed, the other taken as the clock stood.
    early, late = MISSED + timedelta(seconds=5), MISSED + timedelta(seconds=40)
    now = MISSED + timedelta(hours=2)
    miss, refill = ("happening", {"what": "missed refill"}), ("refill", REFILL)
    for (first, second), is_missed in (((miss, refill), False), ((refill, miss), True)):
        with Record.open(MemoryFiles(), clock=Ticking(), make_id=counted_ids("e")) as opened:
            opened.add("pump", FILLED, "UTC", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
            opened.add("programme", FILLED, "UTC", DOSE)
            opened.add("refill", FILLED, "UTC", REFILL)
            opened.add(first[0], late, "UTC", first[1])
            opened.add(second[0], early, "UTC", second[1])
            answer, _ = forecast(situation_of(opened.alive, now)[0], now, UTC)
            assert (since_refill(opened.alive, answer)["missed_on"] is not None) == is_missed


def test_correcting_the_refill_before_books_nothing(record):
    refill = next(entry for entry in record.alive if entry.kind == "refill")
    record.correct(refill.id, {**REFILL, "note": "went well"})
    assert not is_rebooked(record)
