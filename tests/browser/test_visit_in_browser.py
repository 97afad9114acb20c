"""A visit booked by telephone, and an open Today that is looked at again, in a real browser."""

from datetime import UTC, datetime, timedelta

import pytest

from pocketpump.record import DiskFiles, Record

ZONE = "UTC"
FILLED = datetime(2026, 1, 12, 9, tzinfo=UTC)
CLINIC = {"name": "Pump clinic", "role": "pump clinic", "phone": "+31 20 555 0100"}


@pytest.fixture
def clock(tmp_path):
    """Sets what the app's clock shows; a file that the server reads."""
    kept = tmp_path / "now"

    def show(text: str) -> str:
        # In one step: the server may read at any moment.
        (tmp_path / "next").write_text(f"{text}+00:00")
        (tmp_path / "next").replace(kept)
        return f"@{kept}"

    return show


@pytest.fixture
def app_in_use(start_server, tmp_path, clock):
    """E14 (derived): filled 2026-01-12, call by 02-05, refill by 02-19, alarm 02-26 at nine."""

    def start(now: str) -> str:
        with Record.open(DiskFiles(tmp_path / "record"), clock=lambda: FILLED) as record:
            record.add("pump", FILLED, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
            record.add("refill", FILLED, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
            record.add("programme", FILLED, ZONE, {"programme": {"days": [[[0, 200 / 24]]]}})
            record.add("contact", FILLED + timedelta(minutes=1), ZONE, CLINIC)
        return start_server("at_an_instant", clock(now), "--no-browser", "--zone", ZONE,
                            record=tmp_path / "record").url  # fmt: skip

    return start


def test_a_visit_is_booked_moved_and_cancelled(phone, app_in_use):
    phone.open(app_in_use("2026-02-06T12:00")).see("Time to call the clinic").screenshot("to-book")
    phone.tap("Booked? Note the day").see("Note the day that the clinic has given you.")
    phone.type_into("Day of the visit", "20 Feb 2026").see("is after the refill-by date")
    phone.screenshot("visit-late")
    phone.type_into("Day of the visit", "16 Feb 2026").miss("is after the refill-by date")
    phone.type_into("Time", "10:30").tap("Pump clinic").screenshot("visit")
    phone.tap("Save the visit").see("Your refill is booked for Mon 16 Feb 2026")
    phone.see("At 10:30. Place: Pump clinic.").screenshot("booked")
    phone.tap("Move or cancel the visit").see("at 10:30; Pump clinic").screenshot("visit-standing")
    phone.tap("No, it was cancelled").screenshot("visit-cancelled").tap("Save the visit")
    phone.see("The visit is noted as cancelled.")
    phone.see("Time to call the clinic").tap("Undo")
    phone.see("Your refill is booked for Mon 16 Feb 2026")
    phone.turn_to(phone.page.url.split("#")[0] + "#/refills", "Refills")
    phone.see("at 10:30; Pump clinic").screenshot("refills")
    phone.page.set_viewport_size({"width": 1280, "height": 800})
    phone.screenshot("refills-desktop").tap("Move or cancel the visit")
    phone.see("Is it still booked?").screenshot("visit-desktop")


def test_an_open_today_tells_of_the_alarm_when_it_is_looked_at_again(phone, app_in_use, clock):
    phone.open(app_in_use("2026-02-26T08:59")).miss("By these numbers the alarm date")
    clock("2026-02-26T09:01")
    phone.page.evaluate("window.dispatchEvent(new Event('blur'))")
    phone.page.evaluate("window.dispatchEvent(new Event('focus'))")
    phone.see("By these numbers the alarm date, Thu 26 Feb 2026, has come")
