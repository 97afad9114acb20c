"""Around the clinic visit: its days, questions, sheet, calendar, what if, what reaches the body."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader

from pocketpump.core.units.instants import date_text
from pocketpump.record import DiskFiles, Record

ZONE = "Europe/Amsterdam"


@pytest.fixture
def server(start_server, tmp_path):
    """The app on a small record: E23's strength change, 500 to 2000 mcg/mL, line 0.35 mL."""
    folder = tmp_path / "record"
    now = datetime.now(UTC).replace(microsecond=0)
    pump = {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "line_volume_ml": 0.35}
    steps = {"days": [[[0, 10.0], [360, 7.5], [1200, 10.0]]], "clock_offset_minutes": 60}
    constant = {"days": [[[0, 200 / 24]]], "clock_offset_minutes": 60}
    with Record.open(DiskFiles(folder), clock=lambda: now) as record:
        start = now - timedelta(days=60)
        record.add("pump", start, ZONE, pump)
        record.add("programme", start, ZONE, {"programme": constant})
        record.add("refill", start, ZONE, {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
        record.add("refill", now - timedelta(days=20), ZONE,
                   {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0, "bridged": True})  # fmt: skip
        record.add("programme", now - timedelta(days=2), ZONE, {"programme": steps})
    return start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)


def saved(hand, button: str) -> tuple[str, bytes]:
    """Tap a button that saves a file; return the file's name and content."""
    hand.find(button).wait_for(state="attached")
    with hand.page.expect_download() as download:
        hand.tap(button)
    name = download.value.suggested_filename
    # The message moves the buttons down, so the next tap waits for it.
    hand.see(f"{name} was handed to your browser.")
    return name, Path(download.value.path()).read_bytes()


def test_questions_go_onto_the_sheet_and_files_are_saved(phone, server):
    phone.open(server.url + "#/questions").see("A question for the next visit")
    phone.tap("Save the question").see("Write the question first.")
    phone.type_into("A question for the next visit", "May I swim?").tap("Save the question")
    phone.see("The question is saved.").see("Answered").screenshot("questions")

    phone.open(server.url + "#/sheet").see("May I swim?").see("Dose settings")
    phone.screenshot("sheet")
    name, content = saved(phone, "Save as PDF")
    assert name.endswith(" sheet.pdf")
    assert "May I swim?" in PdfReader(BytesIO(content)).pages[0].extract_text()
    name, content = saved(phone, "Save as a web page")
    assert name.endswith(" sheet.html")
    assert b"May I swim?" in content
    name, content = saved(phone, "Save the coming dates")
    assert name.endswith(" dates.ics")
    events = Calendar.from_ical(content.decode()).walk("VEVENT")
    assert "Call the clinic" in [str(event["SUMMARY"]) for event in events]
    assert not any("pump" in str(event["SUMMARY"]).lower() for event in events)

    phone.open(server.url + "#/questions").tap("Answered").see("noted as answered")
    phone.open(server.url + "#/sheet").see("Dose settings").miss("May I swim?")
    assert phone.foreign == []


def test_clinic_days_take_closed_dates_and_certain_weeks(phone, server):
    closed = (datetime.now(UTC) + timedelta(days=90)).date()
    phone.open(server.url + "#/clinic-days").see("The clinic does refills on")
    phone.tap("Only certain weeks of the month").see("No week is chosen yet.")
    phone.tap("Save the clinic").see("Choose at least one week.")
    phone.tap("The first").see("That is the first Monday, first Tuesday")
    phone.type_into("A closed day", closed.isoformat()).tap("Add the closed day")
    phone.see(f"Take away {date_text(closed)}").screenshot("clinic-days")
    phone.tap("Save the clinic").see("The clinic's days are saved.")
    phone.open(server.url + "#/clinic-days").see("That is the first Monday")
    phone.tap(f"Take away {date_text(closed)}").miss(f"Take away {date_text(closed)}")


def test_what_reaches_the_body_after_a_strength_change_and_by_the_clock(phone, server):
    # E23, derived: the old drug takes 21 h with a bridge.
    phone.open(server.url + "#/doses").tap("What reaches the body")
    phone.see("From 500 to 2000 mcg/mL, with a bridge.").see("21 hours")
    phone.see("The pattern on your clock").see("7.5 mcg/h").screenshot("reach")


def test_what_if_begins_as_it_is_and_ends_in_a_question(phone, server):
    phone.open(server.url + "#/what-if").see("Nothing is changed yet")
    phone.tap("The alarm volume").tap("More: Alarm volume").see("the alarm volume were 2.5 mL")
    phone.screenshot("what-if")
    phone.tap("Save this question").see("The question is saved for the clinic sheet.")
    phone.tap("Back to the numbers as they are").see("Nothing is changed yet")
    phone.open(server.url + "#/questions").see("the alarm volume were 2.5 mL")


def test_a_change_is_shown_beside_the_ranges_of_the_label(phone, server):
    phone.open(server.url + "#/about-you").tap("The spinal cord").see("chosen")
    phone.open(server.url + "#/doses").tap("What the label says about steps")
    # Label of the generic drug: 10-40 % at a refill visit for a spinal origin.
    phone.see("The label names 10–40 % as a usual step at a refill visit for a spinal origin.")
    phone.miss("5–20 %").see("not advice").screenshot("doses-label")


def test_a_visit_that_comes_too_late_is_told_on_today(phone, start_server, tmp_path):
    folder, now = tmp_path / "record", datetime.now(UTC)
    start = now - timedelta(days=10)
    with Record.open(DiskFiles(folder), clock=lambda: now) as record:
        record.add("pump", start, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("programme", start, ZONE, {"programme": {"days": [[[0, 200 / 24]]]}})
        # E14, derived: the alarm after 45 days; a visit after 50 is later than any refill-by date.
        late = (start + timedelta(days=50)).date()
        refill = {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0}
        record.add("refill", start, ZONE, {**refill, "next_visit_on": late.isoformat()})
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see(f"The visit on {date_text(late)} is after the refill-by date")


def test_an_unknown_line_volume_is_said_and_can_be_entered(phone, start_server, tmp_path):
    folder, now = tmp_path / "record", datetime.now(UTC)
    with Record.open(DiskFiles(folder), clock=lambda: now) as record:
        start = now - timedelta(days=60)
        record.add("pump", start, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
        record.add("programme", start, ZONE, {"programme": {"days": [[[0, 200 / 24]]]}})
        for days, strength in ((60, 500.0), (20, 2000.0)):
            record.add(
                "refill",
                now - timedelta(days=days),
                ZONE,
                {"filled_ml": 20.0, "strength_mcg_per_ml": strength},
            )
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url + "#/reach").see("This cannot be computed")
    phone.see("so no clock matters").miss("hours").screenshot("reach-unknown")
    phone.tap("Enter the line volume").see("Alarm volume")
