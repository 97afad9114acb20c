"""Before a dose is saved in a real browser: look again, or a caution where the pump is stopped."""

from datetime import UTC, datetime, timedelta

import pytest

from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"


@pytest.fixture
def server(start_server, tmp_path):
    """E23's strength change, 500 to 2000 mcg/mL with 0.35 mL in the line; the bridge not known."""
    folder = tmp_path / "record"
    now = datetime.now(UTC).replace(microsecond=0)
    pump = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "line_volume_ml": 0.35}
    timed = [{"amount_mcg": 45.0, "per_day": 2, "start_minutes": [480, 1200]},
             {"amount_mcg": 20.0, "per_day": 1, "start_minutes": [60]}]  # fmt: skip
    with Record.open(DiskFiles(folder), clock=lambda: now) as record:
        start = now - timedelta(days=60)
        record.add("pump", start, ZONE, pump)
        record.add("programme", start, ZONE, {"programme": {"days": [[[0, 90 / 24]]],
                                                            "timed": timed}})  # fmt: skip
        for minutes in (0, 20):
            at = start + timedelta(minutes=minutes)
            record.add("refill", at, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        record.add("refill", now - timedelta(days=20), ZONE,
                   {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0})  # fmt: skip
    return start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)


def test_ten_times_the_dose_is_looked_at_again_before_it_is_saved(phone, server):
    phone.open(server.url + "#/dose").see(", amount 2").screenshot("boluses")
    phone.type_into("Daily dose", "1890").see("From 200 mcg/day to 2000 mcg/day is 10 times")
    phone.screenshot("look-again")
    phone.tap("Save the dose setting").see("Nothing was saved yet. From 200").screenshot("asked")
    phone.tap("It is right").tap("Save the dose setting").see("The dose setting is saved.").see(
        "2000 mcg/day"
    )
    assert phone.foreign == []


def test_stopping_is_told_with_its_signs(phone, server):
    phone.open(server.url + "#/dose").tap("Stopped").see("Never stop the pump yourself")
    phone.screenshot("stopped")


def test_both_courses_are_drawn_while_the_bridge_is_not_known(phone, server):
    phone.open(server.url + "#/reach").see("Without a bridge").see("With a bridge")
    phone.screenshot("reach")
    phone.open(server.url + "#/refills").see("noted twice").screenshot("refills")
    phone.open(server.url).see("noted twice").screenshot("today")
