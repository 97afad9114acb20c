"""The screen of signs in a real Chromium: how tall it is, what stays in sight, Friday night."""

from datetime import UTC, datetime, timedelta

import pytest
from driving import PHONE

from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"
# Numbers kept free for fiction (Ofcom), and 112, the common number of the European Union.
CLINIC, EMERGENCY = "+44 20 7946 0112", "112"
FRIDAY_NIGHT = datetime(2026, 3, 20, 20, 13, tzinfo=UTC)  # 21:13 in Amsterdam
FRIDAY_NOON = FRIDAY_NIGHT - timedelta(hours=9)


@pytest.fixture
def app_at(start_server, tmp_path):
    """An app whose clock stands still, on the record of a pump half full."""

    def start(now: datetime, *contacts: dict, kinds: tuple = ()):
        at = now - timedelta(days=20)
        with Record.open(DiskFiles(tmp_path / "record"), clock=lambda: now) as record:
            record.add("pump", at, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
            record.add("refill", at, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
            programme = {"days": [[[0, 8.0]]], "clock_offset_minutes": 0}
            record.add("programme", at, ZONE, {"programme": programme})
            for contact in contacts:
                record.add("contact", at, ZONE, contact)
            for kind, payload in kinds:
                record.add(kind, at, ZONE, payload)
        return start_server("at_an_instant", now.isoformat(), "--no-browser", "--zone", ZONE,
                            record=tmp_path / "record").url  # fmt: skip

    return start


AMBULANCE = {"name": "Emergency", "role": "local emergency number", "phone": EMERGENCY,
             "emergency": True}  # fmt: skip
OPEN_BY_DAY = {"name": "Pump clinic", "role": "pump clinic", "phone": CLINIC,
               "hours": "Mon–Fri 9–16", "emergency": False}  # fmt: skip


def bottom_of(button) -> float:
    box = button.bounding_box()
    return box["y"] + box["height"]


def test_the_signs_are_at_most_two_screens_tall_with_the_calls_in_sight(new_hand, app_at):
    url = app_at(FRIDAY_NOON, AMBULANCE, OPEN_BY_DAY) + "#/signs"
    phone = new_hand(PHONE).open(url).see("Any of these?")
    phone.screenshot("signs-bare")
    calls = phone.find("Call ")
    phone.until(lambda: calls.bounding_box() is not None, "the call to be drawn")
    below = PHONE[1] - calls.bounding_box()["y"] + 12
    for name in ("Call Emergency: 112", f"Call Pump clinic: {CLINIC}"):
        box = phone.find(name).bounding_box()
        assert box["y"] + box["height"] <= PHONE[1]
    tall = new_hand((PHONE[0], 3000)).open(url).see("Milder things")
    last = tall.find("Milder things")
    tall.until(lambda: last.bounding_box() is not None, "the last row to be drawn")
    height = bottom_of(last) + 32 + below
    assert height <= 2 * PHONE[1]


def test_friday_night_an_urgent_alarm_puts_the_emergency_number_first_and_says_why(phone, app_at):
    phone.open(app_at(FRIDAY_NIGHT, AMBULANCE, OPEN_BY_DAY) + "#/signs").see("Any of these?")
    phone.tap("The pump gave an urgent alarm").see("Call the local emergency number now.")
    phone.see("your clinic is noted as closed now").screenshot("friday-night")
    names = [b.inner_text() for b in phone.page.get_by_role("button", name="Call ").all()]
    assert [n.split(":")[0] for n in names if n.startswith("Call ") and ":" in n] == [
        "Call Emergency", "Call Pump clinic (closed now)",
    ]  # fmt: skip


def test_a_bad_check_in_offers_the_signs_on_today_with_those_ticked(phone, app_at):
    phone.open(app_at(FRIDAY_NOON, AMBULANCE, OPEN_BY_DAY) + "#/check-in").see("Stiffness now")
    phone.tap("8").tap("Save").see("The check-in is saved.")
    phone.see("may be a warning sign: Stiffness or spasms came back").screenshot("offer")
    phone.tap("See what to do").see("You ticked").see("Call the pump clinic today.")
    phone.tap("Stiffness or spasms came back").miss("Call the pump clinic today.")


def test_a_pump_that_feels_different_after_a_fall_leads_to_the_signs(phone, app_at):
    url = app_at(FRIDAY_NOON, AMBULANCE, OPEN_BY_DAY, kinds=(("happening", {"what": "fall"}),))
    phone.open(url).tap("Answer this").tap("No, it feels different").screenshot("fall")
    phone.tap("Save the note").see("The note is corrected.").see("The pump moved or turned")
    phone.see("A blow to the pump").screenshot("fall-signs")
    phone.tap("Today").see("does it feel as before?")


def test_at_twice_the_size_the_calls_leave_room_for_the_signs(new_hand, app_at):
    phone = new_hand(PHONE).open(app_at(FRIDAY_NIGHT, AMBULANCE, OPEN_BY_DAY) + "#/look")
    phone.see("Text size").tap("Largest").page.wait_for_timeout(1_000)
    phone.turn_to(phone.page.url.split("#")[0] + "#/signs", "Warning signs").screenshot("twice")
    phone.see("Call Pump clinic")  # in the page; one call stays in sight
    assert phone.find("Call Emergency").bounding_box()["y"] > PHONE[1] / 2
    phone.tap("The pump gave an urgent alarm").see("Call the local emergency number now.")
    phone.page.wait_for_timeout(1_000)
    phone.screenshot("twice-alarm")
    assert phone.find("Call Emergency").bounding_box()["y"] > PHONE[1] / 2
